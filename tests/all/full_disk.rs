//! A full disk under a private database: what was acknowledged stays, what was typed comes back, and room mends it.

use std::fs::{self, File};
use std::io::Write;
use std::path::Path;
use std::process::Command as System;
use std::time::{Duration, Instant};

use mustwright::cluster;
use sqlx::{Connection, PgConnection};

use crate::support::{Browser, Command, PASSWORD, Page};

/// A small disk of memory. Only root may make one, and not everywhere.
struct Disk(tempfile::TempDir);

impl Disk {
    fn mounted() -> Option<Disk> {
        let disk = Disk(tempfile::tempdir().unwrap());
        let done = System::new("mount")
            .args(["-t", "tmpfs", "-o", "size=160m,mode=755", "tmpfs"])
            .arg(disk.0.path())
            .output();
        done.is_ok_and(|done| done.status.success()).then_some(disk)
    }

    fn fill(&self) {
        let mut file = File::create(self.filler()).unwrap();
        let piece = vec![1u8; 64 * 1024];
        while file.write_all(&piece).is_ok() {}
    }

    fn free(&self) {
        fs::remove_file(self.filler()).unwrap();
    }

    fn filler(&self) -> std::path::PathBuf {
        self.0.path().join("filler")
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = System::new("umount")
            .arg("--lazy")
            .arg(self.0.path())
            .status();
    }
}

async fn save(browser: &Browser, form: &Page, name: &str) -> Page {
    let typed = [("Name", name)];
    browser.submit(form, "Save as revision 1", &typed).await
}

async fn titles(data_dir: &Path) -> Vec<String> {
    let addresses = cluster::attach(data_dir).expect("the server runs");
    let mut conn = PgConnection::connect_with(&addresses.owner_options())
        .await
        .unwrap();
    sqlx::query_scalar("select title from recipes order by id")
        .fetch_all(&mut conn)
        .await
        .unwrap()
}

#[tokio::test]
async fn nothing_acknowledged_or_typed_is_lost_when_the_disk_is_full() {
    let Some(disk) = Disk::mounted() else {
        eprintln!("not shown here: no small disk can be mounted");
        return;
    };
    let home = disk.0.path().join("home");
    let data_dir = home.to_str().unwrap();
    let settings = [
        ("MUSTWRIGHT_DATA_DIR", data_dir),
        ("MUSTWRIGHT_LISTEN", "127.0.0.1:0"),
        ("MUSTWRIGHT_SECOND_FACTOR", "nobody"),
    ];
    let mut server = Command::start(&[], &settings);
    let line = server.says("Mustwright serves").await.expect("it serves");
    let origin = line.rsplit(' ').next().unwrap().trim_end_matches('/');
    let address = origin.trim_start_matches("http://").parse().unwrap();
    let browser = Browser::new(address, origin, "");
    let line = server.says("Set up the keeper").await.expect("a link");
    let link = line.rsplit(' ').next().unwrap().trim_start_matches(origin);
    let page = browser.get(link).await;
    let labelled = [
        ("Your name", "Wren"),
        ("Password", PASSWORD),
        ("The same password again", PASSWORD),
    ];
    assert_eq!(browser.submit(&page, "Set up", &labelled).await.status, 303);
    let health = browser.get("/keeper/health").await;
    assert!(
        !health.text.contains("Little room left."),
        "{}",
        health.text
    );

    disk.fill();
    let health = browser.get("/keeper/health").await;
    assert!(health.text.contains("Little room left."), "{}", health.text);
    let mut acknowledged = Vec::new();
    let (refused, name) = loop {
        let name = format!("Heather {}", acknowledged.len());
        let form = browser.get("/recipes/new").await;
        if form.status != 200 {
            break (form, String::new());
        }
        let page = save(&browser, &form, &name).await;
        if page.status != 303 {
            break (page, name);
        }
        acknowledged.push(name);
        assert!(acknowledged.len() < 2_000, "the disk never fills");
    };
    assert_eq!(refused.status, 503, "{}", refused.text);
    assert!(refused.text.contains(&name), "{name}: {}", refused.text);

    // A backup finds no room either, and leaves nothing that looks like one.
    let file = home.join("club.backup");
    let made = Command::start(&["backup", file.to_str().unwrap()], &settings);
    let made = made.ends().await;
    assert_eq!(made.code, Some(1), "{}", made.said);
    let left = fs::read_dir(&home).unwrap().flatten();
    let left = left.filter(|entry| entry.file_name().to_string_lossy().contains("club.backup"));
    assert_eq!(left.count(), 0);

    disk.free();
    let began = Instant::now();
    loop {
        let form = browser.get("/recipes/new").await;
        if form.status == 200 && save(&browser, &form, "After all").await.status == 303 {
            break;
        }
        assert!(
            began.elapsed() < Duration::from_secs(60),
            "it does not come back"
        );
        tokio::time::sleep(Duration::from_millis(200)).await;
    }
    let there = titles(&home).await;
    for name in &acknowledged {
        let many = there.iter().filter(|title| *title == name).count();
        assert_eq!(many, 1, "{name}");
    }
    assert_eq!(
        there.iter().filter(|title| *title == "After all").count(),
        1
    );
    server.signal("TERM");
    assert_eq!(server.ends().await.code, Some(0));
}
