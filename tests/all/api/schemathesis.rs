//! The running API against its own description, by a foreign program that makes requests up from it, sound and unsound.

use std::process::Stdio;

use mustwright::web::grant::Grant;

use crate::support::{Club, a_member};

/// Requests made up for each operation, from a fixed seed.
const EXAMPLES: &str = "6";
const SEED: &str = "20261128";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_made_up_from_the_description_gets_what_it_describes() {
    let root = env!("CARGO_MANIFEST_DIR");
    let python = format!("{root}/target/checks/bin/python");
    let club = Club::with(&[("MUSTWRIGHT_API_PER_MINUTE", "1000000")]).await;
    let ada = a_member().of(&club).await;
    let token = club.token_of(&ada, Grant::Write).await;
    let place = tempfile::tempdir().expect("a directory");
    let child = tokio::process::Command::new(&python)
        .args(["-m", "schemathesis.cli"])
        .args(["--config-file", &format!("{root}/tests/schemathesis.toml")])
        .args([
            "run",
            &format!("http://{}/api/v1/openapi.json", club.address),
        ])
        .args(["--url", &format!("http://{}", club.address)])
        .args(["--header", &format!("Authorization: Bearer {token}")])
        .args(["--max-examples", EXAMPLES, "--seed", SEED])
        // One at a time: Python 3.11 counts the depth of its syntax trees for all threads together.
        .args(["--workers", "1", "--no-color"])
        .current_dir(place.path())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .kill_on_drop(true)
        .spawn();
    let child = child
        .unwrap_or_else(|fault| panic!("{python}: {fault}; sh docker/setup.sh --tests makes it"));
    let output = child.wait_with_output().await.expect("an end");
    let told = format!(
        "{}{}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
    assert!(output.status.success(), "{told}");
    // It did look: every operation but the description itself was tested, and recipes were saved by it.
    assert!(told.contains("11 selected / 11 total"), "{told}");
    let saved: i64 = sqlx::query_scalar("select count(*) from recipes")
        .fetch_one(club.pool())
        .await
        .expect("a count");
    assert!(saved > 0, "{told}");
}
