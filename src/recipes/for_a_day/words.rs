//! What a plan says: the sentence that leads, the days, the vessels, what to buy.

use chrono::{Days, NaiveDate};

use super::days::Step;
use super::making::Made;
use super::{Amount, Answer, Kind, Plan, Sweetness, Wish};
use crate::catalogue::Vessel;
use crate::engine::recipe::{Finish, Kind as Ingredient};
use crate::engine::scaling::Scale;
use crate::recipes::numbers::{listed, strength};
use crate::web::units::{self, Units};

/// A yeast that has come so far makes gas in the bottle unwillingly, % ABV and days (common practice, no published source).
const TIRED_ABV: f64 = 13.0;
const TIRED_DAYS: i64 = 183;

/// "24 June 2027".
pub fn day(day: NaiveDate) -> String {
    day.format("%-d %B %Y").to_string()
}

/// "30 bottles", "one bottle", "22 L".
pub fn amount(amount: Amount, units: Units) -> String {
    match amount {
        Amount::Bottles(1, _) => "one bottle".to_owned(),
        Amount::Bottles(count, _) => format!("{count} bottles"),
        Amount::Litres(litres) => units::volume(litres, units),
    }
}

/// "dry mead at 11 %", "sparkling dry raspberry mead at 6 %".
pub fn called(wish: &Wish) -> String {
    let sparkling = if wish.sparkling { "sparkling " } else { "" };
    let sweetness = match wish.sweetness {
        Sweetness::Dry => "dry",
        Sweetness::SemiSweet => "semi-sweet",
        Sweetness::Sweet => "sweet",
    };
    format!(
        "{sparkling}{sweetness} {} at {}",
        named(wish.kind),
        strength(wish.abv_percent)
    )
}

fn named(kind: Kind) -> &'static str {
    match kind {
        Kind::Plain => "mead",
        Kind::Raspberry => "raspberry mead",
        Kind::Spiced => "spiced mead",
        Kind::Apple => "apple mead",
        Kind::Browned => "browned-honey mead",
    }
}

/// What its recipe is called: "Raspberry mead for 24 June 2027".
pub fn title(wish: &Wish) -> String {
    let name = named(wish.kind);
    let mut letters = name.chars();
    let first = letters.next().map(|first| first.to_ascii_uppercase());
    let name: String = first.into_iter().chain(letters).collect();
    format!("{name} for {}", day(wish.day))
}

/// What its recipe says of the plan.
pub fn notes(plan: &Plan, units: Units) -> String {
    let (count, bucket) = plan.made.ferments_in;
    format!(
        "For {} on {}, to be mixed by {}. It ferments in {} and stands afterwards in {}. Planned backwards, from the book’s starter recipes.",
        amount(plan.wish.amount, units),
        day(plan.wish.day),
        day(plan.start),
        vessels(&[(count, bucket)]),
        vessels(&plan.made.ages_in)
    )
}

/// Honey in all, kg, weighed as a kitchen scale does.
pub fn honey_kg(made: &Made) -> f64 {
    let lines = made.numbers.ingredients.iter();
    let honey = lines.filter(|line| {
        let item = made.recipe.ingredients.get(line.index);
        item.is_some_and(|item| item.kind == Ingredient::Honey)
    });
    honey
        .filter_map(|line| line.kg)
        .map(|kg| Scale::Kitchen.round(kg))
        .sum()
}

/// What has to be done: "mix 25.3 L by 23 December 2026, with 4.9 kg of honey".
fn to_do(plan: &Plan, units: Units) -> String {
    let volume = plan.made.recipe.volume_l.unwrap_or_default();
    format!(
        "mix {} of must by {}, with {} of honey",
        units::volume(volume, units),
        day(plan.start),
        units::mass(honey_kg(&plan.made), units)
    )
}

/// The sentence that leads.
pub fn lead(answer: &Answer, wish: &Wish, units: Units) -> String {
    match answer {
        Answer::InTime(plan) => format!(
            "To pour {} of {} on {}, {}.",
            amount(wish.amount, units),
            called(wish),
            day(wish.day),
            to_do(plan, units)
        ),
        Answer::TooLate { since, instead, .. } => format!(
            "Too late for a {}: it had to be mixed by {}. A {} will be ready: {}.",
            called(wish),
            day(*since),
            called(&instead.wish),
            to_do(instead, units)
        ),
        Answer::Never { soonest, days } => format!(
            "No mead can be ready by {}. The quickest, a light dry one, takes {days} days: mixed today, it is ready on {}.",
            day(wish.day),
            day(*soonest)
        ),
        Answer::Impossible(_) => format!("A {} cannot be made so.", called(wish)),
    }
}

/// How much room there is before the last day, and what more of it would do.
pub fn leeway(plan: &Plan, today: NaiveDate) -> String {
    let course = &plan.course;
    let best = Days::new(course.best.unsigned_abs());
    let spare = (plan.start - today).num_days();
    let better = match plan.wish.day.checked_sub_days(best) {
        Some(by) if by >= today && by < plan.start => {
            format!(" Mixed by {}, it has the time to be at its best.", day(by))
        }
        _ if spare > 0 => " Sooner is better: it goes on ripening.".to_owned(),
        _ => String::new(),
    };
    let left = match spare {
        0 => "That is today.".to_owned(),
        1 => "That is tomorrow.".to_owned(),
        many => format!("That is {many} days from today."),
    };
    format!("{left}{better}")
}

/// "two buckets of 30 L": the count and the catalogue's name.
pub fn vessels(all: &[(u32, &Vessel)]) -> String {
    let each: Vec<String> = all
        .iter()
        .map(|(count, vessel)| match count {
            1 => vessel.name.clone(),
            many => format!("{many} × {}", vessel.name),
        })
        .collect();
    let each: Vec<&str> = each.iter().map(String::as_str).collect();
    listed(&each)
}

/// One volume on the way from the bottles back to the must.
pub struct Volume {
    pub name: &'static str,
    pub amount: String,
    pub words: String,
    /// Whether it is what a vessel holds, and not what stays behind.
    pub held: bool,
}

/// The way back, from the bottles to the must.
pub fn volumes(plan: &Plan, units: Units) -> Vec<Volume> {
    let made = &plan.made;
    let (chain, losses) = (&made.chain, &made.chain.losses);
    let volume = |litres: f64| units::volume(litres, units);
    let must_l = made.recipe.volume_l.unwrap_or_default();
    let change_l = chain.finished_l - must_l;
    let lost = |name, litres: f64, words: &str| Volume {
        name,
        amount: volume(litres),
        words: words.to_owned(),
        held: false,
    };
    let held = |name, litres: f64, words: String| Volume {
        name,
        amount: volume(litres),
        words,
        held: true,
    };
    let filled = match plan.wish.amount {
        Amount::Bottles(_, size_l) => format!(
            "{} bottles of {}: a vessel that is full makes what it makes",
            (chain.packaged_l / size_l + 1e-9).floor(),
            volume(size_l)
        ),
        Amount::Litres(litres) => format!("{} were asked for", volume(litres)),
    };
    let mut all = vec![
        held("To fill", chain.packaged_l, filled),
        lost(
            "stays behind at bottling",
            losses.bottling_l,
            "in hose and vessel",
        ),
        lost(
            "stays behind at the last racking",
            losses.later_racking_l,
            "on the lees",
        ),
        held(
            "After the first racking",
            chain.secondary_l,
            format!("filled to the neck: {}", vessels(&made.ages_in)),
        ),
        lost(
            "stays behind at the first racking",
            losses.first_racking_l,
            "on the lees",
        ),
    ];
    if losses.fruit_l > 0.0 {
        all.push(lost(
            "stays in the fruit",
            losses.fruit_l,
            "which is not pressed",
        ));
    }
    if change_l.abs() >= 0.05 {
        let (name, words) = match change_l > 0.0 {
            true => ("joins it on the way", "juice, or honey to sweeten"),
            false => (
                "goes while it ferments",
                "sugar takes more room than its alcohol",
            ),
        };
        all.push(lost(name, change_l.abs(), words));
    }
    let (count, bucket) = made.ferments_in;
    let each = if count > 1 { " each" } else { "" };
    all.push(held(
        "Must on the mixing day",
        must_l,
        format!(
            "in {}: with room for the foam it wants {} to the brim{each}",
            vessels(&[(count, bucket)]),
            volume(made.brim_wanted_l)
        ),
    ));
    all
}

/// Each day with what is to be done on it.
pub fn steps(plan: &Plan, reads: Units) -> Vec<(NaiveDate, String)> {
    let mut all: Vec<(NaiveDate, String)> = Vec::new();
    for (after, step) in &plan.course.steps {
        let days = Days::new(after.unsigned_abs());
        let Some(on) = plan.start.checked_add_days(days) else {
            continue;
        };
        let words = step_words(*step, plan, reads);
        match all.last_mut() {
            Some((day, said)) if *day == on => {
                said.push(' ');
                said.push_str(&words);
            }
            _ => all.push((on, words)),
        }
    }
    all
}

fn step_words(step: Step, plan: &Plan, reads: Units) -> String {
    let made = &plan.made;
    let gravity = |sg: Option<f64>| sg.map(units::gravity).unwrap_or_default();
    let finished = made.numbers.finished.as_ref();
    let text = match step {
        Step::Mix => "Mix and pitch. Feed it on its days: the recipe has the plan.",
        Step::FruitOut => "Lift the bag of fruit out and let it drip; do not wring it.",
        Step::Rack => {
            let spice = match plan
                .course
                .steps
                .iter()
                .any(|(_, step)| *step == Step::SpiceOut)
            {
                true => " Hang the spice into it in a bag.",
                false => "",
            };
            return format!(
                "It stands still at about {}: read it, and rack it into vessels that it fills to the neck.{spice}",
                gravity(finished.map(|finished| finished.natural_fg))
            );
        }
        Step::SpiceOut => "Taste, and take the spice out.",
        Step::ReadAgain => {
            "Read it again. Only if it is equal to 0.001 go on; else wait another two weeks."
        }
        Step::RackAgain => "Rack it off what has settled.",
        Step::Stabilise => "Stabilise: sulfite, then sorbate within a day.",
        Step::Sweeten => {
            let Finish::SweetenTo(sg) = made.recipe.finish else {
                return String::new();
            };
            return format!(
                "Sweeten to {}, then leave it two weeks under the airlock.",
                units::gravity(sg)
            );
        }
        Step::Bottle if plan.wish.sparkling => {
            let tired = match plan.wish.abv_percent > TIRED_ABV || plan.course.ready > TIRED_DAYS {
                true => {
                    " So old or so strong it wants 0.1 to 0.2 g/L of fresh yeast with it, and may stay flat all the same."
                }
                false => "",
            };
            return format!(
                "Bottle with an exact dose of sugar, into bottles made for pressure only.{tired} Three weeks at {} to {}, then a week cold.",
                units::temperature(18.0, reads),
                units::temperature(20.0, reads)
            );
        }
        Step::Bottle => "Bottle, and let it rest.",
        Step::Pour => "Pour.",
    };
    text.to_owned()
}

/// Something to buy: what, a word on it, and how much.
pub struct Bought {
    pub name: String,
    pub detail: &'static str,
    pub amount: String,
}

/// What to buy besides what goes in: sachets, feeds in all, what is needed at the end.
pub fn also_to_buy(plan: &Plan, units: Units) -> Vec<Bought> {
    let numbers = &plan.made.numbers;
    let bought = |name: String, detail, amount| Bought {
        name,
        detail,
        amount,
    };
    let mut all = Vec::new();
    let yeast = plan.made.recipe.yeasts.first();
    if let (Some(pitching), Some(yeast)) = (&numbers.pitching, yeast) {
        let grams = units::mass(pitching.yeast_g / 1000.0, units);
        all.push(bought(yeast.name.clone(), "dry", grams));
    }
    for (index, feed) in plan.made.recipe.nutrients.iter().enumerate() {
        let additions = numbers.feeding.iter().flat_map(|plan| &plan.additions);
        let those = additions.filter(|addition| addition.index == index);
        let grams: f64 = those.map(|addition| addition.grams).sum();
        if grams > 0.0 {
            let grams = units::mass(grams / 1000.0, units);
            all.push(bought(feed.name.clone(), "for all feeds", grams));
        }
    }
    if matches!(plan.made.recipe.finish, Finish::SweetenTo(_)) {
        let detail = "as the pH and the strength want it; read about sulfite under safety first";
        all.push(bought(
            "Sulfite and sorbate".to_owned(),
            detail,
            String::new(),
        ));
    }
    if let Amount::Bottles(_, size_l) = plan.wish.amount {
        let count = (plan.made.chain.packaged_l / size_l + 1e-9).floor();
        let detail = match plan.wish.sparkling {
            true => "made for pressure, with their closures",
            false => "with their closures",
        };
        let name = format!("Bottles of {}", units::volume(size_l, units));
        all.push(bought(name, detail, units::plain(count, 0)));
    }
    all
}
