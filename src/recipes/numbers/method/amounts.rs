//! Amounts that are solved: honey for the aim, what fills up in place of water, what sweetens.

use super::added::{self, OfLine};
use super::{
    Inputs, Material, MethodText, Shown, density, gravity, inputs, mass, strength, volume,
};
use crate::engine::recipe::{Aim, Amount, Finish, Target, When};
use crate::web::units;

pub(super) const SOLVED: MethodText = MethodText {
    slug: "solved",
    title: "An amount that is solved",
    sentence: "Masses add up, volumes do not. The gravity wanted fixes how heavy the must is and how much dissolved matter it holds; what the other ingredients do not bring, this one must. Where a strength is wanted, the gravity is searched for which the finished mead has that strength. Several that are solved share the amount by their parts.",
    formula: &[
        "dissolved matter wanted = volume × density × share dissolved",
        "amount = (dissolved matter wanted − what the others bring) ÷ what one kilogram of it holds",
    ],
    source: "Density of sugar solutions: ICUMSA SPS-4 (1994), read in two public transcriptions. Make-up: as given in the recipe; the catalogue names its sources.",
    range: "Gravities and strengths that the yeast and the other ingredients allow; musts of up to 80 % dissolved matter.",
    leaves_out: "Honey is not alike: its water varies by about 1.5 % (one standard deviation), which moves the gravity by about 2 %. Sucrose is counted as weighed: yeast splits it and takes up water with it, so that it makes 5 % more sugar than was put in. That is not counted; honey holds about 1 % of sucrose, so there it hardly matters, but with table sugar the mead comes out up to 5 % stronger in that part. Honey reads up to 0.0007 lower than sucrose of the same strength. Matter that does not dissolve counts in neither mass nor volume.",
};

pub(super) const FILLER: MethodText = MethodText {
    slug: "filler",
    title: "What fills up in place of water",
    sentence: "A juice, sap or tea fills the must up to its volume where the recipe says so. Its own sugar counts, so that it and the honey are found together: more of one is less of the other.",
    formula: &[
        "mass of the must = volume × density = all ingredients together",
        "its dissolved matter = what honey, filler and the others bring together",
    ],
    source: "The same balance as for honey: ICUMSA SPS-4 (1994) for densities. Make-up: as given in the recipe; the catalogue names its sources.",
    range: "Fillers weaker than the must. One as strong as the honey leaves nothing to solve, and the recipe says so.",
    leaves_out: "Juices differ by a fifth and more between years and kinds: read yours with a hydrometer. Pulp that settles takes up room that is counted as juice.",
};

pub(super) const SWEETENING: MethodText = MethodText {
    slug: "sweetening",
    title: "What sweetens",
    sentence: "After stabilising, so much is stirred in that the finished mead has the gravity wanted. The alcohol stays the same and is thinned: strength falls a little.",
    formula: &[
        "gravity = mass ÷ (volume × 0.998203), with mass and volume after the addition",
        "the amount is searched until that is the gravity wanted",
    ],
    source: "The balance of the finished mead: OIML R 22 (1975) for alcohol and water, ICUMSA SPS-4 for what is dissolved, both added as OIV-MA-AS2-03B does.",
    range: "Gravities above the one at which the mead ends by itself.",
    leaves_out: "The tongue: acid and tannin hide sweetness. Stop 0.002 to 0.003 short, taste, then go on (common practice, no published source). A mead that is not stabilised ferments what sweetens it.",
};

/// What is aimed at, in words.
pub(super) fn aim(material: &Material<'_>) -> String {
    let target = |target: Target| match target {
        Target::Abv(abv) => format!("a strength of {}", strength(abv)),
        Target::Gravity(sg) => format!("a gravity of {}", gravity(sg)),
    };
    match material.recipe.aim {
        Aim::Target(aim) => target(aim),
        Aim::Amounts => "the amounts as written".to_owned(),
        Aim::UseHoney { kg, target: aim } => {
            format!("{} from {}", target(aim), mass(kg, material.units()))
        }
    }
}

/// Volume, gravity, density and share dissolved of everything that will ferment, as solved.
pub(super) fn whole(material: &Material<'_>) -> Inputs {
    let Some(whole) = &material.exact.whole else {
        return Vec::new();
    };
    inputs([
        ("aim", aim(material)),
        (
            "volume of the must",
            volume(whole.volume_l, material.units()),
        ),
        ("its gravity", gravity(whole.og)),
        ("its density", density(whole.og)),
        (
            "its share dissolved",
            format!("{} %", units::fixed(whole.brix, 3)),
        ),
    ])
}

/// Dissolved matter that the lines but these bring to the must, kg.
fn brought(material: &Material<'_>, but: impl Fn(usize) -> bool) -> f64 {
    let lines = material.exact.ingredients.iter().enumerate();
    lines
        .filter(|(at, line)| matches!(line.when, When::Must | When::Primary) && !but(*at))
        .filter_map(|(_, line)| Some(line.kg? * added::dissolved(material, line.index)))
        .sum()
}

pub(super) fn solved(material: &Material<'_>, of: &OfLine<'_>) -> Shown {
    let units = material.units();
    let recipe = material.recipe;
    let share_of = |index: usize| match recipe.ingredients.get(index)?.amount? {
        Amount::Share(share) => Some(share),
        _ => None,
    };
    let lines = &material.exact.ingredients;
    let together = |at: usize| {
        let line = lines.get(at);
        line.is_some_and(|line| {
            line.solved && line.when != When::Sweeten && share_of(line.index).is_some()
        })
    };
    let shares: f64 = (0..lines.len())
        .filter(|at| together(*at))
        .filter_map(|at| share_of(lines.get(at)?.index))
        .sum();
    let mut inputs = whole(material);
    inputs.push((
        "what the others bring".to_owned(),
        format!("{} dissolved", mass(brought(material, together), units)),
    ));
    inputs.extend(added::made_of(material, of.line.index));
    let own = share_of(of.line.index).unwrap_or(shares);
    if own < shares {
        inputs.push((
            "its part of what is solved".to_owned(),
            format!("{} of {}", units::plain(own, 4), units::plain(shares, 4)),
        ));
    }
    added::found(material, of, inputs)
}

pub(super) fn filler(material: &Material<'_>, of: &OfLine<'_>) -> Shown {
    let mut inputs = whole(material);
    let place = |at: usize| {
        let line = material.exact.ingredients.get(at);
        line.is_some_and(|line| line.index == of.line.index)
    };
    inputs.push((
        "what the others bring".to_owned(),
        format!(
            "{} dissolved",
            mass(brought(material, place), material.units())
        ),
    ));
    inputs.extend(added::made_of(material, of.line.index));
    added::found(material, of, inputs)
}

pub(super) fn sweetening(material: &Material<'_>, of: &OfLine<'_>) -> Shown {
    let units = material.units();
    let mut list = Vec::new();
    if let Finish::SweetenTo(sg) = material.recipe.finish {
        list.push(("gravity wanted".to_owned(), gravity(sg)));
    }
    if let Some(finished) = &material.exact.finished {
        list.extend(inputs([
            ("gravity before", gravity(finished.natural_fg)),
            (
                "strength before",
                strength(finished.abv_before_sweetening_percent),
            ),
            ("strength after", strength(finished.abv_percent)),
            ("volume after", volume(finished.volume_l, units)),
        ]));
    }
    list.extend(added::made_of(material, of.line.index));
    added::found(material, of, list)
}
