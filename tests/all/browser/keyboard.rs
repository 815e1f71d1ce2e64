//! Keyboard alone: every stop of the workbench is in view, never under the bar that saves.

use thirtyfour::Key;

use super::sign_in;
use crate::support::{Chromium, Club, a_member, in_chromium};

/// What is wrong with where the focus is: out of view, under the bar, or not to be seen as focus.
const WRONG: &str = r#"
    const at = document.activeElement, box = at.getBoundingClientRect();
    const name = at.id || words(at).slice(0, 40) || at.tagName;
    if (at === document.body) return ['', ''];
    const bar = document.querySelector('.savebar'), edges = bar.getBoundingClientRect();
    const style = getComputedStyle(at);
    let wrong = '';
    if (box.top < -1 || box.top >= innerHeight) wrong = 'out of view';
    else if (!bar.contains(at) && box.bottom > edges.top + 1 && box.top < edges.bottom - 1) wrong = `under the bar: ${box.bottom} > ${edges.top}`;
    else if (!at.matches(':focus-visible') || style.outlineStyle === 'none') wrong = 'without a mark of the focus';
    return [name, wrong];
"#;

async fn walk(page: &Chromium, width: u32, height: u32) {
    page.size(width, height).await;
    page.open("/recipes/new").await;
    let mut seen: Vec<String> = Vec::new();
    loop {
        page.keys(Key::Tab).await;
        let [name, wrong] = serde_json::from_value::<[String; 2]>(page.run(WRONG, vec![]).await)
            .expect("two texts");
        if name.is_empty() || seen.len() > 300 {
            break;
        }
        assert_eq!(wrong, "", "{name} at {width} × {height}");
        seen.push(name);
    }
    let count = |name: &str| seen.iter().filter(|other| *other == name).count();
    for id in ["title", "strength", "volume", "honey-1-amount", "notes"] {
        assert_eq!(count(id), 1, "{id} among {seen:?}");
    }
    assert_eq!(count("Save as revision 1"), 1, "{seen:?}");
    assert_eq!(
        count("final_gravity"),
        0,
        "a field that is hidden is no stop"
    );
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_focus_is_always_in_view() {
    let club = Club::open().await;
    a_member().named("Ada").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        walk(&page, 1280, 720).await;
        walk(&page, 360, 640).await;
    })
    .await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_recipe_is_made_by_keyboard_alone() {
    let club = Club::open().await;
    a_member().named("Ada").of(&club).await;
    in_chromium(&club, |page| async move {
        sign_in(&page, "Ada").await;
        page.open("/recipes/new").await;
        reach(&page, "document.activeElement.id === 'title'").await;
        page.keys("Keys only").await;
        reach(&page, "document.activeElement.id === 'strength'").await;
        page.keys(Key::Control + "a").await;
        page.keys("13").await;
        page.until("words(document.querySelector('#how-strength strong')) === '13 %'")
            .await;
        // The Enter key recalculates and never removes a row.
        page.run("document.before = true", vec![]).await;
        page.keys(Key::Enter).await;
        page.until("!document.before && document.readyState === 'complete'")
            .await;
        assert_eq!(page.value("Honey, Honey 1").await, "honey-wildflower");
        assert_eq!(page.value("Name").await, "Keys only");
        reach(
            &page,
            "words(document.activeElement) === 'Save as revision 1'",
        )
        .await;
        page.run("document.before = true", vec![]).await;
        page.keys(Key::Enter).await;
        page.until("!document.before && document.readyState === 'complete'")
            .await;
        assert_eq!(page.heading().await, "Keys only");
        assert!(page.words().await.contains("Saved as revision 1."));
    })
    .await;
}

/// Tabs until the focus is there.
async fn reach(page: &Chromium, there: &str) {
    for _ in 0..200 {
        page.keys(Key::Tab).await;
        if page.tell(there).await == "true" {
            return;
        }
    }
    panic!("the Tab key never leads to {there}");
}
