//! What becomes of a must: first fermentation, what joins later, sweetening.

use super::balance::{
    Fermented, Liquid, StoppedBy, ferment_to_gravity, ferment_to_tolerance, sweeten_to,
};
use super::problem::{Arguments, Problem, ProblemCode};
use super::recipe::Finish;

/// What is added at the end to sweeten.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sweetening {
    /// Solved: dissolved parts of one kilogram of the sweetener, if there is one.
    Solve(Option<Liquid>),
    /// These dissolved parts, already weighed.
    Given(Liquid),
}

/// All that joins the must after the first fermentation, and what ends it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plan {
    pub finish: Finish,
    pub tolerance_abv: f64,
    /// Dissolved parts that join after the first fermentation.
    pub secondary: Liquid,
    /// Fixed amounts with `when: sweeten`.
    pub fixed_sweetening: Liquid,
    pub sweetening: Sweetening,
}

/// The course of one mead.
#[derive(Clone, Copy, Debug)]
pub(super) struct Course {
    /// The first fermentation, left to itself.
    pub natural: Fermented,
    /// The first fermentation as the finish wants it.
    pub first: Fermented,
    /// What is in the bottle.
    pub end: Liquid,
    pub co2_kg: f64,
    pub biomass_kg: f64,
    /// Sweetener solved, kg; 0 where nothing was to be solved.
    pub sweetening_kg: f64,
    /// What keeps the finish from being met.
    pub fault: Option<Fault>,
}

/// What keeps a finish from being met; the course then goes on without it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Fault {
    AlreadySweeter {
        wanted: f64,
        fg: f64,
    },
    NothingToSweetenWith,
    SweetenerTooWeak {
        wanted: f64,
    },
    ArrestOutOfReach {
        wanted: f64,
        natural_fg: f64,
        og: f64,
    },
}

impl Fault {
    pub fn problem(self) -> Problem {
        let none = Arguments::none();
        match self {
            Fault::AlreadySweeter { wanted, fg } => Problem::new(
                ProblemCode::AlreadySweeter,
                "/finish/sweeten_to_sg",
                none.with("wanted_sg", wanted).with("natural_fg", fg),
            ),
            Fault::NothingToSweetenWith => {
                Problem::new(ProblemCode::NothingToSweetenWith, "/finish", none)
            }
            Fault::SweetenerTooWeak { wanted } => Problem::new(
                ProblemCode::SweetenerTooWeak,
                "/finish/sweeten_to_sg",
                none.with("wanted_sg", wanted),
            ),
            Fault::ArrestOutOfReach {
                wanted,
                natural_fg,
                og,
            } => Problem::new(
                ProblemCode::ArrestOutOfReach,
                "/finish/arrest_to_sg",
                none.with("wanted_sg", wanted)
                    .with("natural_fg", natural_fg)
                    .with("og", og),
            ),
        }
    }
}

/// Gravities nearer than this are one gravity.
const SAME_SG: f64 = 1e-9;

/// Part of the sugar that is nothing: left at the yeast's limit, sugar and limit ended together.
const NO_SUGAR: f64 = 1e-8;

/// Ferments to the end of sugar or tolerance. Where both end together, sugar counts as the end, whatever the last bits say.
pub(super) fn left_to_itself(must: &Liquid, tolerance_abv: f64) -> Fermented {
    let end = ferment_to_tolerance(must, tolerance_abv);
    if end.stopped_by == StoppedBy::Tolerance && end.liquid.sugar_kg <= NO_SUGAR * must.sugar_kg {
        return ferment_to_tolerance(must, 100.0);
    }
    end
}

/// Follows a must to the bottle.
pub(super) fn follow(whole: &Liquid, plan: &Plan) -> Course {
    let natural = left_to_itself(whole, plan.tolerance_abv);
    let mut fault = None;
    let first = match plan.finish {
        Finish::ArrestTo(sg) => {
            let natural_fg = natural.liquid.state().sg;
            if (natural_fg - sg).abs() <= SAME_SG {
                natural
            } else if let Some(stopped) = (natural_fg < sg)
                .then(|| ferment_to_gravity(whole, sg))
                .flatten()
            {
                stopped
            } else {
                fault = Some(Fault::ArrestOutOfReach {
                    wanted: sg,
                    natural_fg,
                    og: whole.state().sg,
                });
                natural
            }
        }
        _ => natural,
    };
    let mut co2_kg = first.co2_kg;
    let mut biomass_kg = first.biomass_kg;
    let mut end = first.liquid + plan.secondary;
    if plan.finish == Finish::Dry && plan.secondary != Liquid::default() {
        let second = left_to_itself(&end, plan.tolerance_abv);
        co2_kg += second.co2_kg;
        biomass_kg += second.biomass_kg;
        end = second.liquid;
    }
    end = end + plan.fixed_sweetening;
    let mut sweetening_kg = 0.0;
    match (plan.finish, plan.sweetening) {
        (_, Sweetening::Given(parts)) => end = end + parts,
        (Finish::SweetenTo(wanted), Sweetening::Solve(sweetener)) => {
            let natural_fg = natural.liquid.state().sg;
            let fg = end.state().sg;
            if wanted < natural_fg - SAME_SG {
                fault = Some(Fault::AlreadySweeter {
                    wanted,
                    fg: natural_fg,
                });
            } else if wanted < fg - SAME_SG {
                fault = Some(Fault::AlreadySweeter { wanted, fg });
            } else if wanted > fg + SAME_SG {
                match sweetener {
                    None => fault = Some(Fault::NothingToSweetenWith),
                    Some(sweetener) => match sweeten_to(&end, &sweetener, wanted) {
                        Some(kg) => {
                            sweetening_kg = kg;
                            end = end + sweetener * kg;
                        }
                        None => fault = Some(Fault::SweetenerTooWeak { wanted }),
                    },
                }
            }
        }
        _ => {}
    }
    Course {
        natural,
        first,
        end,
        co2_kg,
        biomass_kg,
        sweetening_kg,
        fault,
    }
}
