//! What to have ready: the tools that a recipe asks for. Common practice, no published source; sizes are reckoned.

use super::Piece;
use super::method::Number;
use crate::engine::formulation::Formulation;
use crate::engine::problem::CautionCode;
use crate::engine::recipe::{Finish, Form, Kind, Recipe, When, YeastWhen};
use crate::engine::water::Salt;
use crate::web::units::{self, Units};

/// How many times the honey a kettle must hold in which it is cooked (common practice, no published source).
const KETTLE: f64 = 4.0;
/// A dose below this is not to be seen on a kitchen scale, g.
const FINE_G: f64 = 10.0;

/// The tools, in the order in which they are wanted; none where nothing could be reckoned.
pub fn tools(recipe: &Recipe, numbers: &Formulation, units: Units) -> Vec<Vec<Piece>> {
    if numbers.finished.is_none() {
        return Vec::new();
    }
    let said = |text: &str| vec![Piece::said(text)];
    let warns = |code: CautionCode| numbers.cautions.iter().any(|caution| caution.code == code);
    let mut tools = vec![said(
        "Something to clean with, and something to sanitise with",
    )];
    tools.push(said(match small_doses(recipe, numbers) {
        true => "a kitchen scale, and a fine one for tenths of a gram, or level teaspoons",
        false => "a kitchen scale",
    }));
    tools.push(said("a hydrometer with its jar, and a thermometer"));
    if let Some((at, kettle)) = kettle(recipe, numbers) {
        tools.push(vec![
            Piece::said("for cooking the honey a kettle of "),
            Piece {
                text: units::volume(kettle, units),
                href: format!("#method-amount-{}", at + 1),
            },
            Piece::said(" or more, a long spoon, gloves and long sleeves"),
        ]);
    }
    tools.extend(vessel(recipe, numbers, units));
    if floats(recipe) {
        tools.push(said("a bag for the fruit, and a spoon to push it under"));
    }
    tools.push(said("an airlock with its bung"));
    tools.push(said("a long spoon or whisk, to stir air in and gas out"));
    let wakes = numbers
        .pitching
        .as_ref()
        .is_some_and(|pitching| pitching.rehydration.wanted);
    if wakes {
        tools.push(said("a cup to wake the yeast in"));
    }
    if warns(CautionCode::HoneyHoldsPhPoorly) {
        tools.push(said("pH strips or a meter"));
    }
    tools.push(said("a siphon"));
    tools.push(said(
        "a second vessel to rack into, one that it fills to the neck",
    ));
    tools.push(said(match gas_is_wanted(recipe) {
        true => "what closes bottles made for gas",
        false => "a corker, or what closes your bottles",
    }));
    if warns(CautionCode::HotPepper) {
        tools.push(said("gloves for the peppers, and eyes kept away from them"));
    }
    if bites(recipe) {
        tools.push(said(
            "gloves and goggles: a salt that burns skin and eyes is among them",
        ));
    }
    if recipe.finish != Finish::Dry {
        tools.push(said("an aired room for the sulfite"));
    }
    tools
}

/// Whether what every maker has is enough: a bucket or demijohn, scale, hydrometer, airlock, siphon and bottles; no kettle,
/// keg or barrel, nothing to strain out, no bottles made for gas, no sulfite and no salt that burns.
pub fn little_gear(recipe: &Recipe, numbers: &Formulation) -> bool {
    let kind = recipe.vessel.as_ref().and_then(|own| own.kind.as_deref());
    let heavy = matches!(kind, Some("keg" | "barrel" | "tank"));
    numbers.finished.is_some()
        && !heavy
        && kettle(recipe, numbers).is_none()
        && !floats(recipe)
        && !gas_is_wanted(recipe)
        && !bites(recipe)
        && recipe.finish == Finish::Dry
}

/// Whether some powder is less than a kitchen scale shows well.
fn small_doses(recipe: &Recipe, numbers: &Formulation) -> bool {
    let fine = |grams: f64| grams > 0.0 && grams < FINE_G;
    let feeds = numbers.feeding.as_ref().is_some_and(|plan| {
        let mut additions = plan.additions.iter();
        additions.any(|addition| fine(addition.grams))
    });
    let lines = numbers
        .ingredients
        .iter()
        .filter_map(|line| line.kg)
        .any(|kg| fine(kg * 1000.0));
    let salts = recipe
        .water_report
        .as_ref()
        .is_some_and(|report| report.salts.values().any(|grams| fine(*grams)));
    feeds || lines || salts || recipe.finish != Finish::Dry
}

/// A kettle for the honey that is to be browned: the first such line, and the litres it must hold.
fn kettle(recipe: &Recipe, numbers: &Formulation) -> Option<(usize, f64)> {
    let hot = numbers
        .cautions
        .iter()
        .filter(|caution| caution.code == CautionCode::HotHoney);
    let names: Vec<&str> = hot
        .filter_map(|caution| caution.arguments.text("name"))
        .collect();
    let cooked: Vec<(usize, f64)> = numbers
        .ingredients
        .iter()
        .enumerate()
        .filter(|(_, line)| {
            let item = recipe.ingredients.get(line.index);
            item.is_some_and(|item| item.kind == Kind::Honey)
                && line.when != When::Sweeten
                && names.contains(&line.name.as_str())
        })
        .filter_map(|(at, line)| Some((at, line.litres.filter(|litres| *litres > 0.0)?)))
        .collect();
    let (first, _) = cooked.first()?;
    let litres: f64 = cooked.iter().map(|(_, litres)| litres).sum();
    Some((*first, KETTLE * litres))
}

/// The vessel it works in: one's own, or the size that leaves room for the foam.
fn vessel(recipe: &Recipe, numbers: &Formulation, units: Units) -> Option<Vec<Piece>> {
    let fit = numbers.vessel.as_ref()?;
    let size = |litres: f64| Piece::figure(Number::Vessel, units::volume(litres, units));
    let own = recipe.vessel.as_ref().filter(|_| fit.fits != Some(false));
    Some(match own {
        Some(own) => {
            let kind = own.kind.as_deref().unwrap_or("vessel");
            vec![Piece::said(format!("your {kind} of ")), size(own.brim_l)]
        }
        None => {
            let kind = match floats(recipe) {
                true => "a bucket with a wide lid, of ",
                false => "a bucket or demijohn of ",
            };
            vec![
                Piece::said(kind),
                size(fit.brim_wanted_l),
                Piece::said(" or more to the brim"),
            ]
        }
    })
}

/// Whether fruit swims in the must.
fn floats(recipe: &Recipe) -> bool {
    recipe.ingredients.iter().any(|item| {
        item.kind == Kind::Fruit
            && matches!(item.when, When::Must | When::Primary)
            && item.form != Some(Form::Juice)
    })
}

/// Whether it is to have gas in the bottle.
pub fn gas_is_wanted(recipe: &Recipe) -> bool {
    let declared = recipe.declared.as_ref();
    let word = declared.and_then(|declared| declared.carbonation.as_deref());
    let sparkling = word.is_some_and(|word| !matches!(word.trim(), "" | "still"));
    sparkling
        || recipe
            .yeasts
            .iter()
            .any(|yeast| yeast.when == YeastWhen::Bottle)
}

/// Whether a salt is among the water's that burns skin and eyes.
fn bites(recipe: &Recipe) -> bool {
    let caustic = |name: &String| {
        let salt = Salt::named(name).map(Salt::name);
        matches!(salt, Some("slaked_lime" | "potassium_carbonate"))
    };
    let report = recipe.water_report.as_ref();
    report.is_some_and(|report| report.salts.keys().any(caustic))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::club::ClubCatalogue;
    use crate::engine::recipe::{Declared, Vessel, WaterReport};
    use crate::engine::{Settings, formulate};
    use crate::recipes::forms::check::check;
    use crate::recipes::forms::{Group, Workbench, fill};

    fn list(change: impl FnOnce(&mut Workbench, &mut Recipe)) -> String {
        asked(change).0
    }

    /// The tools in one text, and whether they are few.
    fn asked(change: impl FnOnce(&mut Workbench, &mut Recipe)) -> (String, bool) {
        let mut form = fill::fresh(Units::Metric);
        form.set("title", "Tools");
        let mut extra = Recipe::default();
        change(&mut form, &mut extra);
        let mut recipe = check(&form, Units::Metric, &ClubCatalogue::default()).recipe;
        recipe.water_report = extra.water_report;
        recipe.declared = extra.declared;
        recipe.vessel = extra.vessel;
        let numbers = formulate(&recipe, &Settings { sachet_g: 5.0 });
        let tools = tools(&recipe, &numbers, Units::Metric);
        let words = |tool: &Vec<Piece>| {
            tool.iter()
                .map(|piece| piece.text.as_str())
                .collect::<String>()
        };
        let few = little_gear(&recipe, &numbers);
        (tools.iter().map(words).collect::<Vec<_>>().join("; "), few)
    }

    #[test]
    fn little_gear_is_what_every_maker_has() {
        assert!(asked(|_, _| ()).1);
        let cherries = [
            ("pick", "sour-cherry"),
            ("amount", "4 kg"),
            ("when", "primary"),
        ];
        let fruit = asked(|form, _| {
            form.add_row(Group::Other, &cherries);
        });
        assert!(!fruit.1);
        let sweet = asked(|form, _| {
            form.set("finish", "sweeten");
            form.set("final_gravity", "1.015");
        });
        assert!(!sweet.1);
        let keg = asked(|_, extra| {
            extra.vessel = Some(Vessel {
                kind: Some("keg".to_owned()),
                brim_l: 19.0,
                ..Vessel::default()
            });
        });
        assert!(!keg.1);
        let unsolved = asked(|form, _| form.set("strength", ""));
        assert!(!unsolved.1);
    }

    #[test]
    fn the_plain_recipe_asks_for_the_usual() {
        let plain = list(|_, _| ());
        for wanted in [
            "tenths of a gram",
            "hydrometer",
            "a bucket or demijohn of 22.4 L or more to the brim",
            "airlock",
            "siphon",
            "pH strips",
            "corker",
        ] {
            assert!(plain.contains(wanted), "{wanted}: {plain}");
        }
        for not in ["bag", "kettle", "goggles", "sulfite", "made for gas"] {
            assert!(!plain.contains(not), "{not}: {plain}");
        }
    }

    #[test]
    fn each_tool_follows_from_what_asks_for_it() {
        let fruit = list(|form, _| {
            let cherry = [
                ("pick", "sour-cherry"),
                ("amount", "4 kg"),
                ("when", "primary"),
            ];
            form.add_row(Group::Other, &cherry);
        });
        assert!(
            fruit.contains("a bag for the fruit") && fruit.contains("wide lid"),
            "{fruit}"
        );
        let browned = list(|form, _| {
            if let Some(honey) = form.rows_mut(Group::Honey).first_mut() {
                honey.set("name", "Browned honey");
            }
        });
        // 5.15 kg of honey are 3.6 L, and the kettle holds four times that.
        let kettle = browned.split("a kettle of ").nth(1).expect("a kettle");
        let litres: f64 = kettle
            .split(' ')
            .next()
            .and_then(|n| n.parse().ok())
            .expect("litres");
        assert!((14.0..15.5).contains(&litres), "{browned}");
        let lime = list(|_, extra| {
            let salts = [("Ca(OH)2".to_owned(), 1.0)].into();
            extra.water_report = Some(WaterReport {
                salts,
                ..WaterReport::default()
            });
        });
        assert!(lime.contains("goggles"), "{lime}");
        let sweet = list(|form, _| {
            form.set("finish", "sweeten");
            form.set("final_gravity", "1.015");
        });
        assert!(sweet.contains("aired room for the sulfite"), "{sweet}");
        let sparkling = list(|_, extra| {
            let carbonation = Some("sparkling".to_owned());
            extra.declared = Some(Declared {
                carbonation,
                ..Declared::default()
            });
        });
        assert!(sparkling.contains("made for gas"), "{sparkling}");
        let own = list(|_, extra| {
            extra.vessel = Some(Vessel {
                kind: Some("bucket".to_owned()),
                brim_l: 30.0,
                ..Vessel::default()
            });
        });
        assert!(own.contains("your bucket of 30 L"), "{own}");
    }
}
