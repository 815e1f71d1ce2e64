//! A competition in the making: in any phase, with a roster and entries, by the stores and without its pages.

use chrono::Utc;
use mustwright::competitions::model::{Category, CompetitionId, Duty, Phase};
use mustwright::competitions::organise::making::{Beginning, make};
use mustwright::competitions::{organise, store};
use mustwright::engine::contest::declared::Declared;
use mustwright::engine::contest::rules::Rules;
use mustwright::recipes::public_id::PublicId;
use sqlx::types::Json;

use crate::support::{Club, Person};

/// A competition that a test opened.
pub struct Held {
    pub id: CompetitionId,
    pub public_id: String,
    /// The path of its page.
    pub path: String,
    pub categories: Vec<Category>,
}

/// An entry that a test put in.
pub struct PutIn {
    pub id: i64,
    pub code: String,
}

/// A competition in the making.
pub struct Builder<'a> {
    beginning: Beginning,
    phase: Phase,
    roster: Vec<(&'a Person, Duty)>,
}

/// A competition called "Autumn meads", open for entries, under the rules that a club starts from.
pub fn a_competition<'a>() -> Builder<'a> {
    Builder {
        beginning: Beginning {
            title: "Autumn meads".to_owned(),
            ..Beginning::default()
        },
        phase: Phase::Open,
        roster: Vec::new(),
    }
}

impl<'a> Builder<'a> {
    /// By another name.
    pub fn called(mut self, title: &str) -> Builder<'a> {
        self.beginning.title = title.to_owned();
        self
    }

    /// In another phase.
    pub fn in_phase(mut self, phase: Phase) -> Builder<'a> {
        self.phase = phase;
        self
    }

    /// As a rehearsal.
    pub fn rehearsed(mut self) -> Builder<'a> {
        self.beginning.rehearsal = true;
        self
    }

    /// With rules of its own.
    pub fn ruled(mut self, change: impl FnOnce(&mut Rules)) -> Builder<'a> {
        change(&mut self.beginning.rules);
        self
    }

    /// With somebody on the roster.
    pub fn with(mut self, person: &'a Person, duty: Duty) -> Builder<'a> {
        self.roster.push((person, duty));
        self
    }

    /// Makes it; this person organises it.
    pub async fn of(self, club: &Club, organiser: &Person) -> Held {
        let mut tx = club.pool().begin().await.expect("a transaction");
        let made = make(&mut tx, organiser.id, &self.beginning, Utc::now()).await;
        let Ok((id, public_id)) = made else {
            panic!("the competition was not made");
        };
        for (person, duty) in self.roster {
            let added = organise::store::add_duty(&mut tx, id, person.id, duty).await;
            assert!(added.expect("the database"), "the duty was there");
        }
        let categories = store::categories(&mut tx, id).await.expect("categories");
        tx.commit().await.expect("a commit");
        let public_id = public_id.as_str().to_owned();
        let held = Held {
            id,
            path: format!("/competitions/{public_id}"),
            public_id,
            categories,
        };
        held.stands_in(club, self.phase).await;
        held
    }
}

impl Held {
    /// Puts it into a phase, whatever that would demand.
    pub async fn stands_in(&self, club: &Club, phase: Phase) {
        let released = (phase >= Phase::Released).then(Utc::now);
        sqlx::query("update competitions set phase = $2, released_at = $3 where id = $1")
            .bind(self.id.0)
            .bind(phase.word())
            .bind(released)
            .execute(club.pool())
            .await
            .expect("the phase");
    }

    /// Where it stands.
    pub async fn phase(&self, club: &Club) -> String {
        sqlx::query_scalar("select phase from competitions where id = $1")
            .bind(self.id.0)
            .fetch_one(club.pool())
            .await
            .expect("the phase")
    }

    /// Puts an entry of this person into the category at this index, under a code, past all rules.
    pub async fn entry_of(
        &self,
        club: &Club,
        person: &Person,
        category: usize,
        code: &str,
    ) -> PutIn {
        let public_id = PublicId::random().expect("randomness").as_str().to_owned();
        let mut tx = club.pool().begin().await.expect("a transaction");
        let declared = Declared {
            abv_percent: 12.0,
            ..Declared::default()
        };
        let id: i64 = sqlx::query_scalar(
            "insert into competition_entries (public_id, competition_id, category_id, code, declared)
             values ($1, $2, $3, $4, $5) returning id",
        )
        .bind(&public_id)
        .bind(self.id.0)
        .bind(self.categories[category].id.0)
        .bind(code)
        .bind(Json(&declared))
        .fetch_one(&mut *tx)
        .await
        .expect("an entry");
        sqlx::query(
            "insert into competition_makers (entry_id, member_id, leads, name, entered_at) values ($1, $2, true, $3, $4)",
        )
        .bind(id)
        .bind(person.id.0)
        .bind(format!("Mead {code}"))
        .bind(Utc::now())
        .execute(&mut *tx)
        .await
        .expect("its maker");
        tx.commit().await.expect("a commit");
        PutIn {
            id,
            code: code.to_owned(),
        }
    }
}
