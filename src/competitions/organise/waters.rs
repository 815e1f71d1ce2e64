//! The dress rehearsal: six waters that taste of one thing each, entered like meads, so that everybody has done everything once.

use chrono::{DateTime, Utc};
use sqlx::PgConnection;

use super::making::{Beginning, make};
use super::moving::{self, Stays, When};
use super::{roster, store};
use crate::competitions::deeds::{self, Deed};
use crate::competitions::entering::model::Said;
use crate::competitions::entering::store as entering;
use crate::competitions::entries::codes;
use crate::competitions::model::{CompetitionId, Duty, Phase};
use crate::competitions::opened::Opened;
use crate::engine::contest::categories::Kind;
use crate::engine::contest::declared::{Character, Declared, Sparkle, Sweetness};
use crate::engine::contest::rules::{Rules, Tie};
use crate::recipes::public_id::PublicId;
use crate::web::error::Error;
use crate::web::viewer::{Member, MemberId};

/// A water: what its maker calls it and mixes, what is declared of it.
pub struct Water {
    pub name: &'static str,
    /// To one litre.
    pub mixed: &'static str,
    sweetness: Sweetness,
    sparkle: Sparkle,
    character: Character,
    special: &'static str,
}

/// All six. How much of what: our judgement, so that most notice it and none is unpleasant; no published source.
pub const WATERS: [Water; 6] = [
    Water {
        name: "Water, as it is",
        mixed: "nothing",
        sweetness: Sweetness::Dry,
        sparkle: Sparkle::Still,
        character: Character::Plain,
        special: "",
    },
    Water {
        name: "Water with gas",
        mixed: "nothing: sparkling water",
        sweetness: Sweetness::Dry,
        sparkle: Sparkle::Sparkling,
        character: Character::Plain,
        special: "",
    },
    Water {
        name: "Sweet water",
        mixed: "20 g of sugar",
        sweetness: Sweetness::Sweet,
        sparkle: Sparkle::Still,
        character: Character::Plain,
        special: "",
    },
    Water {
        name: "Sour water",
        mixed: "20 mL of lemon juice",
        sweetness: Sweetness::Dry,
        sparkle: Sparkle::Still,
        character: Character::Fruit,
        special: "lemon",
    },
    Water {
        name: "Bitter water",
        mixed: "200 mL of strong black tea in place of as much water",
        sweetness: Sweetness::Dry,
        sparkle: Sparkle::Still,
        character: Character::Spice,
        special: "black tea",
    },
    Water {
        name: "Salt water",
        mixed: "1 g of salt",
        sweetness: Sweetness::Dry,
        sparkle: Sparkle::Still,
        character: Character::Plain,
        special: "",
    },
];

/// Rules under which six glasses make one flight and one bottle is enough.
fn rules() -> Rules {
    Rules {
        bottles: 1,
        held_back: 0,
        bottle_ml: 500,
        ties: vec![Tie::TastedAgain, Tie::MoreFirsts],
        merge_below: 0,
        rest_minutes: 0,
        go_on: 1,
        ..Rules::default()
    }
}

fn beginning(day: &str) -> Beginning {
    Beginning {
        title: format!("Six waters, {day}"),
        rehearsal: true,
        rules: rules(),
        terms: "Nobody wins anything. Everybody has done everything once.".to_owned(),
        prizes: "A glass of mead afterwards.".to_owned(),
        kinds: vec![Kind {
            name: "Waters".to_owned(),
            about: "All six.".to_owned(),
            family: None,
            strength: None,
        }],
    }
}

/// Makes a rehearsal that is open, its six waters entered by whoever organises it, everybody else judge and steward.
pub async fn rehearse(
    conn: &mut PgConnection,
    organiser: &Member,
    others: &[MemberId],
    day: &str,
    when: When,
) -> Result<PublicId, Error> {
    let (id, public_id) = make(conn, organiser.id, &beginning(day), when.now).await?;
    for (number, member) in others.iter().enumerate() {
        for duty in [Duty::Judge, Duty::Steward] {
            store::add_duty(conn, id, *member, duty).await?;
        }
        // One at the table must be.
        roster::store::set_experienced(conn, id, *member, number == 0).await?;
    }
    let opened = Opened::read(conn, organiser, public_id.as_str()).await?;
    match moving::on(conn, &opened, Phase::Draft, when).await {
        Ok(_) => {}
        Err(Stays::Error(error)) => return Err(error),
        Err(Stays::Missing(missing)) => return Err(Error::conflict(missing.join(" "))),
    }
    enter(conn, id, organiser.id, when.now).await?;
    Ok(public_id)
}

async fn enter(
    conn: &mut PgConnection,
    competition: CompetitionId,
    organiser: MemberId,
    now: DateTime<Utc>,
) -> Result<(), Error> {
    let categories = crate::competitions::store::categories(conn, competition).await?;
    let category = categories.first().ok_or_else(Error::not_found)?.id;
    let mut taken = std::collections::HashSet::new();
    for water in &WATERS {
        let code = codes::draw(&taken)?;
        let said = Said {
            category,
            declared: Declared {
                sweetness: water.sweetness,
                sparkle: water.sparkle,
                character: water.character,
                special: water.special.to_owned(),
                ..Declared::default()
            },
            name: water.name.to_owned(),
            batch: None,
            together: Vec::new(),
        };
        let public_id = PublicId::random().map_err(Error::unexpected)?;
        let entry = entering::make(conn, competition, &code, &public_id, &said).await?;
        entering::set_makers(conn, entry, organiser, &said, now).await?;
        let deed = Deed {
            deed: "entered",
            about: serde_json::json!({ "code": code }),
            reason: "",
        };
        deeds::write(conn, competition, Some(organiser), &deed, now).await?;
        taken.insert(code);
    }
    Ok(())
}
