//! The API over its router, and its description held against routes, keys, codes and answers.

mod recipes;
mod schemathesis;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use mustwright::api::{pages, paths, router};
use mustwright::engine::calculations::LIST;
use mustwright::engine::problem::{CautionCode, ProblemCode};
use mustwright::web::paths::Route;
use serde_json::{Value, json};
use tower::ServiceExt;

struct Reply {
    status: StatusCode,
    kind: String,
    body: Value,
}

async fn send(method: &str, path: &str, body: impl Into<Body>) -> Reply {
    let app: Router = router();
    let request = Request::builder()
        .method(method)
        .uri(path)
        .header(header::CONTENT_TYPE, "application/json")
        .body(body.into())
        .expect("a request");
    let response = app.oneshot(request).await.expect("an answer");
    let status = response.status();
    let kind = response
        .headers()
        .get(header::CONTENT_TYPE)
        .map(|kind| kind.to_str().expect("text").to_owned())
        .unwrap_or_default();
    let bytes = to_bytes(response.into_body(), usize::MAX)
        .await
        .expect("a body");
    let body = serde_json::from_slice(&bytes).unwrap_or(Value::Null);
    Reply { status, kind, body }
}

async fn post(path: &str, body: &Value) -> Reply {
    send("POST", path, body.to_string()).await
}

fn recipe() -> Value {
    json!({
        "version": 1, "title": "Whitsun", "volume_l": 20, "aim": {"abv_percent": 12}, "finish": {"sweeten_to_sg": 1.01},
        "ingredients": [
            {"name": "clover honey", "kind": "honey", "amount": {"share": 1}, "price_per_kg": 9,
             "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0, "ta_g_per_kg": 1}},
            {"name": "sour cherry", "kind": "fruit", "when": "primary", "amount": {"kg": 2}, "form": "frozen", "days": 10,
             "composition": {"water": 0.84, "fermentable": 0.08, "unfermentable": 0.05, "insoluble": 0.03}}
        ],
        "yeasts": [{"name": "wine yeast", "tolerance_abv_percent": 14, "nitrogen_need": "medium", "temperature_c": [15, 25]}],
        "nutrients": [{"name": "DAP", "ammonium_yan_mg_per_g": 212.13}, {"name": "organic", "organic_yan_mg_per_g": 40}],
        "temperature_c": 20, "vessel": {"brim_l": 30}
    })
}

fn sound_input(name: &str) -> Value {
    match name {
        "water" => {
            json!({"litres": 20, "report": {"calcium": 60, "hco3": 180}, "salts": {"gypsum": 60}})
        }
        "gravity" => json!({"sg": 1.1}),
        "hydrometer" => json!({"reading_sg": 1.05, "temperature_c": 30}),
        "alcohol" => json!({"og": 1.13, "fg": 1.0}),
        "sweeten" => json!({"litres": 10, "fg": 0.996, "abv_percent": 12, "target_sg": 1.01,
            "composition": {"water": 0.18, "fermentable": 0.73, "unfermentable": 0.09, "insoluble": 0}}),
        "feeding" => {
            json!({"litres": 20, "og": 1.09, "nitrogen_need": "medium", "plan": "dap_then_organic"})
        }
        "step_feeding" => {
            json!({"litres": 10, "start_sg": 1.1, "abv_percent": 17, "tolerance_abv_percent": 18,
            "nitrogen_need": "medium", "feeding": "lean"})
        }
        "blend" => {
            json!({"parts": [{"litres": 10, "sg": 0.996, "abv_percent": 12}, {"litres": 1, "sg": 1, "ta_g_per_l": null}]})
        }
        "boil" => json!({"kg": 10, "brix": 20, "water_lost_kg": 1}),
        "sulfite" => {
            json!({"litres": 20, "ph": 3.5, "molecular_so2_mg_per_l": 0.5, "salt": "sodium_metabisulfite"})
        }
        "sorbate" => json!({"litres": 20, "sorbic_acid_mg_per_l": 250}),
        "acid" => json!({"litres": 20, "acid": "K2CO3", "ta_change_g_per_l": -1}),
        "prime" => {
            json!({"litres": 20, "warmest_temperature_c": 20, "volumes_co2": 2.4, "sugar": "sucrose",
            "fermentable_g_per_l": 1})
        }
        "bottle_strength" => json!({"bottle": "beer", "volumes_co2": 3}),
        "keg" => json!({"temperature_c": 4, "volumes_co2": 2.5}),
        "triangle" => json!({"panel": 2, "correct": 1, "alpha": 0.05}),
        other => panic!("no input for {other}: write one"),
    }
}

/// `step_feeding` → `StepFeeding`.
fn schema_name(name: &str) -> String {
    let words = name.split('_');
    words
        .map(|word| format!("{}{}", word[..1].to_uppercase(), &word[1..]))
        .collect()
}

#[tokio::test]
async fn a_sound_recipe_is_answered_with_its_numbers() {
    let reply = post(paths::FORMULATE.path, &recipe()).await;
    assert_eq!(
        (reply.status, reply.kind.as_str()),
        (StatusCode::OK, "application/json")
    );
    assert_eq!(reply.body["problems"], json!([]));
    let abv = reply.body["finished"]["abv_percent"]
        .as_f64()
        .expect("a strength");
    assert!((abv - 12.0).abs() < 1e-8);
    check("Formulation", &reply.body);
    check("Recipe", &recipe());
}

#[tokio::test]
async fn a_recipe_with_problems_is_told_so_with_what_can_be_said() {
    let mut strong = recipe();
    strong["aim"]["abv_percent"] = json!(19);
    let mut unknown = recipe();
    unknown["colour"] = json!("red");
    let mut sweeter = recipe();
    sweeter["finish"]["sweeten_to_sg"] = json!(0.99);
    for (recipe, code, there) in [
        (strong, "yeast_cannot_reach", false),
        (unknown, "unknown_key", false),
        (json!([]), "wrong_kind", false),
        (sweeter, "already_sweeter", true),
    ] {
        let reply = post(paths::FORMULATE.path, &recipe).await;
        assert_eq!(reply.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(reply.kind, "application/problem+json");
        assert_eq!(reply.body["status"], 422);
        assert_eq!(reply.body["problems"][0]["code"], code);
        assert_eq!(
            reply.body["problems"],
            reply.body["formulation"]["problems"]
        );
        assert_eq!(reply.body["formulation"]["finished"].is_object(), there);
        check("Fault", &reply.body);
    }
}

#[tokio::test]
async fn every_calculation_answers_and_refuses() {
    for calculation in LIST {
        let path = paths::CALCULATE.path.replace("{name}", calculation.name);
        let input = sound_input(calculation.name);
        let name = schema_name(calculation.name);
        check(&format!("{name}Input"), &input);
        let reply = post(&path, &input).await;
        assert_eq!(
            (reply.status, reply.kind.as_str()),
            (StatusCode::OK, "application/json"),
            "{input}"
        );
        check(&format!("{name}Output"), &reply.body);

        let reply = post(&path, &json!({"colour": 1})).await;
        assert_eq!(reply.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert_eq!(reply.kind, "application/problem+json");
        assert_eq!(reply.body["problems"][0]["path"], "/colour");
        assert!(reply.body.get("formulation").is_none());
        check("Fault", &reply.body);
    }
}

#[tokio::test]
async fn other_faults_are_problem_details_too() {
    let calculate = paths::CALCULATE.path.replace("{name}", "gravity");
    for (path, body, status) in [
        (paths::FORMULATE.path, b"{".to_vec(), 400),
        (paths::FORMULATE.path, b"".to_vec(), 400),
        (paths::FORMULATE.path, vec![b'"', 0xff, b'"'], 400),
        (paths::FORMULATE.path, b"{\"version\": NaN}".to_vec(), 400),
        (&calculate, b"sg=1.1".to_vec(), 400),
        (
            &paths::CALCULATE.path.replace("{name}", "nothing"),
            b"{}".to_vec(),
            404,
        ),
        (paths::FORMULATE.path, vec![b' '; 2 * 1024 * 1024], 413),
    ] {
        let reply = send("POST", path, body).await;
        assert_eq!(reply.status.as_u16(), status, "{path}");
        assert_eq!(reply.kind, "application/problem+json", "{path}");
        assert_eq!(reply.body["status"], status);
        check("Fault", &reply.body);
    }
    assert_eq!(
        send("GET", paths::FORMULATE.path, "").await.status,
        StatusCode::METHOD_NOT_ALLOWED
    );
}

#[tokio::test]
async fn the_description_is_served_and_names_every_route() {
    let reply = send("GET", paths::DESCRIPTION.path, "").await;
    assert_eq!(reply.status, StatusCode::OK);
    assert_eq!(reply.body, description());
    let mut described = Vec::new();
    for (path, methods) in reply.body["paths"].as_object().expect("paths") {
        for method in methods.as_object().expect("methods").keys() {
            described.push((method.to_uppercase(), path.clone()));
        }
    }
    let listed = |routes: &[Route]| -> Vec<(String, String)> {
        let named = |route: &Route| {
            let method = format!("{:?}", route.method).to_uppercase();
            (method, route.path.to_owned())
        };
        routes.iter().map(named).collect()
    };
    let routes = listed(paths::ROUTES);
    let of_sensors = listed(paths::OF_SENSORS);
    let mut all = [
        routes.clone(),
        listed(paths::OF_MEMBERS),
        of_sensors.clone(),
    ]
    .concat();
    described.sort();
    all.sort();
    assert_eq!(described, all);
    // What wants a token says so, and nothing else does.
    for (method, path) in all {
        let operation = &reply.body["paths"][&path][method.to_lowercase()];
        let this = (method.clone(), path.clone());
        let wants = [listed(paths::OF_MEMBERS), of_sensors.clone()].concat();
        assert_eq!(
            operation["security"].is_array(),
            wants.contains(&this),
            "{method} {path}"
        );
    }
    // Each of them is there: none is unknown to the router.
    for (method, path) in routes {
        let reply = send(&method, &path.replace("{name}", "gravity"), "{}").await;
        assert!(
            ![404, 405].contains(&reply.status.as_u16()),
            "{method} {path}"
        );
    }
    // Every answer's status is described.
    for (path, status) in [
        (paths::FORMULATE.path, "422"),
        (paths::CALCULATE.path, "404"),
        (paths::CALCULATE.path, "400"),
    ] {
        assert!(reply.body["paths"][path]["post"]["responses"][status].is_object());
    }
}

#[test]
fn the_description_knows_every_code_and_key() {
    let description = description();
    let words = |pointer: &str| -> Vec<String> {
        let words = description
            .pointer(pointer)
            .unwrap_or_else(|| panic!("{pointer}"));
        let words = words.as_array().expect("a list");
        words
            .iter()
            .filter_map(|word| word.as_str().map(str::to_owned))
            .collect()
    };
    let codes: Vec<&str> = ProblemCode::ALL.iter().map(|code| code.as_str()).collect();
    assert_eq!(words("/components/schemas/ProblemCode/enum"), codes);
    let codes: Vec<&str> = CautionCode::ALL.iter().map(|code| code.as_str()).collect();
    assert_eq!(words("/components/schemas/CautionCode/enum"), codes);
    let names: Vec<&str> = LIST.iter().map(|calculation| calculation.name).collect();
    let parameter = "/paths/~1api~1v1~1calculate~1{name}/post/parameters/0/schema/enum";
    assert_eq!(words(parameter), names);
    let keys = |pointer: &str| -> Vec<String> {
        let object = description
            .pointer(pointer)
            .unwrap_or_else(|| panic!("{pointer}"));
        let mut keys: Vec<String> = object
            .as_object()
            .expect("an object")
            .keys()
            .cloned()
            .collect();
        keys.sort();
        keys
    };
    for calculation in LIST {
        let name = schema_name(calculation.name);
        let mut inputs: Vec<&str> = calculation.inputs.iter().map(|key| key.name).collect();
        inputs.sort_unstable();
        let schema = format!("/components/schemas/{name}Input");
        assert_eq!(keys(&format!("{schema}/properties")), inputs);
        let mut required: Vec<&str> = calculation
            .inputs
            .iter()
            .filter(|key| key.required)
            .map(|key| key.name)
            .collect();
        required.sort_unstable();
        let mut described = words(&format!("{schema}/required"));
        described.sort();
        assert_eq!(described, required);
        for key in calculation.inputs {
            let default = description.pointer(&format!("{schema}/properties/{}/default", key.name));
            assert_eq!(default.and_then(Value::as_f64), key.default, "{}", key.name);
            assert_eq!(
                default.and_then(Value::as_str),
                key.default_word,
                "{}",
                key.name
            );
        }
        let mut outputs = calculation.outputs.to_vec();
        outputs.sort_unstable();
        assert_eq!(
            keys(&format!("/components/schemas/{name}Output/properties")),
            outputs
        );
    }
}

/// The checker itself refuses: without this, a description that allows anything would pass.
#[test]
fn the_schemas_are_strict() {
    let mut wrong = recipe();
    wrong["ingredients"][0]["colour"] = json!("amber");
    assert!(faults("Recipe", &wrong).is_some_and(|fault| fault.contains("colour")));
    let mut wrong = recipe();
    wrong["ingredients"][0]["kind"] = json!("stone");
    assert!(faults("Recipe", &wrong).is_some());
    let mut wrong = recipe();
    wrong["aim"] = json!({"abv_percent": 12, "gravity_sg": 1.1});
    assert!(faults("Recipe", &wrong).is_some());
    let mut wrong = recipe();
    wrong["volume_l"] = json!("20");
    assert!(faults("Recipe", &wrong).is_some());
    let mut wrong = recipe();
    wrong["yeasts"][0]["temperature_c"] = json!([15]);
    assert!(faults("Recipe", &wrong).is_some());
    let mut wrong = recipe();
    wrong.as_object_mut().expect("an object").remove("finish");
    assert!(faults("Recipe", &wrong).is_some());
    assert!(faults("Formulation", &json!({})).is_some());
    assert!(faults("GravityOutput", &json!({"sg": null})).is_some());
}

fn description() -> Value {
    serde_json::from_str(pages::DESCRIPTION).expect("JSON")
}

#[track_caller]
fn check(schema: &str, value: &Value) {
    if let Some(fault) = faults(schema, value) {
        panic!("{schema}: {fault} in {value}");
    }
}

fn faults(schema: &str, value: &Value) -> Option<String> {
    let description = description();
    let schema = json!({"$ref": format!("#/components/schemas/{schema}")});
    mismatch(&description, &schema, value, "")
}

/// The first place where a value does not fit a schema: the part of JSON Schema 2020-12 that the description uses, and a
/// panic on a word beyond it.
fn mismatch(root: &Value, schema: &Value, value: &Value, path: &str) -> Option<String> {
    for (word, rule) in schema.as_object().expect("a schema") {
        let fits = match word.as_str() {
            "$ref" => {
                let place = rule
                    .as_str()
                    .and_then(|place| place.strip_prefix('#'))
                    .expect("a reference");
                let target = root
                    .pointer(place)
                    .unwrap_or_else(|| panic!("{place} is nowhere"));
                match mismatch(root, target, value, path) {
                    Some(fault) => return Some(fault),
                    None => true,
                }
            }
            "description" | "default" | "required" | "additionalProperties" => true,
            "maxLength" => value
                .as_str()
                .is_none_or(|text| Some(text.chars().count() as u64) <= rule.as_u64()),
            "const" => value == rule,
            "enum" => rule.as_array().expect("a list").contains(value),
            "type" => match rule {
                Value::Array(kinds) => kinds.iter().any(|kind| is_a(kind, value)),
                kind => is_a(kind, value),
            },
            "minimum" => value.as_f64().is_none_or(|x| Some(x) >= rule.as_f64()),
            "minItems" => value
                .as_array()
                .is_none_or(|list| Some(list.len() as u64) >= rule.as_u64()),
            "maxItems" => value
                .as_array()
                .is_none_or(|list| Some(list.len() as u64) <= rule.as_u64()),
            "anyOf" | "oneOf" => {
                let all = rule.as_array().expect("a list");
                let fitting = all
                    .iter()
                    .filter(|one| mismatch(root, one, value, path).is_none())
                    .count();
                // With one real choice beside null, its own fault tells more.
                if let (0, [one, null], false) = (fitting, all.as_slice(), value.is_null())
                    && null["type"] == "null"
                {
                    return mismatch(root, one, value, path);
                }
                if word == "anyOf" {
                    fitting > 0
                } else {
                    fitting == 1
                }
            }
            "items" => {
                for (i, item) in value.as_array().into_iter().flatten().enumerate() {
                    if let Some(fault) = mismatch(root, rule, item, &format!("{path}/{i}")) {
                        return Some(fault);
                    }
                }
                true
            }
            "properties" => {
                for (key, schema) in rule.as_object().expect("properties") {
                    let found = value
                        .get(key)
                        .map(|item| mismatch(root, schema, item, &format!("{path}/{key}")));
                    if let Some(Some(fault)) = found {
                        return Some(fault);
                    }
                }
                true
            }
            other => panic!("the checker does not know {other}"),
        };
        if !fits {
            return Some(format!("{path}: {word} {rule}"));
        }
    }
    let members = value.as_object()?;
    for key in schema["required"].as_array().into_iter().flatten() {
        if !members.contains_key(key.as_str().expect("a key")) {
            return Some(format!("{path}: {key} is missing"));
        }
    }
    for (key, item) in members {
        let known = schema["properties"].get(key).is_some();
        match &schema["additionalProperties"] {
            Value::Bool(false) if !known => return Some(format!("{path}: {key} is unknown")),
            rest @ Value::Object(_) if !known => {
                if let Some(fault) = mismatch(root, rest, item, &format!("{path}/{key}")) {
                    return Some(fault);
                }
            }
            _ => {}
        }
    }
    None
}

fn is_a(kind: &Value, value: &Value) -> bool {
    match kind.as_str().expect("a kind") {
        "null" => value.is_null(),
        "boolean" => value.is_boolean(),
        "number" => value.is_number(),
        "integer" => value.is_u64() || value.is_i64(),
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        other => panic!("the checker does not know {other}"),
    }
}
