//! The compose file: secrets from files, this machine's ports alone, read-only, and asked for their health.

use saphyr::{LoadableYamlNode, Yaml};
use serde_json::Value;

use super::{holds_and_breaks, is_pinned, is_setting, read};

/// What a file of YAML holds, as JSON.
fn value(yaml: &Yaml<'_>) -> Value {
    if let Some(mapping) = yaml.as_mapping() {
        let pairs = mapping.iter().map(|(name, held)| {
            let name = name.as_str().expect("a name");
            (name.to_owned(), value(held))
        });
        return Value::Object(pairs.collect());
    }
    if let Some(sequence) = yaml.as_sequence() {
        return sequence.iter().map(value).collect();
    }
    if let Some(truth) = yaml.as_bool() {
        return truth.into();
    }
    if let Some(number) = yaml.as_integer() {
        return number.into();
    }
    yaml.as_str().map_or(Value::Null, Value::from)
}

fn words(held: &Value) -> Vec<&str> {
    let all = held.as_array().map(Vec::as_slice).unwrap_or_default();
    all.iter().filter_map(Value::as_str).collect()
}

/// The variables of a service, whose values are all texts.
fn environment(service: &Value) -> Vec<(&str, &str)> {
    let all = service["environment"].as_object().into_iter().flatten();
    all.map(|(name, held)| (name.as_str(), held.as_str().unwrap_or_default()))
        .collect()
}

fn rules(text: &str) -> Vec<String> {
    let loaded = Yaml::load_from_str(text).expect("YAML");
    let whole = value(&loaded[0]);
    let mut broken = Vec::new();
    let mut check = |holds: bool, rule: String| {
        if !holds {
            broken.push(rule);
        }
    };
    let services = whole["services"].as_object().expect("services");
    let kept = whole["secrets"].as_object().expect("secrets");
    for (name, service) in services {
        let image = service["image"].as_str().unwrap_or_default();
        check(is_pinned(image), format!("{name}: {image} is not pinned"));
        check(
            service["read_only"] == true,
            format!("{name} may write its root"),
        );
        check(
            service["privileged"].is_null(),
            format!("{name} is privileged"),
        );
        check(
            words(&service["security_opt"]).contains(&"no-new-privileges:true"),
            format!("{name} may gain privileges"),
        );
        check(
            service["healthcheck"]["test"].is_array(),
            format!("{name} is not asked for its health"),
        );
        check(
            service["stop_grace_period"].is_string(),
            format!("{name} has no time to stop"),
        );
        for port in words(&service["ports"]) {
            check(
                port.starts_with("127.0.0.1:"),
                format!("{name}: {port} is open to everybody"),
            );
        }
        let handed = words(&service["secrets"]);
        for (variable, held) in environment(service) {
            let ours = variable.starts_with("MUSTWRIGHT_") || variable.contains("DATABASE_URL");
            let of_roles = variable.ends_with("_PASSWORD_FILE");
            check(
                !ours || of_roles || is_setting(variable),
                format!("{name}: {variable} is no setting"),
            );
            let secret = variable.contains("PASSWORD") || variable.contains("DATABASE_URL");
            let file = held.strip_prefix("/run/secrets/");
            let by_file = variable.ends_with("_FILE") && file.is_some();
            check(
                !secret || by_file,
                format!("{name}: {variable} stands in the environment"),
            );
            check(
                file.is_none_or(|file| handed.contains(&file)),
                format!("{name}: {variable} is not handed over"),
            );
        }
        for secret in handed {
            let file = kept.get(secret).and_then(|kept| kept["file"].as_str());
            let made = file.is_some_and(|file| file == format!("./secrets/{secret}"));
            let by_script = read("docker/secrets.sh").contains(&format!("keep {secret} "));
            check(made && by_script, format!("{secret} is made by nobody"));
        }
    }
    let (app, db) = (&services["app"], &services["db"]);
    check(
        words(&app["healthcheck"]["test"]) == ["CMD", "mustwright", "healthcheck"],
        "app is asked by another command".to_owned(),
    );
    check(
        words(&app["cap_drop"]) == ["ALL"],
        "app keeps capabilities".to_owned(),
    );
    check(
        app["depends_on"]["db"]["condition"] == "service_healthy",
        "app does not wait for db".to_owned(),
    );
    check(db["ports"].is_null(), "db has a port outside".to_owned());
    // Debian 12 brings PostgreSQL 15: the programs in the image of the app make backups of no newer one.
    check(
        db["image"]
            .as_str()
            .is_some_and(|image| image.starts_with("postgres:15-")),
        "db has another major than the programs of app".to_owned(),
    );
    for (service, volume, what) in [
        (db, "db:/var/lib/postgresql/data", "the data have no volume"),
        (app, "app:/var/lib/mustwright", "the backups have no volume"),
    ] {
        let named = volume.split(':').next().unwrap_or_default();
        let lasts = words(&service["volumes"]).contains(&volume);
        check(
            lasts && whole["volumes"].get(named).is_some(),
            what.to_owned(),
        );
    }
    let backups = environment(app)
        .into_iter()
        .find(|(name, _)| *name == "MUSTWRIGHT_BACKUP_DIR");
    check(
        backups.is_some_and(|(_, folder)| folder.starts_with("/var/lib/mustwright/")),
        "backups go where nothing lasts".to_owned(),
    );
    broken
}

#[test]
fn the_compose_file_keeps_its_rules() {
    holds_and_breaks(
        &read("docker/compose.yaml"),
        rules,
        &[
            (
                "postgres:15-bookworm",
                "postgres:latest",
                "db: postgres:latest is not pinned",
            ),
            (
                "postgres:15-bookworm",
                "postgres:17-bookworm",
                "another major",
            ),
            (
                "\"127.0.0.1:8420:8420\"",
                "\"8420:8420\"",
                "open to everybody",
            ),
            ("read_only: true", "read_only: false", "may write its root"),
            (
                "no-new-privileges:true",
                "label:disable",
                "may gain privileges",
            ),
            (
                "cap_drop:\n      - ALL",
                "cap_drop: []",
                "keeps capabilities",
            ),
            (
                "\"mustwright\", \"healthcheck\"",
                "\"true\"",
                "another command",
            ),
            ("    healthcheck:", "    looked_after:", "is not asked"),
            (
                "DATABASE_URL_FILE: /run/secrets/database_url",
                "DATABASE_URL: postgres://a:b@db/c",
                "DATABASE_URL stands in the environment",
            ),
            (
                "POSTGRES_PASSWORD_FILE: /run/secrets/superuser_password",
                "POSTGRES_PASSWORD: honey",
                "POSTGRES_PASSWORD stands in the environment",
            ),
            (
                "      - app_password\n",
                "",
                "MUSTWRIGHT_APP_PASSWORD_FILE is not handed over",
            ),
            (
                "MUSTWRIGHT_CURRENCY:",
                "MUSTWRIGHT_CURENCY:",
                "MUSTWRIGHT_CURENCY is no setting",
            ),
            (
                "file: ./secrets/app_password",
                "file: ./app_password",
                "made by nobody",
            ),
            ("service_healthy", "service_started", "does not wait"),
            (
                "- db:/var/lib/postgresql/data",
                "- /var/lib/postgresql",
                "no volume",
            ),
            (
                "BACKUP_DIR: /var/lib/mustwright/backups",
                "BACKUP_DIR: /srv",
                "nothing lasts",
            ),
            (
                "- app:/var/lib/mustwright\n",
                "- /var/lib/mustwright\n",
                "the backups have no volume",
            ),
            (
                "stop_grace_period: 120s",
                "restart_after: 1s",
                "no time to stop",
            ),
        ],
    );
}

/// The database's image runs a script that may be run, and takes over into itself what one may not.
#[test]
fn the_script_for_the_roles_runs_by_itself() {
    use std::os::unix::fs::PermissionsExt;
    for script in ["roles.sh", "secrets.sh", "setup.sh"] {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("docker")
            .join(script);
        let mode = std::fs::metadata(path)
            .expect("a script")
            .permissions()
            .mode();
        assert_eq!(mode & 0o111, 0o111, "{script}");
    }
}
