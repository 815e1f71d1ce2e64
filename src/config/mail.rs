//! The settings of mail, which stand together: a server wants a sender, an account a password.

use super::{BadSetting, bad};
use crate::mail::{Secrecy, Settings, read_address};

const SERVER: &str = "MUSTWRIGHT_MAIL_SERVER";
const SECRECY: &str = "MUSTWRIGHT_MAIL_SECRECY";
const USER: &str = "MUSTWRIGHT_MAIL_USER";
const PASSWORD: &str = "MUSTWRIGHT_MAIL_PASSWORD";
const FROM: &str = "MUSTWRIGHT_MAIL_FROM";

/// Reads them; none where no server is named.
pub(super) fn read<'a>(
    get: impl Fn(&str) -> Option<&'a str>,
    secrecy: &str,
) -> Result<Option<Settings>, BadSetting> {
    let secrecy = match secrecy {
        "starttls" => Secrecy::StartTls,
        "tls" => Secrecy::Tls,
        "none" => Secrecy::None,
        _ => return Err(bad(SECRECY, "wants starttls, tls or none")),
    };
    let Some(server) = get(SERVER) else {
        let alone = [USER, PASSWORD, FROM]
            .into_iter()
            .find(|name| get(name).is_some());
        return match alone {
            Some(name) => Err(bad(name, format!("is of no use without {SERVER}"))),
            None => Ok(None),
        };
    };
    let (host, port) = host_and_port(server)?;
    let from = get(FROM).ok_or_else(|| {
        bad(
            FROM,
            format!("is wanted with {SERVER}: the address that letters come from"),
        )
    })?;
    let from =
        read_address(from).ok_or_else(|| bad(FROM, "wants one address, like club@mead.example"))?;
    let account = match (get(USER), get(PASSWORD)) {
        (Some(user), Some(password)) => Some((user.to_owned(), password.to_owned())),
        (None, None) => None,
        (Some(_), None) => return Err(bad(PASSWORD, format!("is wanted with {USER}"))),
        (None, Some(_)) => return Err(bad(USER, format!("is wanted with {PASSWORD}"))),
    };
    if account.is_some() && secrecy == Secrecy::None && !is_here(&host) {
        return Err(bad(
            SECRECY,
            "none would send the password in the clear; that is for a mail server on this machine",
        ));
    }
    Ok(Some(Settings {
        host,
        port,
        secrecy,
        account,
        from,
    }))
}

fn is_here(host: &str) -> bool {
    host == "localhost"
        || host
            .parse()
            .is_ok_and(|address: std::net::IpAddr| address.is_loopback())
}

fn host_and_port(text: &str) -> Result<(String, Option<u16>), BadSetting> {
    let wants = || {
        bad(
            SERVER,
            "wants a name like mail.example, with :port if it is not the usual one",
        )
    };
    let (host, port) = match text.rsplit_once(':') {
        Some((host, port)) => (host, Some(port.parse().map_err(|_| wants())?)),
        None => (text, None),
    };
    let plain = |c: char| c.is_ascii_alphanumeric() || c == '.' || c == '-';
    match !host.is_empty() && host.chars().all(plain) && port != Some(0) {
        true => Ok((host.to_owned(), port)),
        false => Err(wants()),
    }
}

/// How a setting is printed; none for what is no setting of mail.
pub(super) fn printed(settings: Option<&Settings>, name: &str) -> Option<String> {
    let of = |value: &dyn Fn(&Settings) -> String| settings.map_or(String::new(), value);
    let port = |one: &Settings| one.port.map_or(String::new(), |port| format!(":{port}"));
    let account = settings.and_then(|one| one.account.as_ref());
    Some(match name {
        SERVER => of(&|one| format!("{}{}", one.host, port(one))),
        SECRECY => match settings.map(|one| one.secrecy) {
            None | Some(Secrecy::StartTls) => "starttls".to_owned(),
            Some(Secrecy::Tls) => "tls".to_owned(),
            Some(Secrecy::None) => "none".to_owned(),
        },
        USER => account.map_or(String::new(), |(user, _)| user.clone()),
        PASSWORD => match account {
            Some(_) => "(set)".to_owned(),
            None => "(not set)".to_owned(),
        },
        FROM => of(&|one| one.from.to_string()),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::*;
    use crate::config::Config;

    fn config(pairs: &[(&str, &str)]) -> Result<Config, BadSetting> {
        let pairs = pairs.iter();
        let values: BTreeMap<String, String> = pairs
            .map(|(name, value)| ((*name).to_owned(), (*value).to_owned()))
            .collect();
        Config::from_values(values)
    }

    #[test]
    fn nothing_set_is_no_mail() {
        assert!(config(&[]).unwrap().mail.is_none());
    }

    #[test]
    fn a_server_and_a_sender_are_enough() {
        let read = config(&[(SERVER, "mail.example:2525"), (FROM, "club@mead.example")]);
        let read = read.unwrap();
        let mail = read.mail.as_ref().unwrap();
        assert_eq!(
            (mail.host.as_str(), mail.port),
            ("mail.example", Some(2525))
        );
        assert_eq!(mail.secrecy, Secrecy::StartTls);
        assert!(
            read.printed()
                .contains("MUSTWRIGHT_MAIL_SERVER=mail.example:2525")
        );
    }

    #[test]
    fn the_password_is_never_printed() {
        let read = config(&[
            (SERVER, "mail.example"),
            (FROM, "club@mead.example"),
            (USER, "club"),
            (PASSWORD, "hush"),
        ]);
        let read = read.unwrap();
        assert!(read.printed().contains("MUSTWRIGHT_MAIL_PASSWORD=(set)"));
        assert!(!read.printed().contains("hush"));
        assert!(!format!("{:?}", read.mail).contains("hush"));
    }

    #[test]
    fn what_is_missing_or_wrong_is_named() {
        let with = |more: &[(&'static str, &'static str)]| {
            let mut pairs = vec![(SERVER, "mail.example"), (FROM, "club@mead.example")];
            pairs.retain(|(name, _)| !more.iter().any(|(other, _)| other == name));
            pairs.extend(more);
            config(&pairs).unwrap_err().name
        };
        assert_eq!(with(&[(SERVER, "smtp://mail.example")]), SERVER);
        assert_eq!(with(&[(SERVER, "mail.example:99999")]), SERVER);
        assert_eq!(with(&[(FROM, "club")]), FROM);
        assert_eq!(with(&[(FROM, "")]), FROM);
        assert_eq!(with(&[(USER, "club")]), PASSWORD);
        assert_eq!(with(&[(PASSWORD, "hush")]), USER);
        assert_eq!(with(&[(SECRECY, "ssl")]), SECRECY);
        assert_eq!(
            with(&[(SECRECY, "none"), (USER, "club"), (PASSWORD, "hush")]),
            SECRECY
        );
        assert_eq!(
            config(&[(FROM, "club@mead.example")]).unwrap_err().name,
            FROM
        );
    }
}
