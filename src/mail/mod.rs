//! Letters that the club's server sends by mail, where the settings name a server for it; without one there is no trace.
//!
//! Whatever is to be sent is asked for ([`asking`]) in the transaction of what it tells of, and sent as a job
//! (`sending`): once, tried again while the mail server does not answer, dropped after a day.

pub mod asking;
mod letters;
pub mod pages;
pub mod paths;
mod reminding;
pub mod sending;
pub mod store;

use std::fmt;
use std::time::Duration;

use lettre::message::Mailbox;
use lettre::message::header::{ContentType, HeaderName, HeaderValue};
use lettre::transport::smtp;
use lettre::transport::smtp::authentication::Credentials;
use lettre::transport::smtp::client::{Tls, TlsParameters};
use lettre::transport::smtp::extension::ClientId;
use lettre::{Address, AsyncSmtpTransport, AsyncTransport, Message, Tokio1Executor};

use crate::jobs::Failed;
use crate::web::random;
use crate::web::site::Site;

/// How long the mail server may take for each word of its own.
const PATIENCE: Duration = Duration::from_secs(15);
/// The most characters of an address (RFC 5321, section 4.5.3.1.3, less its brackets).
pub const ADDRESS_MAX: usize = 254;

/// How the way to the mail server is kept from other eyes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Secrecy {
    /// The connection begins in the clear and goes on only once it is encrypted.
    StartTls,
    /// Encrypted from its first byte.
    Tls,
    /// Not at all: for a mail server on the same machine.
    None,
}

/// The settings of mail.
#[derive(Clone, PartialEq, Eq)]
pub struct Settings {
    /// The mail server's name.
    pub host: String,
    /// Its port; none: the usual one.
    pub port: Option<u16>,
    pub secrecy: Secrecy,
    /// The account there and its password.
    pub account: Option<(String, String)>,
    /// Who the letters are from.
    pub from: Address,
}

impl fmt::Debug for Settings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "mail by {} from {}", self.host, self.from)
    }
}

/// A letter.
#[derive(Clone, Debug, PartialEq)]
pub struct Letter {
    pub to: Address,
    pub subject: String,
    /// Plain text.
    pub body: String,
    /// Where letters of this kind are stopped.
    pub stop: Option<String>,
}

/// Whether mail is sent, and by whom. Cheap to clone.
#[derive(Clone, Default)]
pub struct Mail(Option<Mailer>);

impl Mail {
    /// Mail by these settings, for this site.
    ///
    /// # Errors
    /// When the server's name is none that a certificate could bear.
    pub fn of(settings: Option<&Settings>, site: &Site) -> Result<Mail, Failed> {
        let mailer = settings.map(|settings| Mailer::new(settings, site));
        Ok(Mail(mailer.transpose()?))
    }

    /// Whether the settings name a mail server.
    pub fn is_on(&self) -> bool {
        self.0.is_some()
    }

    /// Who sends.
    pub fn mailer(&self) -> Option<&Mailer> {
        self.0.as_ref()
    }
}

/// What sends letters.
#[derive(Clone)]
pub struct Mailer {
    transport: AsyncSmtpTransport<Tokio1Executor>,
    from: Address,
    /// What identifies letters ends with it.
    host: String,
}

impl Mailer {
    fn new(settings: &Settings, site: &Site) -> Result<Mailer, Failed> {
        let bad = |cause: smtp::Error| {
            Failed::for_good("The name of the mail server cannot be used.").because(cause)
        };
        let host = settings.host.as_str();
        let tls = || TlsParameters::new(host.to_owned()).map_err(bad);
        let (tls, usual) = match settings.secrecy {
            Secrecy::StartTls => (Tls::Required(tls()?), 587),
            Secrecy::Tls => (Tls::Wrapper(tls()?), 465),
            Secrecy::None => (Tls::None, 25),
        };
        let named = site.host().split(':').next().unwrap_or("localhost");
        let transport = AsyncSmtpTransport::<Tokio1Executor>::builder_dangerous(host)
            .port(settings.port.unwrap_or(usual))
            .tls(tls)
            .timeout(Some(PATIENCE))
            .hello_name(match named.parse() {
                Ok(address) => ClientId::Ipv4(address),
                Err(_) => ClientId::Domain(named.to_owned()),
            });
        let transport = match &settings.account {
            Some((name, password)) => {
                transport.credentials(Credentials::new(name.clone(), password.clone()))
            }
            None => transport,
        };
        Ok(Mailer {
            transport: transport.build(),
            from: settings.from.clone(),
            host: named.to_owned(),
        })
    }

    /// Whether the mail server answers and lets us in.
    ///
    /// # Errors
    /// When it does not: nothing was sent, and a later try may do better.
    pub async fn reach(&self) -> Result<(), Failed> {
        match self.transport.test_connection().await {
            Ok(true) => Ok(()),
            Ok(false) => Err(Failed::for_now("The mail server does not answer.")),
            Err(cause) if cause.is_permanent() => {
                let words = "The mail server does not let us in: see to the name and password of its account.";
                Err(Failed::for_now(words).because(cause))
            }
            Err(cause) => Err(Failed::for_now("The mail server does not answer.").because(cause)),
        }
    }

    /// Hands a letter to the mail server. The library writes the headers, so that nothing in a text can become one.
    ///
    /// # Errors
    /// When the mail server did not take it. When nobody knows whether it did, no later try is made.
    pub async fn send(&self, club: &str, letter: &Letter) -> Result<(), Failed> {
        let message = self.written(club, letter)?;
        let Err(cause) = self.transport.send(message).await else {
            return Ok(());
        };
        let failed = if cause.is_permanent() {
            Failed::for_good("The mail server refused the letter: the address may be wrong.")
        } else if cause.is_transient() {
            Failed::for_now("The mail server cannot take the letter right now.")
        } else {
            Failed::for_good(
                "The mail server fell silent. It may have the letter, so it is not sent a second time.",
            )
        };
        let to = letter.to.to_string();
        Err(failed.because(without(&to, &cause.to_string())))
    }

    fn written(&self, club: &str, letter: &Letter) -> Result<Message, Failed> {
        let bad = |cause: &dyn fmt::Display| {
            Failed::for_good("The letter could not be written.").because(cause)
        };
        // The library refuses a header of several lines only once it is written out.
        let one_line = |text: &str| text.replace(char::is_control, " ");
        let id = random::public_id().map_err(|cause| bad(&cause))?;
        let mut message = Message::builder()
            .from(Mailbox::new(Some(one_line(club)), self.from.clone()))
            .to(Mailbox::new(None, letter.to.clone()))
            .subject(one_line(&letter.subject))
            .message_id(Some(format!("<{id}@{}>", self.host)))
            .date_now()
            .raw_header(HeaderValue::new(
                HeaderName::new_from_ascii_str("Auto-Submitted"),
                "auto-generated".to_owned(),
            ))
            .header(ContentType::TEXT_PLAIN);
        if let Some(stop) = &letter.stop {
            message = message.raw_header(HeaderValue::new(
                HeaderName::new_from_ascii_str("List-Unsubscribe"),
                format!("<{stop}>"),
            ));
        }
        message
            .body(letter.body.clone())
            .map_err(|cause| bad(&cause))
    }
}

/// What a mail server said, for the log, where no address belongs: servers tell the reader's again, in large letters or
/// small ones.
fn without(address: &str, said: &str) -> String {
    let (address, low) = (address.to_ascii_lowercase(), said.to_ascii_lowercase());
    let (mut kept, mut from) = (String::new(), 0);
    for (at, found) in low.match_indices(&address) {
        kept.push_str(&said[from..at]);
        kept.push_str("the reader");
        from = at + found.len();
    }
    kept + &said[from..]
}

/// An address as somebody typed it.
pub fn read_address(typed: &str) -> Option<Address> {
    let typed = typed.trim();
    let fits = typed.len() <= ADDRESS_MAX && typed.is_ascii();
    let has_a_dot = typed
        .rsplit('@')
        .next()
        .is_some_and(|host| host.contains('.'));
    typed.parse().ok().filter(|_| fits && has_a_dot)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mailer() -> Mailer {
        let settings = Settings {
            host: "mail.example".to_owned(),
            port: None,
            secrecy: Secrecy::None,
            account: None,
            from: "club@mead.example".parse().unwrap(),
        };
        let site = Site::new("Club", "https://mead.example");
        Mail::of(Some(&settings), &site).unwrap().0.unwrap()
    }

    #[tokio::test]
    async fn no_text_becomes_a_header() {
        let letter = Letter {
            to: "ada@mead.example".parse().unwrap(),
            subject: "One\r\nBcc: all@mead.example\r\n\r\nand a body".to_owned(),
            body: "A line\n.\nBcc: all@mead.example\n".to_owned(),
            stop: None,
        };
        let written = mailer().written("Club\r\nBcc: all@mead.example", &letter);
        let text = String::from_utf8(written.unwrap().formatted()).unwrap();
        let (head, _) = text.split_once("\r\n\r\n").unwrap();
        let names: Vec<&str> = head
            .lines()
            .filter(|line| !line.starts_with([' ', '\t']))
            .filter_map(|line| line.split_once(':'))
            .map(|(name, _)| name)
            .collect();
        assert!(!names.contains(&"Bcc"), "{head}");
        assert!(
            names.contains(&"Subject") && names.contains(&"Auto-Submitted"),
            "{head}"
        );
    }

    #[test]
    fn what_a_mail_server_said_is_told_without_the_address() {
        for (said, told) in [
            (
                "550 <Ada@MEAD.example>: no ada@mead.example – here",
                "550 <the reader>: no the reader – here",
            ),
            ("ada@mead.example", "the reader"),
            ("the connection was closed", "the connection was closed"),
        ] {
            assert_eq!(without("Ada@mead.example", said), told);
        }
    }

    #[test]
    fn addresses_are_read_as_they_are_typed() {
        for good in ["ada@mead.example", " a.b+c@x.mead.example "] {
            assert_eq!(read_address(good).unwrap().to_string(), good.trim());
        }
        let long = format!("{}@mead.example", "a".repeat(250));
        for bad in [
            "",
            "ada",
            "ada@",
            "ada@mead",
            "a b@mead.example",
            "ada@mead.example\r\nBcc: x@y.example",
            "ada@mead.example, bea@mead.example",
            "<ada@mead.example>",
            long.as_str(),
        ] {
            assert!(read_address(bad).is_none(), "{bad}");
        }
    }
}
