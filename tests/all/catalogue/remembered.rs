//! The catalogue that the server remembers is never older than the rows.

use chrono::Utc;
use mustwright::catalogue::own::store::make;
use mustwright::catalogue::own::{Document, KEY_PREFIX, Remembered, Sort};
use sqlx::PgConnection;

use crate::support::{Club, Person, a_keeper};

async fn write(conn: &mut PgConnection, name: &str, letter: char, keeper: &Person) {
    let mut document = Document::default();
    document.set_text("name", name);
    let key = format!("{KEY_PREFIX}{}", letter.to_string().repeat(20));
    make(conn, &key, Sort::Feed, &document, keeper.id, Utc::now())
        .await
        .expect("made");
}

#[tokio::test]
async fn what_anybody_writes_is_there_with_the_next_look() {
    let club = Club::open().await;
    let wren = a_keeper().of(&club).await;
    let pool = club.pool();
    let mut eyes = pool.acquire().await.unwrap();
    // The server's own memory, and that of another server on the same rows.
    let memories = [club.app.catalogue.clone(), Remembered::default()];
    let mut names = async || {
        let mut seen = Vec::new();
        for memory in &memories {
            let catalogue = memory.now(&mut eyes).await.unwrap();
            let own = catalogue.own().iter();
            seen.push(
                own.map(|own| own.thing.name().to_owned())
                    .collect::<Vec<_>>(),
            );
        }
        assert_eq!(seen[0], seen[1]);
        seen.swap_remove(0)
    };
    assert_eq!(names().await, [""; 0]);

    // The one that wrote first ends last: its row has the lower number, and is not missed for it.
    let mut slow = pool.begin().await.unwrap();
    write(&mut slow, "Slow", 'a', &wren).await;
    let mut quick = pool.begin().await.unwrap();
    write(&mut quick, "Quick", 'b', &wren).await;
    assert_eq!(names().await, [""; 0], "nothing is committed yet");
    quick.commit().await.unwrap();
    assert_eq!(names().await, ["Quick"]);
    slow.commit().await.unwrap();
    assert_eq!(names().await, ["Quick", "Slow"]);
    assert_eq!(names().await, ["Quick", "Slow"], "and stays");
}
