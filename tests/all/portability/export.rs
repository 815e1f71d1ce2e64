//! The export: what is in it, what is not, and how it is written.

use super::{EXPORT, a_person, a_recipe, bytes_of, exported, json_of};
use crate::support::{Club, PASSWORD};

#[tokio::test]
async fn everything_of_ones_own_is_in_it_and_nothing_of_others() {
    let club = Club::open().await;
    let (_, ada) = a_person(&club, "Ada").await;
    let (_, bert) = a_person(&club, "Bert").await;
    a_recipe(&ada, "Ada’s private", "private").await;
    a_recipe(&ada, "Ada’s shared", "club").await;
    a_recipe(&bert, "Bert’s private", "private").await;
    a_recipe(&bert, "Bert’s shared", "club").await;
    let files = exported(&ada).await;
    let recipes = json_of(&files, "recipes.json");
    let titles: Vec<&str> = recipes
        .as_array()
        .unwrap()
        .iter()
        .map(|recipe| recipe["title"].as_str().unwrap())
        .collect();
    assert_eq!(titles, ["Ada’s private", "Ada’s shared"]);
    assert_eq!(recipes[0]["revisions"][0]["number"], 1);
    assert!(recipes[0]["revisions"][0]["document"]["ingredients"].is_array());
    let whole: Vec<u8> = files.iter().flat_map(|(_, bytes)| bytes.clone()).collect();
    let whole = String::from_utf8(whole).unwrap();
    assert!(!whole.contains("Bert"), "nothing of others");
    assert!(!whole.contains("argon2") && !whole.contains(PASSWORD));
    assert_eq!(json_of(&files, "settings.json")[0]["name"], "Ada");
}

#[tokio::test]
async fn each_file_is_listed_with_its_hash_and_each_kind_has_a_table() {
    let club = Club::open().await;
    let (_, ada) = a_person(&club, "Ada").await;
    a_recipe(&ada, "=1+1", "private").await;
    let files = exported(&ada).await;
    let manifest = json_of(&files, "manifest.json");
    assert_eq!(manifest["format"], 1);
    assert_eq!(manifest["club"], "Tarn Valley Mead Circle");
    assert_eq!(manifest["member"]["name"], "Ada");
    for (name, bytes) in &files {
        match name.as_str() {
            "manifest.json" | "readme.txt" => {}
            name => {
                let known = mustwright::portability::export::hash(bytes);
                assert_eq!(manifest["files"][name], known, "{name}");
            }
        }
    }
    for kind in mustwright::portability::kinds::ALL {
        json_of(&files, &format!("{}.json", kind.name()));
        bytes_of(&files, &format!("{}.csv", kind.name()));
    }
    let table = String::from_utf8(bytes_of(&files, "recipes.csv").to_vec()).unwrap();
    let mut lines = table.split("\r\n");
    assert!(lines.next().unwrap().contains("volume (L),OG,FG,ABV (%)"));
    let line = lines.next().unwrap();
    assert!(line.starts_with("'=1+1,private,"), "{line}");
    assert_eq!(json_of(&files, "recipes.json")[0]["title"], "=1+1");
}

#[tokio::test]
async fn strangers_get_nothing() {
    let club = Club::open().await;
    let page = club.browser().post(EXPORT, &[]).await;
    assert_ne!(page.status, 200);
    assert_ne!(page.header("content-type"), "application/zip");
}
