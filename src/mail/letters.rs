//! What the letters say: plain text, no private title in a subject.

use lettre::Address;

use super::Letter;
use super::asking::Notice;

/// The club as letters name it.
pub(super) struct Writer<'a> {
    pub club: &'a str,
    pub address: String,
}

impl Writer<'_> {
    fn letter(&self, to: Address, subject: &str, text: &str) -> Letter {
        Letter {
            to,
            subject: format!("{}: {subject}", self.club),
            body: format!(
                "{text}\n\n-- \n{}, {}\nThis letter was written by the club's server; nobody reads answers to it.\n",
                self.club, self.address
            ),
            stop: None,
        }
    }

    /// The letter by which an address is confirmed.
    pub(super) fn confirmation(&self, to: Address, link: &str, hours: i32) -> Letter {
        let text = format!(
            "Somebody gave this address to be written to by {}.\n\nIf that was you, open this page within {hours} hours \
             and press the button there:\n\n{link}\n\nIf it was not you, do nothing: no more letters come.",
            self.club
        );
        self.letter(to, "is this your address?", &text)
    }

    /// The letter with a link for a new password.
    pub(super) fn reset(&self, to: Address, link: &str, hours: i32) -> Letter {
        let within = match hours {
            1 => "an hour".to_owned(),
            hours => format!("{hours} hours"),
        };
        let text = format!(
            "Somebody asked for a new password for your account.\n\nIf that was you, choose one here within {within}; \
             the link works once:\n\n{link}\n\nIf it was not you, do nothing: your password stays as it is. Give the link to nobody."
        );
        self.letter(to, "a new password", &text)
    }

    /// The letter with an invite's link.
    pub(super) fn invite(&self, to: Address, link: &str, keeper: &str, until: &str) -> Letter {
        let text = format!(
            "{keeper} invites you to join {}.\n\nOpen this page and fill in the form there, until {until}:\n\n{link}\n\n\
             Whoever has the link can use it, so pass it on to nobody. If you do not know what this is about, do nothing: \
             your address is not kept.",
            self.club
        );
        self.letter(to, "an invite", &text)
    }

    /// The letter that tells of a change.
    pub(super) fn notice(&self, to: Address, notice: Notice) -> Letter {
        let (subject, what) = match notice {
            Notice::Password => (
                "your password was changed",
                "The password of your account was changed just now.",
            ),
            Notice::SecondStep => (
                "your second step was changed",
                "The second step of your account was changed just now: an app, a passkey or recovery codes were added or taken away.",
            ),
            Notice::Address => (
                "your address was changed",
                "This address was taken out of your account just now; letters go to another one, or nowhere.",
            ),
        };
        let text = format!(
            "{what}\n\nIf that was you, there is nothing to do. If it was not, tell a keeper of the club at once, and change \
             your password here:\n\n{}",
            self.address
        );
        self.letter(to, subject, &text)
    }

    /// The day's reminder: what each batch wants, and where.
    pub(super) fn reminder(
        &self,
        to: Address,
        wanted: &[(String, String, String)],
        stop: String,
    ) -> Letter {
        let lines: Vec<String> = wanted
            .iter()
            .map(|(words, detail, link)| format!("* {words}\n  {detail}\n  {link}"))
            .collect();
        let text = format!(
            "What your batches want:\n\n{}\n\nNo more of these letters? Open this page and press the button there:\n\n{stop}",
            lines.join("\n\n")
        );
        Letter {
            stop: Some(stop),
            ..self.letter(to, "what your batches want today", &text)
        }
    }

    /// The letter of a trial.
    pub(super) fn trial(&self, to: Address) -> Letter {
        let text = "This is a trial: the club's server can send letters.";
        self.letter(to, "a trial", text)
    }
}
