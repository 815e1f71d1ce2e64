//! Whom the club asks for a second step, and what holds them until they have one.

use axum::http::Method;

use super::paths;
use crate::web::viewer::Role;

/// Whom a second step is asked of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Rule {
    /// Those who can do harm to others: organisers and keepers.
    #[default]
    OrganisersAndKeepers,
    /// Every member.
    Everybody,
    /// Nobody; whoever wants one sets it up.
    Nobody,
}

impl Rule {
    /// All of them.
    pub const ALL: [Rule; 3] = [Rule::OrganisersAndKeepers, Rule::Everybody, Rule::Nobody];

    /// The word of the setting.
    pub fn as_str(self) -> &'static str {
        match self {
            Rule::OrganisersAndKeepers => "organisers-and-keepers",
            Rule::Everybody => "everybody",
            Rule::Nobody => "nobody",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Rule> {
        Rule::ALL.into_iter().find(|rule| rule.as_str() == word)
    }

    /// Whether a member of this role must have a second step.
    pub fn asks(self, role: Role) -> bool {
        match self {
            Rule::OrganisersAndKeepers => matches!(role, Role::Organiser | Role::Keeper),
            Rule::Everybody => true,
            Rule::Nobody => false,
        }
    }

    /// Whether a member of this role must set up a second step before anything else.
    pub fn holds(self, role: Role, has_second_step: bool) -> bool {
        self.asks(role) && !has_second_step
    }
}

/// Whether a path stays open to a member who has yet to set up the second step: setting it up, proving who one is for
/// that, and signing out. Everything else waits.
pub fn stays_open(method: &Method, path: &str) -> bool {
    let own = [paths::SECOND_STEP.path, paths::AGAIN.path].contains(&path);
    let below = path
        .strip_prefix(paths::SECOND_STEP.path)
        .is_some_and(|rest| rest.starts_with('/'));
    let signs_in = path == "/sign-in" || path.starts_with("/sign-in/");
    own || below || (method == Method::POST && (signs_in || path == "/sign-out"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_roles_follow_the_setting() {
        for (rule, asked) in [
            (Rule::default(), [false, true, true]),
            (Rule::Everybody, [true, true, true]),
            (Rule::Nobody, [false, false, false]),
        ] {
            assert_eq!(Role::ALL.map(|role| rule.asks(role)), asked, "{rule:?}");
            assert_eq!(Rule::from_word(rule.as_str()), Some(rule));
        }
        assert_eq!(Rule::from_word("keepers"), None);
    }

    #[test]
    fn only_the_way_out_stays_open() {
        for (method, path, open) in [
            (Method::GET, "/second-step", true),
            (Method::GET, "/second-step/app", true),
            (Method::POST, "/second-step/app/confirm", true),
            (Method::GET, "/sign-in/again", true),
            (Method::POST, "/sign-in", true),
            (Method::POST, "/sign-out", true),
            (Method::GET, "/sign-in", false),
            (Method::GET, "/second-steps", false),
            (Method::GET, "/", false),
            (Method::POST, "/settings/password", false),
            (Method::POST, "/recipes", false),
        ] {
            assert_eq!(stays_open(&method, path), open, "{method} {path}");
        }
    }
}
