//! A thousand saves from sixteen connections at one recipe: each becomes a revision or a page that says who was faster.

use std::sync::Arc;
use std::sync::atomic::{AtomicI32, Ordering};

use super::{NEW, SAVE, a_club, as_pairs, sheet_of};

const SAVES: i32 = 1_000;
const CONNECTIONS: i32 = 16;

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_thousand_saves_have_a_thousand_outcomes_and_lose_none() {
    let (club, ada, browser) = a_club().await;
    let form = browser.get(NEW).await;
    // As little as a recipe may have, so that saving is what takes the time.
    let (_, fields) = form.filled(SAVE, &[("Name", "Everybody's")]);
    let bare = |name: &str| {
        !["feed-", "note"]
            .iter()
            .any(|start| name.starts_with(start))
    };
    let fields: Vec<(String, String)> = fields.into_iter().filter(|(n, _)| bare(n)).collect();
    let done = browser.post(NEW, &as_pairs(&fields)).await;
    let sheet = sheet_of(&done);
    let left = Arc::new(AtomicI32::new(SAVES));
    let whose = form.hidden("once").expect("a key");
    let whose = whose.split('.').next().expect("a member").to_owned();

    let mut writers = Vec::new();
    for writer in 0..CONNECTIONS {
        let browser = club.browser();
        browser.take_cookies(&club.browser_of(&ada).await.cookie_line());
        let (left, sheet, whose) = (Arc::clone(&left), sheet.clone(), whose.clone());
        let fields: Vec<(String, String)> = fields
            .iter()
            .filter(|(name, _)| {
                !["once", "draft", "base_version", "title", "order"].contains(&name.as_str())
            })
            .cloned()
            .collect();
        writers.push(tokio::spawn(async move {
            let mut seen = 1;
            let (mut saved, mut late) = (Vec::new(), 0);
            loop {
                let turn = left.fetch_sub(1, Ordering::Relaxed);
                if turn <= 0 {
                    return (saved, late);
                }
                let title = format!("save {turn} of writer {writer}");
                let once = format!("{whose}.thousand-saves-{turn:04}");
                let base = seen.to_string();
                let mut sent = as_pairs(&fields);
                sent.extend([
                    ("title", title.as_str()),
                    ("once", &once),
                    ("base_version", &base),
                ]);
                let page = browser.post(&format!("{sheet}/edit"), &sent).await;
                match page.status {
                    303 => {
                        let to = page.location().expect("where it leads");
                        let number = to.split("saved=").nth(1).expect("a number");
                        seen = number
                            .split('&')
                            .next()
                            .and_then(|n| n.parse().ok())
                            .expect("a number");
                        saved.push((seen, title));
                    }
                    409 => {
                        // The page of the loser: both texts, and the number that a further save must bring.
                        assert_eq!(page.value("Name"), title);
                        let newest = page.hidden("base_version").expect("the newest");
                        seen = newest.parse().expect("a number");
                        late += 1;
                    }
                    status => panic!("{status}: {}", page.text),
                }
            }
        }));
    }
    let (mut saved, mut late) = (Vec::new(), 0);
    for writer in writers {
        let (numbers, lost) = writer.await.expect("a writer");
        saved.extend(numbers);
        late += lost;
    }
    assert_eq!(saved.len() as i32 + late, SAVES);
    assert!(
        saved.len() > 50 && late > 50,
        "{} saved, {late} late",
        saved.len()
    );
    saved.sort();
    let kept: Vec<(i32, String)> =
        sqlx::query_as("select number, title from revisions order by number")
            .fetch_all(club.pool())
            .await
            .expect("revisions");
    // One after the other without a gap, each with the text of the one who was told that it is saved.
    assert_eq!(kept.len(), saved.len() + 1);
    for (place, (number, _)) in kept.iter().enumerate() {
        assert_eq!(*number, place as i32 + 1);
    }
    assert_eq!(kept[1..], saved[..]);
}
