//! What a token opens: asked at every door, so that what is not named here stays shut.

use super::paths::{Method, Route};

/// What a member's token is for. A session has none: it opens all that its member may do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Grant {
    /// Programs that read recipes.
    Read,
    /// Programs that read recipes and change the member's own.
    Write,
    /// A feed reader: the one feed whose address it stands in, nothing else.
    Feed,
    /// A calendar: the one whose address it stands in, nothing else.
    Calendar,
}

impl Grant {
    /// All of them, those that open least first.
    pub const ALL: [Grant; 4] = [Grant::Feed, Grant::Calendar, Grant::Read, Grant::Write];

    /// The word in the database and in forms.
    pub fn as_str(self) -> &'static str {
        match self {
            Grant::Read => "read",
            Grant::Write => "write",
            Grant::Feed => "feed",
            Grant::Calendar => "calendar",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Grant> {
        Grant::ALL.into_iter().find(|grant| grant.as_str() == word)
    }

    /// Whether it opens a route: of the JSON API reading or all of it, of everything else nothing.
    pub fn opens(self, route: Route) -> bool {
        match (self, route.method) {
            _ if !route.path.starts_with("/api/") => false,
            (Grant::Write, _) | (Grant::Read, Method::Get) => true,
            _ => false,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::policy::Action;

    #[test]
    fn what_is_not_named_stays_shut() {
        let api = "/api/v1/recipes";
        for (route, wanted) in [
            (
                Route::get(api, Action::TakePart),
                [false, false, true, true],
            ),
            (
                Route::post(api, Action::TakePart),
                [false, false, false, true],
            ),
            (Route::put(api, Action::Change), [false, false, false, true]),
            (
                Route::delete(api, Action::Change),
                [false, false, false, true],
            ),
            (Route::get("/recipes", Action::TakePart), [false; 4]),
            (Route::post("/settings", Action::TakePart), [false; 4]),
        ] {
            assert_eq!(
                Grant::ALL.map(|grant| grant.opens(route)),
                wanted,
                "{route:?}"
            );
        }
    }
}
