//! Entries in the making: taken by the same function as from a page.

use mustwright::competitions::entering::model::{Refused, Said};
use mustwright::competitions::entering::{Entered, enter};
use mustwright::competitions::store;
use mustwright::engine::contest::declared::{Character, Declared, Sweetness};

use crate::support::{Club, Person};

/// An entry in the making.
pub struct Builder {
    category: usize,
    name: String,
    declared: Declared,
    together: Vec<Person>,
}

/// A still dry plain mead of 12 % in the first category, called "Heather".
pub fn an_entry() -> Builder {
    Builder {
        category: 0,
        name: "Heather".to_owned(),
        declared: Declared {
            abv_percent: 12.0,
            ..Declared::default()
        },
        together: Vec::new(),
    }
}

impl Builder {
    /// By another name, which judges never read.
    pub fn called(mut self, name: &str) -> Builder {
        self.name = name.to_owned();
        self
    }

    /// In another category, counted from 0 in their order.
    pub fn in_category(mut self, place: usize) -> Builder {
        self.category = place;
        self
    }

    /// As strong, sweet and spiced as this.
    pub fn of_kind(mut self, abv_percent: f64, sweetness: Sweetness, character: Character) -> Self {
        self.declared.abv_percent = abv_percent;
        self.declared.sweetness = sweetness;
        self.declared.character = character;
        self
    }

    /// With everything declared.
    pub fn declaring(mut self, declared: Declared) -> Builder {
        self.declared = declared;
        self
    }

    /// Made together with somebody.
    pub fn made_with(mut self, other: &Person) -> Builder {
        self.together.push(other.clone());
        self
    }

    /// Enters it; whether it was taken.
    pub async fn tries(
        self,
        club: &Club,
        competition: &str,
        lead: &Person,
    ) -> Result<Entered, Refused> {
        let mut tx = club.pool().begin().await.expect("a transaction");
        let found = store::find(&mut tx, lead.id, competition).await;
        let found = found.expect("the database").expect("a competition");
        let categories = store::categories(&mut tx, found.id).await;
        let categories = categories.expect("the database");
        let said = Said {
            category: categories.get(self.category).expect("a category").id,
            declared: self.declared,
            name: self.name,
            batch: None,
            together: self.together.iter().map(|other| other.id).collect(),
        };
        let taken = enter(&mut tx, &found, lead.id, &said, club.app.clock.now()).await;
        let taken = taken.expect("the database");
        tx.commit().await.expect("a commit");
        taken
    }

    /// Enters it into a competition (its public id) that takes it.
    pub async fn of(self, club: &Club, competition: &str, lead: &Person) -> Entered {
        let taken = self.tries(club, competition, lead).await;
        taken.expect("an entry that is taken")
    }
}
