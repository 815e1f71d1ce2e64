//! What to warn about in a database server at start, a private one or the one of DATABASE_URL.

use sqlx::PgConnection;

use super::error::SUPPORTED;

/// Sentences for the keeper: settings that lose acknowledged entries in a power cut, a locale that gets letters
/// beyond ASCII wrong, an encoding or a major that does not serve. Empty when all is well.
pub async fn doubts(connection: &mut PgConnection) -> Result<Vec<String>, sqlx::Error> {
    let settings: Vec<(String, String)> = sqlx::query_as(
        "select name, setting from pg_settings
         where name in ('fsync', 'synchronous_commit', 'full_page_writes', 'server_encoding', 'server_version_num')",
    )
    .fetch_all(&mut *connection)
    .await?;
    let mut doubts = Vec::new();
    for (name, setting) in settings {
        let sentence = match (name.as_str(), setting.as_str()) {
            ("fsync" | "synchronous_commit" | "full_page_writes", "off") => {
                format!(
                    "the setting {name} is off: a power cut can lose entries that were acknowledged"
                )
            }
            ("server_encoding", encoding) if encoding != "UTF8" => {
                format!(
                    "the database is encoded in {encoding}: make one in UTF8, or some letters are refused"
                )
            }
            ("server_version_num", number) => {
                match number.parse::<u32>().map(|number| number / 10_000) {
                    Ok(major) if SUPPORTED.contains(&major) => continue,
                    _ => format!(
                        "the server's version is {number}; Mustwright is tested with PostgreSQL {} to {}",
                        SUPPORTED.start(),
                        SUPPORTED.end()
                    ),
                }
            }
            _ => continue,
        };
        doubts.push(sentence);
    }
    let (letters,): (bool,) = sqlx::query_as("select upper('ärger') = 'ÄRGER' and 'É' ilike 'é'")
        .fetch_one(connection)
        .await?;
    if !letters {
        doubts.push(
            "the locale of the database does not know letters beyond ASCII, so search misses them: \
             make the database with the locale C.UTF-8"
                .to_owned(),
        );
    }
    Ok(doubts)
}
