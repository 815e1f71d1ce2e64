//! The address of a database, as the settings give it.

use crate::web::paths::decoded;

/// Parameters that `sqlx` knows, by all their names.
const KNOWN: &[&str] = &[
    "sslmode",
    "ssl-mode",
    "sslrootcert",
    "ssl-root-cert",
    "ssl-ca",
    "sslcert",
    "ssl-cert",
    "sslkey",
    "ssl-key",
    "statement-cache-capacity",
    "host",
    "hostaddr",
    "port",
    "dbname",
    "user",
    "password",
    "application_name",
    "options",
];

/// An address without the parameters that `sqlx` does not know, and how many these are. It would log each with its value,
/// and a value may be a password under a mistyped name.
pub fn of_known(url: &str) -> (String, usize) {
    let Some((whole, query)) = url.split_once('?') else {
        return (url.to_owned(), 0);
    };
    let is_known = |pair: &&str| {
        let name = decoded(pair.split('=').next().unwrap_or_default());
        name.is_empty() || KNOWN.contains(&name.as_str()) || name.starts_with("options[")
    };
    let (known, unknown): (Vec<&str>, Vec<&str>) = query.split('&').partition(is_known);
    (format!("{whole}?{}", known.join("&")), unknown.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_nobody_knows_is_left_out() {
        for (url, kept, left_out) in [
            ("postgres://a@b/c", "postgres://a@b/c", 0),
            (
                "postgres://a@b/c?sslmode=require&pasword=hush&port=1",
                "postgres://a@b/c?sslmode=require&port=1",
                1,
            ),
            ("postgres://a@b/c?sslpassword=hush", "postgres://a@b/c?", 1),
            (
                "postgres://a@b/c?options[x.y]=1&user=d",
                "postgres://a@b/c?options[x.y]=1&user=d",
                0,
            ),
            (
                "postgres://a@b/c?options%5Bsearch_path%5D=club&ssl%6Dode=require",
                "postgres://a@b/c?options%5Bsearch_path%5D=club&ssl%6Dode=require",
                0,
            ),
        ] {
            assert_eq!(of_known(url), (kept.to_owned(), left_out), "{url}");
        }
        let (kept, _) = of_known("postgres://a@b/c?sslpassword=hush");
        let options: sqlx::postgres::PgConnectOptions = kept.parse().unwrap();
        assert_eq!(options.get_database(), Some("c"));
    }
}
