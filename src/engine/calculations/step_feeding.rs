//! Step feeding: a mead too strong to begin with all its honey.

use super::{Calculation, Input, Key, Output, object};
use crate::engine::balance::Liquid;
use crate::engine::check::{Range, TOLERANCE, VOLUME_L};
use crate::engine::feeding::{need_per_gram, part_of_demand, sugar_of_gravity};
use crate::engine::json::Json;
use crate::engine::problem::{Arguments, CautionCode, ProblemCode, Severity};
use crate::engine::recipe::{Composition, FeedingLevel, NitrogenNeed};
use crate::engine::step_feeding::{dry_abv, plan};

/// `litres` of must at `start_sg` (to 1.110) become a dry mead of `abv_percent`, at least 1 % under the yeast's
/// `tolerance_abv_percent`: whenever it stands at `feed_at_sg` (to 1.015) it gets honey that raises it by `step_sg` (to 0.020).
/// `composition` is the honey's; absent, 18 % of water and 0.89 of the solids fermentable. The first must is of the same honey.
///
/// Nitrogen, all of it before the break of the first must: `feeding` (`lean`, `usual`, `full`) part of the class demand of
/// `nitrogen_need`, on the first must's sugar and half of the fed, at most 250 mg/L; `must_yan_mg_per_l` is taken off.
/// `vessel_l` leaves 20 % above the last feeding. Ranges and rules: common practice, no published source.
pub(super) const CALCULATION: Calculation = Calculation {
    name: "step_feeding",
    inputs: &[
        Key::required("litres"),
        Key::required("start_sg"),
        Key::required("abv_percent"),
        Key::required("tolerance_abv_percent"),
        Key::required("nitrogen_need"),
        Key::or("feed_at_sg", 1.015),
        Key::or("step_sg", 0.015),
        Key::optional("composition"),
        Key::or_word("feeding", "usual"),
        Key::or("must_yan_mg_per_l", 0.0),
    ],
    outputs: &[
        "first_honey_kg",
        "feedings",
        "fed_honey_kg",
        "litres",
        "abv_percent",
        "fg",
        "whole_sg",
        "one_third_break_sg",
        "nitrogen_target_mg_per_l",
        "nitrogen_deficit_mg_per_l",
        "vessel_l",
        "cautions",
    ],
    make,
};

const START: Range = Range {
    low: 1.030,
    high: 1.110,
};
const FEED_AT: Range = Range {
    low: 0.990,
    high: 1.015,
};
const STEP: Range = Range {
    low: 0.005,
    high: 0.020,
};
const ABV: Range = Range {
    low: 1.0,
    high: 25.0,
};
const YAN: Range = Range {
    low: 0.0,
    high: 10_000.0,
};
/// Feeding stops so far below the yeast's limit, % by volume.
const BELOW_LIMIT: f64 = 1.0;
const MOST_NITROGEN: f64 = 250.0;
/// Room for foam after the last feeding.
const HEADSPACE: f64 = 0.20;
/// 18 % of water, 0.89 of the solids fermentable (common practice, no published source).
const USUAL_HONEY: Composition = Composition {
    water: 0.18,
    fermentable: 0.7298,
    unfermentable: 0.0902,
    insoluble: 0.0,
    yan_mg_per_kg: None,
    ta_g_per_kg: None,
    density_kg_per_l: None,
    spread: None,
};
const FEEDING_KEYS: &[&str] = &["at_sg", "abv_percent", "honey_kg", "to_sg", "litres"];

/// The must of this honey, and the honey in it; `None` where the honey is too thin or brings nothing that dissolves.
fn first_must(litres: f64, start_sg: f64, honey: &Liquid) -> Option<(Liquid, f64)> {
    let whole = Liquid::must_of_gravity(litres, start_sg)?;
    let kg = whole.solids_kg() / honey.solids_kg();
    let water_kg = whole.mass_kg() - kg * honey.mass_kg();
    let must = *honey * kg + Liquid::water(water_kg);
    (kg.is_finite() && water_kg >= 0.0).then_some((must, kg))
}

fn make(input: &mut Input<'_>) -> Option<Output> {
    let litres = input.number("litres", VOLUME_L);
    let start_sg = input.number("start_sg", START);
    let wanted = input.number("abv_percent", ABV);
    let tolerance = input.number("tolerance_abv_percent", TOLERANCE);
    let need = input.word("nitrogen_need", NitrogenNeed::ALL, NitrogenNeed::as_str);
    let feed_at = input.number("feed_at_sg", FEED_AT);
    let step = input.number("step_sg", STEP);
    let composition = if input.has("composition") {
        input.composition("composition")
    } else {
        Some(USUAL_HONEY)
    };
    let level = input.word("feeding", FeedingLevel::ALL, FeedingLevel::as_str);
    let measured = input.number("must_yan_mg_per_l", YAN);
    let (litres, start_sg, wanted, tolerance) = (litres?, start_sg?, wanted?, tolerance?);
    let (need, feed_at, step) = (need?, feed_at?, step?);
    let (composition, level, measured) = (composition?, level?, measured?);

    let reachable = tolerance - BELOW_LIMIT;
    if wanted > reachable {
        let arguments = Arguments::none()
            .with("wanted", wanted)
            .with("reachable", reachable);
        return input.problem(ProblemCode::YeastCannotReach, "/abv_percent", arguments);
    }
    let honey = Liquid {
        water_kg: composition.water,
        sugar_kg: composition.fermentable,
        extract_kg: composition.unfermentable,
        ethanol_kg: 0.0,
    };
    let Some((must, first_kg)) = first_must(litres, start_sg, &honey) else {
        return input.problem(
            ProblemCode::OutsideTheModel,
            "/composition",
            Arguments::none(),
        );
    };
    let by_itself = dry_abv(&must);
    if by_itself >= wanted {
        let range = Range {
            low: by_itself,
            high: reachable,
        };
        return input.out_of_range("abv_percent", wanted, range);
    }
    let Some(steps) = plan(&must, &honey, feed_at, step, wanted) else {
        return input.problem(
            ProblemCode::OutsideTheModel,
            "/composition",
            Arguments::none(),
        );
    };

    let fed_kg: f64 = steps.feedings.iter().map(|feeding| feeding.honey_kg).sum();
    let fed_sugar = 1000.0 * fed_kg * honey.solids_kg() / litres;
    let sugar = sugar_of_gravity(start_sg).max(0.0) + 0.5 * fed_sugar;
    let target = (part_of_demand(level) * need_per_gram(need) * sugar).min(MOST_NITROGEN);
    let first_fg = crate::engine::balance::ferment(&must, must.sugar_kg)
        .state()
        .sg;
    let end = steps.end.state();
    let whole_sg = steps.whole.state().sg;
    let fullest = steps
        .feedings
        .iter()
        .map(|feeding| feeding.litres)
        .fold(litres, f64::max);
    input.caution(
        CautionCode::NeverReadAtOnce,
        Severity::Note,
        Arguments::none().with("og", whole_sg),
    );
    input.caution(
        CautionCode::StirBeforeFeeding,
        Severity::Watch,
        Arguments::none(),
    );
    let feedings = steps.feedings.iter().map(|feeding| {
        object(
            FEEDING_KEYS,
            vec![
                feeding.at_sg.into(),
                feeding.abv_percent.into(),
                feeding.honey_kg.into(),
                feeding.to_sg.into(),
                feeding.litres.into(),
            ],
        )
    });
    Some(vec![
        first_kg.into(),
        Json::List(feedings.collect()),
        fed_kg.into(),
        end.volume_l.into(),
        end.abv_percent.into(),
        end.sg.into(),
        whole_sg.into(),
        (start_sg - (start_sg - first_fg) / 3.0).into(),
        target.into(),
        (target - measured).max(0.0).into(),
        (fullest / (1.0 - HEADSPACE)).into(),
    ])
}
