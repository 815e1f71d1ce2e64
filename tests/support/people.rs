//! People of the club.

use mustwright::members::model::NewMember;
use mustwright::members::names::Name;
use mustwright::members::store::create_member;
use mustwright::recipes::workbench::store::set_opens_whole;
use mustwright::web::viewer::{MemberId, Role, Settings};

use super::Club;

/// The password of everybody in tests who has none of their own.
pub const PASSWORD: &str = "nettle quilt harbour seven";

/// A member and their password.
#[derive(Clone, Debug)]
pub struct Person {
    pub id: MemberId,
    pub name: String,
    pub password: String,
}

/// A member in the making.
pub struct Builder {
    name: String,
    role: Role,
    settings: Settings,
    whole_form: bool,
}

/// A member called Ada, to whom the workbench opens as the whole form.
pub fn a_member() -> Builder {
    Builder {
        name: "Ada".to_owned(),
        role: Role::Member,
        settings: Settings::default(),
        whole_form: true,
    }
}

/// A keeper called Wren.
pub fn a_keeper() -> Builder {
    Builder {
        name: "Wren".to_owned(),
        role: Role::Keeper,
        settings: Settings::default(),
        whole_form: true,
    }
}

impl Builder {
    /// By another name.
    pub fn named(mut self, name: &str) -> Builder {
        self.name = name.to_owned();
        self
    }

    /// With another role.
    pub fn being(mut self, role: Role) -> Builder {
        self.role = role;
        self
    }

    /// With settings of their own.
    pub fn with(mut self, settings: Settings) -> Builder {
        self.settings = settings;
        self
    }

    /// To whom the workbench opens with five questions, as to everybody new.
    pub fn new_to_it(mut self) -> Builder {
        self.whole_form = false;
        self
    }

    /// Makes the member.
    pub async fn of(self, club: &Club) -> Person {
        let hash = club.app.hasher.hash(PASSWORD).await.expect("a hash");
        let name = Name::read(&self.name).expect("a name");
        let new = NewMember {
            name,
            password_hash: Some(hash),
            role: self.role,
            settings: self.settings,
        };
        let mut conn = club.pool().acquire().await.expect("a connection");
        let id = create_member(&mut conn, &new)
            .await
            .expect("the database")
            .expect("a free name");
        set_opens_whole(&mut conn, id, self.whole_form)
            .await
            .expect("the database");
        Person {
            id,
            name: self.name,
            password: PASSWORD.to_owned(),
        }
    }
}
