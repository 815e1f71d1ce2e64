//! The unit of systemd: shut in as far as the program can live with it.

use super::{holds_and_breaks, is_setting, read};

/// Lines that must stand in the part on the service, each with exactly this value.
const KEPT: &[(&str, &str)] = &[
    ("User", "mustwright"),
    ("StateDirectory", "mustwright"),
    ("StateDirectoryMode", "0700"),
    ("RuntimeDirectory", "mustwright"),
    ("RuntimeDirectoryMode", "0750"),
    ("KillMode", "mixed"),
    ("UMask", "0077"),
    ("NoNewPrivileges", "yes"),
    ("CapabilityBoundingSet", ""),
    ("AmbientCapabilities", ""),
    ("ProtectSystem", "strict"),
    ("ProtectHome", "yes"),
    ("PrivateTmp", "yes"),
    ("PrivateDevices", "yes"),
    ("PrivateUsers", "yes"),
    ("ProtectProc", "invisible"),
    ("ProcSubset", "pid"),
    ("ProtectClock", "yes"),
    ("ProtectHostname", "yes"),
    ("ProtectKernelLogs", "yes"),
    ("ProtectKernelModules", "yes"),
    ("ProtectKernelTunables", "yes"),
    ("ProtectControlGroups", "yes"),
    ("RestrictAddressFamilies", "AF_UNIX AF_INET AF_INET6"),
    ("RestrictNamespaces", "yes"),
    ("RestrictRealtime", "yes"),
    ("RestrictSUIDSGID", "yes"),
    ("RemoveIPC", "yes"),
    ("LockPersonality", "yes"),
    ("MemoryDenyWriteExecute", "yes"),
    ("SystemCallArchitectures", "native"),
    ("SystemCallErrorNumber", "EPERM"),
];

/// The lines of the part on the service.
fn service(text: &str) -> Vec<(&str, &str)> {
    let part = text.split("[Service]\n").nth(1).unwrap_or_default();
    let part = part.split("\n[").next().unwrap_or_default();
    part.lines()
        .filter(|line| !line.starts_with('#'))
        .filter_map(|line| line.split_once('='))
        .collect()
}

fn rules(text: &str) -> Vec<String> {
    let lines = service(text);
    let of = |name: &str| -> Vec<&str> {
        let found = lines.iter().filter(|(found, _)| *found == name);
        found.map(|(_, value)| *value).collect()
    };
    let mut broken = Vec::new();
    for (name, value) in KEPT {
        if of(name) != [*value] {
            broken.push(format!("{name} is {:?}", of(name)));
        }
    }
    let mut check = |holds: bool, rule: &str| {
        if !holds {
            broken.push(rule.to_owned());
        }
    };
    check(
        of("SystemCallFilter") == ["@system-service", "~@privileged @resources", "setpriority"],
        "other calls of the system",
    );
    check(
        of("ExecStart") == ["/usr/local/bin/mustwright serve"],
        "another program",
    );
    // The server itself takes ten seconds for answers under way, then its database stops.
    let stops = of("TimeoutStopSec");
    check(
        stops.len() == 1 && stops[0].parse::<u32>().is_ok_and(|seconds| seconds >= 30),
        "no time to stop",
    );
    let files = of("LimitNOFILE");
    check(
        files.len() == 1 && files[0].parse::<u32>().is_ok_and(|many| many >= 2_048),
        "fewer files than connections",
    );
    for pair in of("Environment") {
        let name = pair.split('=').next().unwrap_or_default();
        check(is_setting(name), &format!("{name} is no setting"));
        check(!name.contains("URL"), "a secret stands in the unit");
    }
    check(
        of("EnvironmentFile") == ["-/etc/mustwright.env"],
        "settings from elsewhere",
    );
    broken
}

#[test]
fn the_unit_keeps_its_rules() {
    let text = read("docker/mustwright.service");
    holds_and_breaks(
        &text,
        rules,
        &[
            ("~@privileged @resources", "~@privileged", "other calls"),
            ("serve\n", "demo\n", "another program"),
            ("TimeoutStopSec=120", "TimeoutStopSec=5", "no time to stop"),
            ("LimitNOFILE=8192", "LimitNOFILE=1024", "fewer files"),
            (
                "MUSTWRIGHT_DATA_DIR=",
                "MUSTWRIGHT_DATADIR=",
                "MUSTWRIGHT_DATADIR is no setting",
            ),
            (
                "Environment=MUST",
                "Environment=DATABASE_URL=x\nEnvironment=MUST",
                "a secret",
            ),
            ("[Service]\n", "[Service]\nUMask=0022\n", "UMask is"),
        ],
    );
    for (name, value) in KEPT {
        let without = text.replace(&format!("\n{name}={value}\n"), "\n");
        assert!(!rules(&without).is_empty(), "{name} may go");
    }
}

/// The unit denies memory that is written and run; a PostgreSQL that compiled long queries would fail in it.
#[test]
fn the_private_database_compiles_no_queries() {
    assert!(read("src/cluster/supervise.rs").contains("\"jit=off\""));
}
