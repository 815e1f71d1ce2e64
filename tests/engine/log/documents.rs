//! The log as JSON: what is written is read back, and every fault is named with its place.

use mustwright::engine::json::Json;
use mustwright::engine::log::ranges::{RANGES, range_of};
use mustwright::engine::log::read;
use mustwright::engine::problem::{Problem, ProblemCode};

use super::*;

/// One entry of each kind with everything that it can hold.
pub fn one_of_each() -> Vec<Entry> {
    log(vec![
        at(
            0.0,
            Deed::Mixed(Mixed {
                volume_l: Some(20.0),
                sg: Some(1.086),
                temperature_c: Some(27.5),
            }),
        ),
        at(
            2.0,
            Deed::Pitch(Pitch {
                name: Some("white wine yeast".to_owned()),
                yeast_g: Some(7.0),
                tolerance_abv_percent: Some(14.0),
                rehydrated: Some(true),
            }),
        ),
        at(
            49.5,
            Deed::Reading(Reading {
                sg: Some(1.061),
                read_sg: Some(1.06),
                temperature_c: Some(24.0),
                must_temperature_c: Some(21.0),
                brix: Some(18.5),
                ph: Some(3.4),
                ta_g_per_l: Some(5.5),
                volume_l: Some(19.5),
                free_so2_mg_per_l: Some(12.0),
                degassed: Some(true),
                instrument: Some("hydrometer".to_owned()),
            }),
        ),
        at(
            50.0,
            Deed::Feed(Feed {
                name: "DAP".to_owned(),
                grams: 4.5,
                ammonium_yan_mg_per_g: Some(212.13),
                organic_yan_mg_per_g: Some(0.0),
                cost: Some(0.35),
            }),
        ),
        at(
            51.0,
            Deed::Addition(Addition {
                why: Some(Why::TopUp),
                litres: Some(0.5),
                composition: Some(honey_parts()),
                sg: Some(1.01),
                abv_percent: Some(11.0),
                sugar_g_per_l: Some(40.0),
                ta_change_g_per_l: Some(-0.5),
                so2_mg_per_l: Some(50.0),
                sorbic_mg_per_l: Some(150.0),
                allergens: vec!["nuts".to_owned(), "milk".to_owned()],
                cost: Some(3.0),
                ..Addition::of("anything", What::Other)
            }),
        ),
        at(52.0, Deed::Degas),
        at(53.0, Deed::Aerate),
        at(
            54.0,
            Deed::Rack(Rack {
                into: Some("glass".to_owned()),
                volume_l: Some(18.0),
                loss_l: Some(0.5),
            }),
        ),
        at(
            55.0,
            Deed::Sample(Sample {
                litres: 0.1,
                returned: true,
            }),
        ),
        at(
            56.0,
            Deed::Package(Package {
                litres: Some(15.0),
                bottles: vec![Bottles {
                    size_l: 0.75,
                    count: 20,
                }],
                how: Some(How::Gas),
                volumes_co2: Some(2.4),
            }),
        ),
        at(57.0, Deed::Part(Part { share: 0.25 })),
        at(
            58.0,
            Deed::Note(Note {
                text: Some("smells of pear".to_owned()),
            }),
        ),
        at(
            59.0,
            Deed::Tasting(Tasting {
                text: Some("hot".to_owned()),
                described: Described {
                    look: Some("clear".to_owned()),
                    aroma: Some("pear".to_owned()),
                    taste: Some("honey".to_owned()),
                    body: Some("round".to_owned()),
                    finish: Some("long".to_owned()),
                },
                liking: Some(7),
                score: Some(3),
                sweetness: Some(-1),
                acidity: Some(0),
                tannin: Some(1),
                warmth: Some(2),
                body: Some(1),
                honey: Some(-2),
                fruit: Some(-1),
                spice: Some(0),
                sparkle: Some(2),
                character: Some(-2),
            }),
        ),
        at(
            60.0,
            Deed::Step(PlanStep {
                step: "feed-2".to_owned(),
                is: Became::Moved,
                reason: Some("away".to_owned()),
                to_hours: Some(72.0),
            }),
        ),
        at(
            61.0,
            Deed::Move(Move {
                vessel: Some("barrel".to_owned()),
                brim_l: Some(50.0),
                kind: Some("barrel".to_owned()),
            }),
        ),
        at(
            62.0,
            Deed::Trial(Trial {
                stock: Stock::Honey,
                name: "heather honey, as much water".to_owned(),
                composition: Some(honey_parts()),
                sample_ml: 50.0,
                glasses: vec![
                    Glass {
                        code: "417".to_owned(),
                        stock_ml: 0.0,
                    },
                    Glass {
                        code: "902".to_owned(),
                        stock_ml: 1.5,
                    },
                ],
                winner: Some("902".to_owned()),
            }),
        ),
    ])
}

fn json(text: &str) -> Json {
    Json::parse(text).expect("JSON")
}

fn faults(text: &str) -> Vec<(ProblemCode, String)> {
    let problems: Vec<Problem> = read::entry(&json(text)).expect_err("a fault");
    problems
        .into_iter()
        .map(|problem| (problem.code, problem.path))
        .collect()
}

#[test]
fn every_kind_is_written_and_read_back() {
    let entries = one_of_each();
    let kinds: Vec<&str> = entries.iter().map(|entry| entry.deed.kind()).collect();
    assert_eq!(kinds, Deed::KINDS);
    for entry in entries {
        let text = serde_json::to_string(&entry).expect("JSON");
        assert_eq!(read::entry(&json(&text)), Ok(entry.clone()), "{text}");
        let data = serde_json::to_string(&entry.deed).expect("JSON");
        let again = read::deed(entry.deed.kind(), &json(&data));
        assert_eq!(again, Ok(entry.deed), "{data}");
    }
}

#[test]
fn what_is_not_said_is_not_written() {
    let entry = at(1.0, pitch());
    let text = serde_json::to_string(&entry).expect("JSON");
    assert_eq!(text, r#"{"entry":0,"hours":1.0,"kind":"pitch","data":{}}"#);
}

#[test]
fn data_may_be_left_out_where_nothing_must_be_said() {
    let entry = read::entry(&json(r#"{"entry":3,"hours":5,"kind":"degas"}"#));
    assert_eq!(entry.expect("an entry").deed, Deed::Degas);
}

#[test]
fn every_fault_is_named_with_its_place() {
    let of = |data: &str, kind: &str| {
        faults(&format!(
            r#"{{"entry":1,"hours":0,"kind":"{kind}","data":{data}}}"#
        ))
    };
    let one = |code, path: &str| vec![(code, path.to_owned())];
    assert_eq!(
        of(r#"{"gravity":1.05}"#, "mixed"),
        one(ProblemCode::UnknownKey, "/data/gravity")
    );
    assert_eq!(
        of(r#"{"sg":1.05,"sg":1.06}"#, "mixed"),
        one(ProblemCode::DuplicateKey, "/data/sg")
    );
    assert_eq!(
        of(r#"{"sg":1058}"#, "reading"),
        one(ProblemCode::OutOfRange, "/data/sg")
    );
    assert_eq!(
        of(r#"{"sg":"1.058"}"#, "reading"),
        one(ProblemCode::WrongKind, "/data/sg")
    );
    assert_eq!(
        of(r#"{"degassed":true}"#, "reading"),
        one(ProblemCode::OneOf, "/data")
    );
    assert_eq!(
        of("{}", "sample"),
        one(ProblemCode::Missing, "/data/litres")
    );
    assert_eq!(of("{}", "part"), one(ProblemCode::Missing, "/data/share"));
    assert_eq!(
        of(r#"{"share":1.5}"#, "part"),
        one(ProblemCode::OutOfRange, "/data/share")
    );
    assert_eq!(
        of("{}", "feed"),
        vec![
            (ProblemCode::Missing, "/data/name".to_owned()),
            (ProblemCode::Missing, "/data/grams".to_owned()),
        ]
    );
    assert_eq!(
        of(r#"{"name":"x","what":"milk"}"#, "addition"),
        one(ProblemCode::UnknownWord, "/data/what")
    );
    assert_eq!(
        of(r#"{"name":"x"}"#, "addition"),
        one(ProblemCode::Missing, "/data/what")
    );
    assert_eq!(
        of(
            r#"{"name":"x","what":"mead","allergens":["nuts","moon"]}"#,
            "addition"
        ),
        one(ProblemCode::UnknownWord, "/data/allergens/1")
    );
    assert_eq!(
        of(
            r#"{"name":"x","what":"honey","kg":1,"litres":1}"#,
            "addition"
        ),
        one(ProblemCode::OneOf, "/data")
    );
    assert_eq!(
        of(
            r#"{"name":"x","what":"honey","composition":{"water":0.5,"fermentable":0.1,"unfermentable":0,"insoluble":0}}"#,
            "addition"
        ),
        one(ProblemCode::CompositionSum, "/data/composition")
    );
    assert_eq!(
        of(r#"{"step":"mix","is":"begun"}"#, "step"),
        one(ProblemCode::UnknownWord, "/data/is")
    );
    assert_eq!(
        of(r#"{"score":3.5}"#, "tasting"),
        one(ProblemCode::WrongKind, "/data/score")
    );
    assert_eq!(
        of(r#"{"score":6}"#, "tasting"),
        one(ProblemCode::OutOfRange, "/data/score")
    );
    assert_eq!(
        of(r#"{"liking":0}"#, "tasting"),
        one(ProblemCode::OutOfRange, "/data/liking")
    );
    assert_eq!(
        of(r#"{"words":"good"}"#, "tasting"),
        one(ProblemCode::WrongKind, "/data/words")
    );
    assert_eq!(
        of(r#"{"words":{"smell":"good"}}"#, "tasting"),
        one(ProblemCode::UnknownKey, "/data/words/smell")
    );
    assert_eq!(
        of(r#"{"warmth":1,"alcohol":1}"#, "tasting"),
        one(ProblemCode::OneOf, "/data")
    );
    assert_eq!(
        of(r#"{"bottles":[{"size_l":0.75,"count":1.5}]}"#, "package"),
        one(ProblemCode::WrongKind, "/data/bottles/0/count")
    );
    assert_eq!(
        of(r#"{"bottles":[{"size_l":0,"count":2}]}"#, "package"),
        one(ProblemCode::OutOfRange, "/data/bottles/0/size_l")
    );
    assert_eq!(
        of(r#"{"anything":1}"#, "degas"),
        one(ProblemCode::UnknownKey, "/data/anything")
    );
    assert_eq!(of("[]", "aerate"), one(ProblemCode::WrongKind, "/data"));
    assert_eq!(of("{}", "boil"), one(ProblemCode::UnknownWord, "/kind"));
    assert_eq!(
        faults(r#"{"entry":1.5,"hours":1e9,"kind":"degas"}"#),
        one(ProblemCode::WrongKind, "/entry")
    );
    assert_eq!(
        faults(r#"{"entry":1,"hours":1e9,"kind":"degas"}"#),
        one(ProblemCode::OutOfRange, "/hours")
    );
    assert_eq!(
        faults("{}"),
        vec![
            (ProblemCode::Missing, "/entry".to_owned()),
            (ProblemCode::Missing, "/hours".to_owned()),
            (ProblemCode::Missing, "/kind".to_owned()),
        ]
    );
}

/// Every number that an entry can hold has its range, and both ends of each range may be stored.
#[test]
fn every_number_has_its_range() {
    fn keys(json: &Json, key: &str, found: &mut Vec<String>) {
        match json {
            Json::Number(_) => found.push(key.to_owned()),
            Json::List(items) => items.iter().for_each(|item| keys(item, key, found)),
            Json::Object(members) => {
                for (name, value) in members.iter().filter(|(name, _)| name != "composition") {
                    keys(value, name, found);
                }
            }
            _ => {}
        }
    }
    let mut found = Vec::new();
    for entry in one_of_each() {
        let text = serde_json::to_string(&entry).expect("JSON");
        keys(&json(&text), "", &mut found);
    }
    // Only one of the three amounts stands in an addition.
    found.push("kg".to_owned());
    for key in found.iter().filter(|key| *key != "entry") {
        assert!(range_of(key).is_some(), "{key} has no range");
    }
    for (key, range) in RANGES {
        assert!(range.low < range.high, "{key}");
        assert!(found.iter().any(|name| name == key), "{key} is nowhere");
    }
}

/// A tasting as it was written before there were nine steps and words for each side.
#[test]
fn older_tastings_stay_readable() {
    let older = json(
        r#"{"text":"hot","score":4,"sweetness":-1,"acidity":0,"body":1,"alcohol":2,"character":-2}"#,
    );
    let Ok(Deed::Tasting(tasting)) = read::deed("tasting", &older) else {
        panic!("not read");
    };
    assert_eq!((tasting.score, tasting.liked()), (Some(4), Some(7)));
    assert_eq!(tasting.warmth, Some(2));
    assert_eq!(tasting.character, Some(-2));
    let again = serde_json::to_string(&Deed::Tasting(tasting.clone())).expect("JSON");
    assert_eq!(
        read::deed("tasting", &json(&again)),
        Ok(Deed::Tasting(tasting))
    );
}
