//! Sulfite and sorbate: what is missing, what is too much, what comes too soon.

use super::super::finish::stabilising::{WITHOUT_PH_MG_PER_L, sorbic_acid_mg_per_l};
use super::super::formulate::Balance;
use super::super::names::{Rule, Words, rule};
use super::super::prepare::solved_by_aim;
use super::super::problem::{Arguments, Caution, CautionCode as Code, Severity};
use super::super::recipe::Finish;
use super::super::stabilisers::{SORBATE, SULFITE};

const SODIUM: Words = Words::of(&["sodium"]);
const MALOLACTIC: Rule = rule!([["malolactic"], ["mlf"], ["oenococcus"]]);

/// Sulfur dioxide in potassium metabisulfite, and in sodium metabisulfite, g/g (reference on physical chemistry, section 8).
const SO2_OF_POTASSIUM_SALT: f64 = 0.5763;
const SO2_OF_SODIUM_SALT: f64 = 0.6739;
/// Sorbic acid in potassium sorbate, g/g (section 8).
const SORBIC_ACID_OF_SORBATE: f64 = 0.7464;
/// Most sulfur dioxide, mg/L, of white wine with up to 4 g/L of sugar, and of sweeter wine (OIV-MA-C1-01).
const MOST_SO2: [f64; 2] = [200.0, 300.0];
const SWEETER_G_PER_L: f64 = 4.0;
/// Most sorbic acid, mg/L (OIV Code II.3.4.5).
const MOST_SORBIC_ACID: f64 = 200.0;
/// Sulfite and sorbate in the recipe.
#[derive(Default)]
pub(super) struct Stabilisers<'a> {
    /// The first sulfite, and whether it goes in before the yeast has done its work.
    pub sulfite: Option<&'a str>,
    pub sulfite_early: bool,
    so2_g: f64,
    sorbate: Option<&'a str>,
    sorbate_early: bool,
    sorbic_acid_g: f64,
    malolactic: Option<&'a str>,
}

/// Looks for them.
pub(super) fn stabilisers<'a>(balance: &Balance<'a>) -> Stabilisers<'a> {
    let mut found = Stabilisers::default();
    let items = balance.items.iter().zip(&balance.amounts.kg);
    for ((item, kg), stated) in items.zip(&balance.recipe.ingredients) {
        if *kg <= 0.0 || item.words == Words::NONE {
            continue;
        }
        let (name, grams) = (stated.name.as_str(), kg * 1000.0);
        let early = solved_by_aim(item.when);
        if SULFITE.means(item.words) {
            let part = if item.words.has_any(SODIUM) {
                SO2_OF_SODIUM_SALT
            } else {
                SO2_OF_POTASSIUM_SALT
            };
            found.so2_g += part * grams;
            found.sulfite.get_or_insert(name);
            found.sulfite_early |= early;
        }
        if SORBATE.means(item.words) {
            found.sorbic_acid_g += SORBIC_ACID_OF_SORBATE * grams;
            found.sorbate.get_or_insert(name);
            found.sorbate_early |= early;
        }
        if MALOLACTIC.means(item.words) {
            found.malolactic.get_or_insert(name);
        }
    }
    if found.sorbate.is_some() && found.malolactic.is_none() {
        let mut names = balance
            .recipe
            .yeasts
            .iter()
            .map(|yeast| yeast.name.as_str());
        found.malolactic = names.find(|name| MALOLACTIC.means(Words::of_name(name)));
    }
    found
}

pub(super) fn all(
    balance: &Balance<'_>,
    found: &Stabilisers<'_>,
    sweet: bool,
    cautions: &mut Vec<Caution>,
) {
    let mut say =
        |code, severity, arguments| cautions.push(Caution::new(code, severity, arguments));
    let named = |name: &str| Arguments::none().with("name", name);
    let litres = balance.finished.volume_l;
    if let Some(sulfite) = found.sulfite {
        say(Code::SulfiteAsthma, Severity::Watch, named(sulfite));
        if found.sulfite_early {
            say(Code::SulfiteBeforeYeast, Severity::Note, named(sulfite));
        }
        let so2 = found.so2_g * 1000.0 / litres;
        let most = MOST_SO2[usize::from(balance.finished.residual_sugar_g_per_l > SWEETER_G_PER_L)];
        if so2 > most {
            let arguments = Arguments::none()
                .with("so2_mg_per_l", so2)
                .with("most_mg_per_l", most);
            say(Code::MuchSulfite, Severity::Watch, arguments);
        }
    }
    if let Some(sorbate) = found.sorbate {
        if found.sulfite.is_none() {
            say(Code::SorbateWithoutSulfite, Severity::Watch, named(sorbate));
        }
        if found.sorbate_early {
            say(
                Code::SorbateBeforeFermenting,
                Severity::Watch,
                named(sorbate),
            );
        }
        if let Some(bacteria) = found.malolactic {
            say(
                Code::SorbateWithMalolactic,
                Severity::Watch,
                named(bacteria),
            );
        }
        let acid = found.sorbic_acid_g * 1000.0 / litres;
        if acid > MOST_SORBIC_ACID {
            let arguments = Arguments::none()
                .with("sorbic_acid_mg_per_l", acid)
                .with("most_mg_per_l", MOST_SORBIC_ACID);
            say(Code::MuchSorbate, Severity::Watch, arguments);
        }
    } else if sweet && !matches!(balance.recipe.finish, Finish::Dry) {
        let [low, high] =
            WITHOUT_PH_MG_PER_L.map(|mg| mg * litres / 1000.0 / SO2_OF_POTASSIUM_SALT);
        let sorbate = sorbic_acid_mg_per_l(balance.finished.abv_percent) * litres
            / 1000.0
            / SORBIC_ACID_OF_SORBATE;
        let arguments = Arguments::none()
            .with("metabisulfite_low_g", low)
            .with("metabisulfite_high_g", high)
            .with("sorbate_g", sorbate);
        say(Code::StabilisersMissing, Severity::Watch, arguments);
    }
}
