//! The image: pinned, for any machine, run by a user id that is not root, and in words that every builder knows.

use super::{holds_and_breaks, is_pinned, is_setting, read};

/// What only some builders know, and what would tie the image to one machine or to whatever is newest.
const FORBIDDEN: &[&str] = &[
    "<<",
    "--link",
    "--parents",
    "--exclude",
    "--network",
    "--start-interval",
    "--checksum",
    "# syntax",
    "latest",
    "amd64",
    "arm64",
    "x86_64",
    "aarch64",
    "--platform",
    "curl ",
    "wget ",
];

/// The instructions, each with its words, without comments and with its lines joined.
fn instructions(text: &str) -> Vec<(String, String)> {
    let lines: Vec<&str> = text
        .lines()
        .filter(|line| !line.trim_start().starts_with('#') && !line.trim().is_empty())
        .collect();
    let joined = lines.join("\n").replace("\\\n", " ");
    joined
        .lines()
        .map(|line| {
            let (verb, rest) = line.split_once(' ').unwrap_or((line, ""));
            (verb.to_uppercase(), rest.trim().to_owned())
        })
        .collect()
}

fn rules(text: &str) -> Vec<String> {
    let mut broken = Vec::new();
    let all = instructions(text);
    let of = |verb: &str| -> Vec<&str> {
        let found = all.iter().filter(|(found, _)| found == verb);
        found.map(|(_, rest)| rest.as_str()).collect()
    };
    let mut check = |holds: bool, rule: &str| {
        if !holds {
            broken.push(rule.to_owned());
        }
    };
    for (verb, rest) in &all {
        for word in FORBIDDEN {
            check(!rest.contains(word), &format!("{verb} has {word}"));
        }
    }
    check(of("ADD").is_empty(), "ADD fetches");
    let images: Vec<&str> = of("ARG")
        .iter()
        .filter_map(|arg| arg.split_once("_IMAGE=").map(|(_, image)| image))
        .collect();
    check(
        images.len() == 2,
        "an image for building and one for running",
    );
    check(
        images.iter().all(|image| is_pinned(image)),
        "images are pinned",
    );
    let stages = of("FROM");
    check(
        stages.len() == 2 && stages.iter().all(|from| from.starts_with("${")),
        "two stages, by their arguments",
    );
    // Built and run on the same system: the program finds the same libraries.
    let system = |image: &str| image.contains("bookworm") || image.starts_with("debian:12");
    check(
        images.iter().all(|image| system(image)),
        "one system for both stages",
    );
    let user = of("USER");
    let id = |part: &str| part.parse::<u32>().is_ok_and(|id| id > 0);
    check(
        user.len() == 1 && user[0].split(':').all(id),
        "USER is a number above nought",
    );
    let health = of("HEALTHCHECK");
    check(
        health.len() == 1 && health[0].ends_with(r#"CMD ["mustwright", "healthcheck"]"#),
        "HEALTHCHECK asks by the program's own command",
    );
    check(of("STOPSIGNAL") == ["SIGTERM"], "STOPSIGNAL is SIGTERM");
    check(
        of("ENTRYPOINT") == [r#"["mustwright"]"#],
        "ENTRYPOINT is the program",
    );
    check(
        of("VOLUME") == ["/var/lib/mustwright"],
        "VOLUME is the data",
    );
    let build = of("RUN")
        .into_iter()
        .find(|run| run.contains("cargo build"));
    check(
        build.is_some_and(|run| run.contains("--locked")),
        "built with the locked versions",
    );
    for pair in of("ENV").iter().flat_map(|line| line.split_whitespace()) {
        let name = pair.split('=').next().unwrap_or_default();
        check(is_setting(name), &format!("{name} is no setting"));
        check(!name.contains("URL"), "ENV holds no secret");
    }
    broken
}

#[test]
fn the_image_keeps_its_rules() {
    holds_and_breaks(
        &read("docker/Dockerfile"),
        rules,
        &[
            ("USER 10001:10001", "USER root", "USER is a number"),
            ("USER 10001:10001", "USER 0:0", "USER is a number"),
            ("USER 10001:10001\n", "", "USER is a number"),
            ("debian:12-slim\n", "debian:latest\n", "images are pinned"),
            ("=debian:12-slim", "=debian", "images are pinned"),
            ("=debian:12-slim", "=debian:13-slim", "one system"),
            (
                "FROM ${RUN_IMAGE}",
                "FROM debian:12-slim",
                "by their arguments",
            ),
            (
                "COPY --from=build",
                "COPY --link --from=build",
                "COPY has --link",
            ),
            ("RUN sh /tmp", "RUN <<EOF sh /tmp", "RUN has <<"),
            (
                "RUN sh /tmp",
                "RUN --network=none sh /tmp",
                "RUN has --network",
            ),
            ("COPY . .", "ADD . .", "ADD fetches"),
            (
                "--interval=30s",
                "--start-interval=1s",
                "HEALTHCHECK has --start-interval",
            ),
            (
                "\"mustwright\", \"healthcheck\"",
                "\"bash\", \"-c\", \"true\"",
                "HEALTHCHECK asks",
            ),
            (" --locked", "", "built with the locked versions"),
            ("STOPSIGNAL SIGTERM", "STOPSIGNAL SIGKILL", "STOPSIGNAL"),
            (
                "ENTRYPOINT [\"mustwright\"]",
                "ENTRYPOINT mustwright",
                "ENTRYPOINT",
            ),
            (
                "MUSTWRIGHT_LISTEN=",
                "MUSTWRIGHT_LISTN=",
                "MUSTWRIGHT_LISTN is no setting",
            ),
            (
                "ENV ",
                "ENV DATABASE_URL=postgres://a:b@c/d ",
                "ENV holds no secret",
            ),
            (
                "FROM ${RUN_IMAGE}",
                "FROM --platform=linux/amd64 ${RUN_IMAGE}",
                "FROM has amd64",
            ),
        ],
    );
}
