//! Who looks: the member behind a request, their role and their settings.

use std::convert::Infallible;
use std::sync::Arc;

use axum::extract::{FromRequestParts, OptionalFromRequestParts};
use axum::http::request::Parts;
use serde::{Deserialize, Serialize};

use super::error::Error;
use super::shell::Theme;
use super::units::Units;

/// A member's key inside the database; it never stands in an address.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, sqlx::Type, Serialize, Deserialize,
)]
#[sqlx(transparent)]
pub struct MemberId(pub i64);

/// What a member may do for the club.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, sqlx::Type)]
#[sqlx(type_name = "text", rename_all = "lowercase")]
pub enum Role {
    /// Makes mead.
    Member,
    /// Runs competitions too.
    Organiser,
    /// Administers the club's server.
    Keeper,
}

impl Role {
    /// All of them, the one who may do least first.
    pub const ALL: [Role; 3] = [Role::Member, Role::Organiser, Role::Keeper];

    /// The word as stored and shown.
    pub fn as_str(self) -> &'static str {
        match self {
            Role::Member => "member",
            Role::Organiser => "organiser",
            Role::Keeper => "keeper",
        }
    }

    /// Reads the word back.
    pub fn from_word(word: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|role| role.as_str() == word)
    }
}

/// How a member wants pages to speak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Units shown.
    pub units: Units,
    /// Light or dark.
    pub theme: Theme,
    /// Where the member lives, for dates.
    pub zone: chrono_tz::Tz,
    /// Grams of yeast in one sachet.
    pub sachet_g: f64,
    /// What their scales show where no instrument of theirs says: for powders, and for honey and whatever else is heavy, g.
    pub powder_step_g: f64,
    pub honey_step_g: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            units: Units::default(),
            theme: Theme::default(),
            zone: chrono_tz::UTC,
            sachet_g: 5.0,
            powder_step_g: 1.0,
            honey_step_g: 5.0,
        }
    }
}

/// What the club's catalogue is made of: another one after every change of it. Pages need it, so it is read with the session.
#[derive(Clone, Debug, PartialEq, Eq, sqlx::Type)]
#[sqlx(transparent)]
pub struct CatalogueState(String);

/// A signed-in member. As a handler's argument it demands one: a stranger is asked to sign in.
#[derive(Clone, Debug, PartialEq)]
pub struct Member {
    /// Key inside the database.
    pub id: MemberId,
    /// Random id for addresses.
    pub public_id: String,
    /// The name as shown.
    pub name: String,
    /// What they may do for the club.
    pub role: Role,
    /// How pages speak to them.
    pub settings: Settings,
    /// The session through which they came.
    pub session: i64,
    /// Whether they judge or pour at a competition between its close and its release: until then they read no recipe,
    /// batch or tasting but their own.
    pub book_closed: bool,
    /// What the club's catalogue was made of when they asked, if that was read with them.
    pub catalogue: Option<CatalogueState>,
}

/// Whoever looks: a member or a stranger. Put into every request by the members' middleware; read from the
/// database on each request, so that a role taken away is gone at once.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Viewer(Option<Arc<Member>>);

impl Viewer {
    /// Nobody we know.
    pub fn stranger() -> Viewer {
        Viewer(None)
    }

    /// A signed-in member.
    pub fn known(member: Member) -> Viewer {
        Viewer(Some(Arc::new(member)))
    }

    /// The member, if signed in.
    pub fn member(&self) -> Option<&Member> {
        self.0.as_deref()
    }

    /// The member's key, if signed in.
    pub fn id(&self) -> Option<MemberId> {
        self.0.as_ref().map(|member| member.id)
    }

    /// The member's role, if signed in.
    pub fn role(&self) -> Option<Role> {
        self.0.as_ref().map(|member| member.role)
    }

    /// The member's settings, or the defaults for a stranger.
    pub fn settings(&self) -> Settings {
        self.0
            .as_ref()
            .map_or_else(Settings::default, |member| member.settings)
    }

    /// Whether they read nothing of other makers just now.
    pub fn book_closed(&self) -> bool {
        self.member().is_some_and(|member| member.book_closed)
    }

    /// Whether this is somebody who opens competitions: an organiser, or a keeper.
    pub fn organises(&self) -> bool {
        matches!(self.role(), Some(Role::Organiser | Role::Keeper))
    }

    /// Whether this is a keeper.
    pub fn is_keeper(&self) -> bool {
        self.role() == Some(Role::Keeper)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Viewer {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Infallible> {
        Ok(parts
            .extensions
            .get::<Viewer>()
            .cloned()
            .unwrap_or_default())
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Member {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        let viewer = parts.extensions.get::<Viewer>();
        viewer
            .and_then(|viewer| viewer.member().cloned())
            .ok_or_else(Error::sign_in)
    }
}

impl<S: Send + Sync> OptionalFromRequestParts<S> for Member {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Option<Self>, Infallible> {
        Ok(parts
            .extensions
            .get::<Viewer>()
            .and_then(|viewer| viewer.member().cloned()))
    }
}
