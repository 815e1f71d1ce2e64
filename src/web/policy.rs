//! Who may do what: one pure function, asked by routes, pages and stores alike.

use super::viewer::{MemberId, Role, Viewer};

/// What somebody wants to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Action {
    /// Open a page that is for everybody.
    Visit,
    /// Use the club's pages as oneself.
    TakePart,
    /// Open competitions, and practise one.
    Organise,
    /// Administer the club's server.
    KeepClub,
    /// Read a thing that a member owns.
    See,
    /// Start one's own from a thing.
    Copy,
    /// Change, restore or remove a thing.
    Change,
}

/// Who sees a thing besides its owner.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    Hash,
    sqlx::Type,
    serde::Serialize,
    serde::Deserialize,
)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
#[serde(rename_all = "lowercase")]
pub enum Visibility {
    /// Nobody.
    #[default]
    Private,
    /// Every member of the club.
    Club,
    /// Whoever holds its link.
    Link,
}

/// What the decision needs to know about the thing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Facts {
    /// Whose it is.
    pub owner: Option<MemberId>,
    /// Who else sees it.
    pub visibility: Visibility,
    /// The request carries the thing's own valid link.
    pub holds_link: bool,
}

impl Facts {
    /// Facts of a thing that `owner` has and `visibility` shows.
    pub fn of(owner: MemberId, visibility: Visibility) -> Facts {
        Facts {
            owner: Some(owner),
            visibility,
            holds_link: false,
        }
    }
}

/// Whom an action is open to before anything is known of the thing: the door at which a route asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Door {
    /// Everybody.
    Open,
    /// Signed-in members.
    Members,
    /// Organisers, and keepers.
    Organisers,
    /// Keepers.
    Keepers,
}

impl Action {
    /// The door of a route that serves this action.
    pub fn door(self) -> Door {
        match self {
            Action::Visit => Door::Open,
            Action::TakePart | Action::See | Action::Copy | Action::Change => Door::Members,
            Action::Organise => Door::Organisers,
            Action::KeepClub => Door::Keepers,
        }
    }
}

/// Whether `viewer` may do `action` to the thing of `facts`. A keeper keeps the server, not the members' secrets:
/// the role opens no private thing. To whoever judges, while the book is closed, the club and links open nothing either.
pub fn may(viewer: &Viewer, action: Action, facts: &Facts) -> bool {
    let owns = facts.owner.is_some() && facts.owner == viewer.id();
    let shown =
        facts.holds_link || (facts.visibility == Visibility::Club && viewer.member().is_some());
    let sees = owns || (shown && !viewer.book_closed());
    match action {
        Action::Visit => true,
        Action::TakePart => viewer.member().is_some(),
        Action::Organise => viewer.organises(),
        Action::KeepClub => viewer.role() == Some(Role::Keeper),
        Action::See => sees,
        Action::Copy => sees && viewer.member().is_some(),
        Action::Change => owns,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::web::viewer::{Member, Settings};

    fn viewer(id: i64, role: Role) -> Viewer {
        let member = Member {
            id: MemberId(id),
            public_id: "a".repeat(20),
            name: "Ada".to_owned(),
            role,
            settings: Settings::default(),
            session: 1,
            book_closed: false,
            catalogue: None,
        };
        Viewer::known(member)
    }

    #[test]
    fn the_whole_table() {
        let viewers = [
            Viewer::stranger(),
            viewer(1, Role::Member),
            viewer(2, Role::Member),
            viewer(2, Role::Organiser),
            viewer(2, Role::Keeper),
        ];
        // Each row: stranger, owner, another member, organiser, keeper.
        for (action, visibility, holds_link, wanted) in [
            (
                Action::Visit,
                Visibility::Private,
                false,
                [true, true, true, true, true],
            ),
            (
                Action::TakePart,
                Visibility::Private,
                false,
                [false, true, true, true, true],
            ),
            (
                Action::Organise,
                Visibility::Private,
                false,
                [false, false, false, true, true],
            ),
            (
                Action::KeepClub,
                Visibility::Private,
                false,
                [false, false, false, false, true],
            ),
            (
                Action::See,
                Visibility::Private,
                false,
                [false, true, false, false, false],
            ),
            (
                Action::See,
                Visibility::Club,
                false,
                [false, true, true, true, true],
            ),
            (
                Action::See,
                Visibility::Link,
                false,
                [false, true, false, false, false],
            ),
            (
                Action::See,
                Visibility::Link,
                true,
                [true, true, true, true, true],
            ),
            (
                Action::Copy,
                Visibility::Private,
                false,
                [false, true, false, false, false],
            ),
            (
                Action::Copy,
                Visibility::Club,
                false,
                [false, true, true, true, true],
            ),
            (
                Action::Copy,
                Visibility::Link,
                true,
                [false, true, true, true, true],
            ),
            (
                Action::Change,
                Visibility::Club,
                false,
                [false, true, false, false, false],
            ),
            (
                Action::Change,
                Visibility::Link,
                true,
                [false, true, false, false, false],
            ),
        ] {
            let facts = Facts {
                holds_link,
                ..Facts::of(MemberId(1), visibility)
            };
            let found: Vec<bool> = viewers
                .iter()
                .map(|viewer| may(viewer, action, &facts))
                .collect();
            assert_eq!(found, wanted, "{action:?} {visibility:?} {holds_link}");
        }
    }

    #[test]
    fn a_closed_book_shows_what_is_ones_own() {
        let judge = |id: i64| {
            let open = viewer(id, Role::Keeper);
            let member = open.member().cloned().expect("a member");
            Viewer::known(Member {
                book_closed: true,
                ..member
            })
        };
        for (visibility, holds_link) in [
            (Visibility::Club, false),
            (Visibility::Club, true),
            (Visibility::Link, true),
        ] {
            let facts = Facts {
                holds_link,
                ..Facts::of(MemberId(1), visibility)
            };
            for action in [Action::See, Action::Copy] {
                assert!(may(&judge(1), action, &facts), "{action:?} {facts:?}");
                assert!(!may(&judge(2), action, &facts), "{action:?} {facts:?}");
            }
            assert!(may(&judge(1), Action::Change, &facts));
        }
        assert!(may(&judge(2), Action::TakePart, &Facts::default()));
        assert!(may(&judge(2), Action::KeepClub, &Facts::default()));
    }

    #[test]
    fn what_nobody_owns_is_nobodys() {
        assert!(!may(&Viewer::stranger(), Action::See, &Facts::default()));
        assert!(!may(&Viewer::stranger(), Action::Change, &Facts::default()));
    }
}
