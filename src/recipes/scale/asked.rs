//! What is asked on the page that makes a recipe fit, as typed, and what is read from it.

use super::{Choice, ClubLoss, Goal, HoneyBy, Several, Wish};
use crate::engine::check::VOLUME_L;
use crate::engine::log::house::Figure;
use crate::recipes::list::encoded;
use crate::web::units::{self, Units, parse_mass, parse_volume, parse_whole};

/// The most of one vessel, and the most bottles.
const MOST_VESSELS: i32 = 99;
const MOST_BOTTLES: i32 = 20_000;
/// Sizes of bottles, and of jars of honey.
const BOTTLE_L: [f64; 2] = [0.05, 60.0];
const JAR_KG: [f64; 2] = [0.02, 1000.0];

/// How the honey is measured out, with its words; the first stands chosen where nothing was.
pub const HONEYS: [(&str, &str); 3] = [
    ("weighed", "weighed on my scale"),
    ("jars", "whole jars, and the strength follows"),
    (
        "jars-strength",
        "whole jars at the same strength, and the volume follows",
    ),
];

/// The fields, as typed.
#[derive(Clone, Debug, Default, PartialEq, serde::Deserialize)]
#[serde(default)]
pub struct Asked {
    pub vessel: String,
    pub many: String,
    pub vessel2: String,
    pub many2: String,
    pub later: String,
    pub later_many: String,
    pub bottles: String,
    pub size: String,
    pub volume: String,
    pub honey: String,
    pub jar: String,
    /// "yes" where what stays behind is that of the club's own batches.
    pub own: String,
}

impl Asked {
    /// Whether nothing was asked yet.
    pub fn is_empty(&self) -> bool {
        let fields = [
            &self.vessel,
            &self.vessel2,
            &self.later,
            &self.bottles,
            &self.volume,
        ];
        fields.iter().all(|field| field.trim().is_empty())
    }

    /// The same with the first of each group chosen, and one of each, where nothing is said.
    pub fn chosen(self) -> Asked {
        let or = |text: String, usual: &str| match text.trim() {
            "" => usual.to_owned(),
            _ => text,
        };
        Asked {
            many: or(self.many, "1"),
            many2: or(self.many2, "1"),
            later_many: or(self.later_many, "1"),
            honey: or(self.honey, HONEYS[0].0),
            size: or(self.size, "750 ml"),
            ..self
        }
    }

    /// The same, but for another amount of must and nothing else that decides how much.
    pub fn for_volume(&self, text: String) -> Asked {
        Asked {
            bottles: String::new(),
            volume: text,
            ..self.clone()
        }
    }

    /// As the query of an address, of this revision.
    pub fn query(&self, revision: i32) -> String {
        let blank_unless = |wanted: &str, text: &str| match wanted.trim() {
            "" => String::new(),
            _ => text.to_owned(),
        };
        encoded(&[
            ("revision", &revision.to_string()),
            ("vessel", &self.vessel),
            ("many", &blank_unless(&self.vessel, &self.many)),
            ("vessel2", &self.vessel2),
            ("many2", &blank_unless(&self.vessel2, &self.many2)),
            ("later", &self.later),
            ("later_many", &blank_unless(&self.later, &self.later_many)),
            ("bottles", &self.bottles),
            ("size", &blank_unless(&self.bottles, &self.size)),
            ("volume", &self.volume),
            ("honey", &self.honey),
            ("jar", &self.jar),
            ("own", &self.own),
        ])
    }

    /// What is wished of these vessels, or every fault with the id of its field.
    ///
    /// # Errors
    /// All faults, in the order of the fields.
    pub fn check(
        &self,
        choices: &[Choice],
        club: &[ClubLoss],
        units: Units,
    ) -> Result<Wish, Vec<(String, String)>> {
        let mut faults = Vec::new();
        let mut first: Vec<Several> = Vec::new();
        for (of, many) in [
            (
                ("vessel", self.vessel.as_str()),
                ("many", self.many.as_str()),
            ),
            (("vessel2", &self.vessel2), ("many2", &self.many2)),
        ] {
            first.extend(several(of, many, choices, &mut faults));
        }
        let later = several(
            ("later", &self.later),
            ("later_many", &self.later_many),
            choices,
            &mut faults,
        );
        let asked_later = !self.later.trim().is_empty();
        let goal = self.goal(first.is_empty(), asked_later, units, &mut faults);
        let honey = self.honey(units, &mut faults);
        let club_loss = self.club_loss(&first, later.as_ref(), club, &mut faults);
        match (goal, honey) {
            (Some(goal), Some(honey)) if faults.is_empty() => Ok(Wish {
                first,
                later,
                goal,
                honey,
                club_loss,
            }),
            _ => Err(faults),
        }
    }

    fn goal(
        &self,
        no_vessel: bool,
        asked_later: bool,
        units: Units,
        faults: &mut Vec<(String, String)>,
    ) -> Option<Goal> {
        let mut say = |field: &str, why: String| faults.push((field.to_owned(), why));
        match (self.bottles.trim(), self.volume.trim()) {
            ("", "") if asked_later => Some(Goal::FillLater),
            ("", "")
                if no_vessel && self.vessel.trim().is_empty() && self.vessel2.trim().is_empty() =>
            {
                let why = "Choose a vessel, or write how many bottles or how much must.";
                say("vessel", why.to_owned());
                None
            }
            ("", "") => Some(Goal::FillFirst),
            ("", text) => match parse_volume(text, units) {
                Ok(litres) if VOLUME_L.holds(litres) => Some(Goal::Must(litres)),
                Ok(_) => {
                    let [low, high] =
                        [VOLUME_L.low, VOLUME_L.high].map(|l| units::volume(l, units));
                    say("volume", format!("Write a volume from {low} to {high}."));
                    None
                }
                Err(fault) => {
                    say("volume", fault.to_string());
                    None
                }
            },
            (text, "") => {
                let count = parse_whole(text, 1, MOST_BOTTLES);
                if count.is_err() {
                    let why = format!(
                        "Write how many bottles, a whole number up to {MOST_BOTTLES}, such as 24."
                    );
                    say("bottles", why);
                }
                let size = parse_volume(&self.size, units);
                let size = match size {
                    Ok(size) if (BOTTLE_L[0]..=BOTTLE_L[1]).contains(&size) => Some(size),
                    Err(fault) if !self.size.trim().is_empty() => {
                        say("size", fault.to_string());
                        None
                    }
                    _ => {
                        let why = "Write the size of one bottle, such as 750 ml.";
                        say("size", why.to_owned());
                        None
                    }
                };
                Some(Goal::Bottles(count.ok()?, size?))
            }
            _ => {
                let why = "Give bottles or a volume of must, not both: clear one of them.";
                say("volume", why.to_owned());
                None
            }
        }
    }

    fn club_loss(
        &self,
        first: &[Several],
        later: Option<&Several>,
        club: &[ClubLoss],
        faults: &mut Vec<(String, String)>,
    ) -> Option<Figure> {
        if self.own != "yes" {
            return None;
        }
        let found = by_the_club(first, later, club);
        found
            .map_err(|why| faults.push(("own".to_owned(), why)))
            .ok()
    }

    fn honey(&self, units: Units, faults: &mut Vec<(String, String)>) -> Option<HoneyBy> {
        let mut say = |field: &str, why: String| faults.push((field.to_owned(), why));
        let jar = match self.jar.trim() {
            "" => Some(None),
            text => match parse_mass(text, units) {
                Ok(kg) if (JAR_KG[0]..=JAR_KG[1]).contains(&kg) => Some(Some(kg)),
                Ok(_) => {
                    say(
                        "jar",
                        "Write what is in one jar, such as 1 kg or 500 g.".to_owned(),
                    );
                    None
                }
                Err(fault) => {
                    say("jar", fault.to_string());
                    None
                }
            },
        };
        match self.honey.as_str() {
            "weighed" => Some(HoneyBy::Weight),
            "jars" => jar.map(HoneyBy::Jars),
            "jars-strength" => jar.map(HoneyBy::JarsAtStrength),
            _ => {
                let why = "Choose how the honey is measured out.";
                say("honey", why.to_owned());
                None
            }
        }
    }
}

/// What stays behind by the club's own batches in the first vessel.
fn by_the_club(
    first: &[Several],
    later: Option<&Several>,
    club: &[ClubLoss],
) -> Result<Figure, String> {
    let Some((_, vessel)) = first.first() else {
        return Err("Choose what it ferments in: the club’s figures are of vessels.".to_owned());
    };
    if first.iter().chain(later).any(|(_, of)| of.loss_l.is_some()) {
        let why = "You measured what stays behind in a vessel of yours, and that stands. Leave this unticked.";
        return Err(why.to_owned());
    }
    let kind = vessel.kind.word();
    let found = club.iter().find(|(of, _)| of == kind);
    found.map(|(_, figure)| *figure).ok_or_else(|| {
        format!("The club has no figure yet of what stays behind in a {kind}. Leave this unticked.")
    })
}

/// So many of the vessel that was chosen; nothing where none was.
fn several(
    (field, key): (&str, &str),
    (many_field, many): (&str, &str),
    choices: &[Choice],
    faults: &mut Vec<(String, String)>,
) -> Option<Several> {
    if key.trim().is_empty() {
        return None;
    }
    let of = choices.iter().find(|choice| choice.key == key).cloned();
    if of.is_none() {
        let why = "Choose a vessel from the list.";
        faults.push((field.to_owned(), why.to_owned()));
    }
    let count = parse_whole(many, 1, MOST_VESSELS);
    if count.is_err() {
        let why = format!("Write how many of it, from 1 to {MOST_VESSELS}.");
        faults.push((many_field.to_owned(), why));
    }
    Some((count.ok()?.unsigned_abs(), of?))
}
