//! Deciding the next one: what stands out, what is judged too early, what can be mended, and what each change does.

use mustwright::engine::decide::mend::{Batch, Mend, mends};
use mustwright::engine::decide::{
    Answer, ChangeCode, Complaint, Gas, TASTE_AGAIN_DAYS, Way, WhyNot, changes, heard, taste_again,
};
use mustwright::engine::formulation::Formulation;
use mustwright::engine::log::entry::{Described, Sense, Tasting};
use mustwright::engine::recipe::{Amount, Declared, Finish, Kind, Recipe, When};
use mustwright::engine::{Settings, formulate};

const RIPE: f64 = TASTE_AGAIN_DAYS + 10.0;

fn says(age_days: f64, liking: i32, senses: &[(Sense, i32)]) -> Answer {
    let mut tasting = Tasting {
        liking: Some(liking),
        ..Tasting::default()
    };
    for (sense, value) in senses {
        tasting.put(*sense, Some(*value));
    }
    Answer { age_days, tasting }
}

/// So many who find it so, and like it so.
fn many(count: usize, liking: i32, sense: Sense, value: i32) -> Vec<Answer> {
    vec![says(RIPE, liking, &[(sense, value)]); count]
}

fn of(answers: &[Answer], sense: Sense) -> mustwright::engine::decide::Heard {
    let found = heard(answers).into_iter().find(|one| one.sense == sense);
    found.expect("it was answered")
}

#[test]
fn what_too_much_costs_is_the_difference_of_the_means() {
    let mut all = many(6, 8, Sense::Sweetness, 0);
    all.extend(many(4, 5, Sense::Sweetness, 1));
    all.extend(many(2, 6, Sense::Sweetness, 2));
    let said = of(&all, Sense::Sweetness);
    assert_eq!(said.counts, [0, 6, 6]);
    assert_eq!(said.penalties[0], Err(WhyNot::SmallSide));
    let drop = said.penalties[1].expect("enough answers");
    assert!((drop - (8.0 - 32.0 / 6.0)).abs() < 1e-12, "{drop}");
    assert_eq!(said.asks, Some(Way::Less));
    assert!((said.weight - 0.5 * drop).abs() < 1e-12);
}

#[test]
fn nine_answers_are_too_few_for_a_drop_and_half_of_them_still_ask() {
    let mut nine = many(4, 8, Sense::Sweetness, 0);
    nine.extend(many(5, 5, Sense::Sweetness, 1));
    let said = of(&nine, Sense::Sweetness);
    assert_eq!(said.penalties[1], Err(WhyNot::FewAnswers));
    assert_eq!(said.asks, Some(Way::Less));
    nine[8] = says(RIPE, 8, &[(Sense::Sweetness, 0)]);
    assert_eq!(of(&nine, Sense::Sweetness).asks, None, "four of nine");
    let mut ten = many(5, 8, Sense::Sweetness, 0);
    ten.extend(many(5, 5, Sense::Sweetness, 1));
    assert_eq!(of(&ten, Sense::Sweetness).penalties[1], Ok(3.0));
}

#[test]
fn less_than_a_fifth_says_nothing_and_a_fifth_does() {
    let mut all = many(9, 8, Sense::Body, 0);
    all.extend(many(2, 4, Sense::Body, -1));
    let said = of(&all, Sense::Body);
    assert_eq!(said.penalties[0], Err(WhyNot::SmallSide));
    assert_eq!(said.asks, None);
    all.pop();
    all.pop();
    all.extend(many(3, 4, Sense::Body, -1));
    assert_eq!(of(&all, Sense::Body).asks, Some(Way::More));
}

#[test]
fn who_likes_it_no_less_asks_for_nothing() {
    let mut all = many(7, 6, Sense::Honey, 0);
    all.extend(many(5, 8, Sense::Honey, 1));
    let said = of(&all, Sense::Honey);
    assert_eq!(said.penalties[1], Ok(-2.0));
    assert_eq!(said.asks, None);
}

#[test]
fn two_sides_that_pull_apart_ask_for_nothing() {
    let mut all = many(4, 7, Sense::Acidity, 0);
    all.extend(many(4, 5, Sense::Acidity, -1));
    all.extend(many(4, 5, Sense::Acidity, 1));
    assert_eq!(of(&all, Sense::Acidity).asks, None);
}

#[test]
fn where_nobody_finds_it_right_no_drop_is_told() {
    let mut all = many(2, 8, Sense::Sweetness, 0);
    all.extend(many(10, 5, Sense::Sweetness, 1));
    let said = of(&all, Sense::Sweetness);
    assert_eq!(said.penalties[1], Err(WhyNot::NobodyRight));
    assert_eq!(said.asks, Some(Way::Less));
}

#[test]
fn what_matters_most_stands_first() {
    let answer = |liking, sweetness, body| {
        says(
            RIPE,
            liking,
            &[(Sense::Sweetness, sweetness), (Sense::Body, body)],
        )
    };
    let mut all = vec![answer(8, 0, 0); 5];
    all.extend(vec![answer(7, 0, -1); 4]);
    all.extend(vec![answer(3, 1, 0); 4]);
    let order: Vec<Sense> = heard(&all).iter().map(|one| one.sense).collect();
    assert_eq!(order, [Sense::Sweetness, Sense::Body]);
}

#[test]
fn one_answer_weighs_less_than_twelve() {
    let mut all = many(6, 8, Sense::Body, 0);
    all.extend(many(6, 7, Sense::Body, -1));
    all[0].tasting.put(Sense::Acidity, Some(-1));
    let found = heard(&all);
    assert_eq!(found[0].sense, Sense::Body);
    let acid = of(&all, Sense::Acidity);
    assert_eq!(acid.asks, Some(Way::More));
    assert!((acid.weight - 0.1).abs() < 1e-12, "{}", acid.weight);
}

#[test]
fn heat_and_acid_before_four_months_are_tasted_again_and_count_for_nothing() {
    let early = vec![
        says(
            60.0,
            4,
            &[
                (Sense::Warmth, 2),
                (Sense::Acidity, 1),
                (Sense::Sweetness, 1)
            ]
        );
        3
    ];
    let said = of(&early, Sense::Warmth);
    assert_eq!((said.early, said.answers(), said.asks), (3, 0, None));
    assert_eq!(
        of(&early, Sense::Sweetness).asks,
        Some(Way::Less),
        "sweetness is judged at any age"
    );
    let again = taste_again(&early);
    let what: Vec<Complaint> = again.iter().map(|one| one.complaint).collect();
    assert_eq!(what, [Complaint::Heat, Complaint::Acid]);
    assert!(
        again
            .iter()
            .all(|one| one.at_days == TASTE_AGAIN_DAYS && one.answers == 3)
    );
    // Too little acid is no complaint that time cures.
    let flat = vec![says(60.0, 5, &[(Sense::Acidity, -1)])];
    assert_eq!(of(&flat, Sense::Acidity).asks, Some(Way::More));
    assert!(taste_again(&flat).is_empty());
}

#[test]
fn once_it_was_tasted_ripe_that_answer_counts() {
    let mut all = vec![says(60.0, 4, &[(Sense::Warmth, 2)]); 3];
    all.push(says(RIPE, 5, &[(Sense::Warmth, 1)]));
    assert!(taste_again(&all).is_empty());
    let said = of(&all, Sense::Warmth);
    assert_eq!(
        (said.early, said.counts, said.asks),
        (3, [0, 0, 1], Some(Way::Less))
    );
}

#[test]
fn sulfur_is_read_from_the_words() {
    let smells = |text: &str| {
        let tasting = Tasting {
            described: Described {
                aroma: Some(text.to_owned()),
                ..Described::default()
            },
            ..Tasting::default()
        };
        taste_again(&[Answer {
            age_days: 30.0,
            tasting,
        }])
        .iter()
        .any(|one| one.complaint == Complaint::Sulfur)
    };
    assert!(smells("A struck match, then pears"));
    assert!(smells("Rotten eggs"));
    assert!(!smells("Honey and pears"));
}

fn recipe(aim: &str, finish: &str, more: &str) -> (Recipe, Formulation) {
    let text = format!(
        r#"{{"version": 1, "title": "T", "notes": "", "volume_l": 20, "aim": {aim}, "finish": {finish}, "temperature_c": 20,
            "ingredients": [{{"name": "honey", "kind": "honey", "when": "must", "amount": {{"share": 1}},
                "composition": {{"water": 0.17, "fermentable": 0.74, "unfermentable": 0.09, "insoluble": 0}}}}{more}],
            "yeasts": [{{"name": "wine yeast", "tolerance_abv_percent": 14, "nitrogen_need": "medium", "temperature_c": [15, 25], "when": "pitch"}}],
            "nutrients": [], "feeding": "usual", "process": []}}"#
    );
    let recipe = mustwright::engine::reading::read(&text).expect("a recipe");
    let numbers = formulate(&recipe, &Settings::default());
    assert_eq!(numbers.problems, [], "{text}");
    (recipe, numbers)
}

fn codes(of: &(Recipe, Formulation), sense: Sense, way: Way) -> Vec<&'static str> {
    let found = changes(&of.0, &of.1, sense, way);
    found.iter().map(|one| one.code.word()).collect()
}

fn ends(recipe: &Recipe) -> (f64, f64) {
    let numbers = formulate(recipe, &Settings::default());
    assert_eq!(numbers.problems, []);
    let finished = numbers.finished.expect("numbers");
    (finished.fg, finished.abv_percent)
}

const FRUIT: &str = r#", {"name": "cherry", "kind": "fruit", "when": "primary", "amount": {"kg": 4},
    "composition": {"water": 0.82, "fermentable": 0.13, "unfermentable": 0.03, "insoluble": 0.02, "density_kg_per_l": 1.0}}"#;

#[test]
fn too_sweet_ends_lower_and_too_dry_higher() {
    let sweet = recipe(r#"{"abv_percent": 11}"#, r#"{"sweeten_to_sg": 1.012}"#, "");
    let less = &changes(&sweet.0, &sweet.1, Sense::Sweetness, Way::Less)[0];
    assert_eq!(
        less.code,
        ChangeCode::EndAt {
            from: 1.012,
            to: 1.008
        }
    );
    let (fg, abv) = ends(&less.recipe);
    assert!((fg - 1.008).abs() < 1e-6 && (abv - 11.0).abs() < 1e-6);
    let nearly = recipe(r#"{"abv_percent": 11}"#, r#"{"sweeten_to_sg": 1.001}"#, "");
    assert_eq!(codes(&nearly, Sense::Sweetness, Way::Less)[0], "end_dry");
    let dry = recipe(r#"{"abv_percent": 11}"#, r#"{"dry": true}"#, "");
    assert_eq!(
        codes(&dry, Sense::Sweetness, Way::Less),
        ["more_acid"],
        "it cannot end drier"
    );
    let more = &changes(&dry.0, &dry.1, Sense::Sweetness, Way::More)[0];
    assert!(matches!(more.recipe.finish, Finish::SweetenTo(_)));
    assert!((ends(&more.recipe).0 - ends(&dry.0).0 - 0.004).abs() < 0.0006);
}

#[test]
fn what_stops_at_its_tolerance_gets_less_honey_to_end_drier() {
    let strong = recipe(r#"{"gravity_sg": 1.130}"#, r#"{"dry": true}"#, "");
    assert_eq!(codes(&strong, Sense::Sweetness, Way::Less)[0], "strength");
    let less = &changes(&strong.0, &strong.1, Sense::Sweetness, Way::Less)[0];
    assert!(ends(&less.recipe).0 < ends(&strong.0).0 - 0.005);
}

#[test]
fn heat_asks_for_less_strength_or_a_cooler_must_and_never_below_the_yeast() {
    let hot = recipe(r#"{"abv_percent": 12}"#, r#"{"dry": true}"#, "");
    assert_eq!(
        codes(&hot, Sense::Warmth, Way::Less),
        ["strength", "cooler"]
    );
    let found = changes(&hot.0, &hot.1, Sense::Warmth, Way::Less);
    assert!((ends(&found[0].recipe).1 - 11.0).abs() < 1e-6);
    assert_eq!(found[1].recipe.temperature_c, Some(18.0));
    let mut cold = hot;
    cold.0.temperature_c = Some(16.0);
    assert_eq!(codes(&cold, Sense::Warmth, Way::Less), ["strength"]);
    // One percent more would be too near to where the yeast stops.
    let near = recipe(r#"{"abv_percent": 12.2}"#, r#"{"dry": true}"#, "");
    assert!(codes(&near, Sense::Warmth, Way::More).is_empty());
}

#[test]
fn fixed_honey_is_weighed_again() {
    let (mut fixed, _) = recipe(r#"{"abv_percent": 12}"#, r#"{"dry": true}"#, "");
    fixed.aim = mustwright::engine::recipe::Aim::Amounts;
    fixed.ingredients[0].amount = Some(Amount::Kg(6.0));
    let numbers = formulate(&fixed, &Settings::default());
    let found = changes(&fixed, &numbers, Sense::Warmth, Way::Less);
    let Some(Amount::Kg(kg)) = found[0].recipe.ingredients[0].amount else {
        panic!("fixed honey")
    };
    assert!(kg < 6.0 && kg > 5.0, "{kg}");
    assert!((ends(&found[0].recipe).1 - ends(&fixed).1 + 1.0).abs() < 0.15);
}

#[test]
fn acid_goes_in_after_fermenting_and_what_is_there_is_halved() {
    let plain = recipe(r#"{"abv_percent": 11}"#, r#"{"dry": true}"#, "");
    let found = changes(&plain.0, &plain.1, Sense::Acidity, Way::More);
    let acid = found[0].recipe.ingredients.last().expect("acid");
    assert_eq!(
        (acid.kind, acid.when, acid.amount),
        (Kind::Acid, When::Ageing, Some(Amount::GramsPerLitre(0.5)))
    );
    assert_eq!(
        formulate(&found[0].recipe, &Settings::default()).problems,
        []
    );
    let numbers = formulate(&found[0].recipe, &Settings::default());
    assert_eq!(
        changes(&found[0].recipe, &numbers, Sense::Acidity, Way::Less)[0].code,
        ChangeCode::LessAcid(0.5)
    );
    let again = &changes(&found[0].recipe, &numbers, Sense::Acidity, Way::More)[0];
    assert_eq!(
        again.recipe.ingredients.len(),
        2,
        "the same acid, more of it"
    );
    assert_eq!(
        again.recipe.ingredients[1].amount,
        Some(Amount::GramsPerLitre(1.0))
    );
}

#[test]
fn fruit_is_scaled_where_there_is_fruit() {
    let plain = recipe(r#"{"abv_percent": 11}"#, r#"{"dry": true}"#, "");
    assert!(codes(&plain, Sense::Fruit, Way::More).is_empty());
    let cherry = recipe(r#"{"abv_percent": 11}"#, r#"{"dry": true}"#, FRUIT);
    let amount = |way| {
        changes(&cherry.0, &cherry.1, Sense::Fruit, way)[0]
            .recipe
            .ingredients[1]
            .amount
    };
    assert_eq!(amount(Way::More), Some(Amount::Kg(5.0)));
    assert_eq!(amount(Way::Less), Some(Amount::Kg(3.2)));
    assert_eq!(
        codes(&cherry, Sense::Honey, Way::More),
        ["sweeten_to", "fruit"]
    );
}

#[test]
fn every_change_is_one_and_can_be_formulated() {
    for (aim, finish) in [
        (r#"{"abv_percent": 11}"#, r#"{"dry": true}"#),
        (r#"{"gravity_sg": 1.1}"#, r#"{"sweeten_to_sg": 1.015}"#),
        (r#"{"abv_percent": 10}"#, r#"{"arrest_to_sg": 1.02}"#),
    ] {
        let base = recipe(aim, finish, FRUIT);
        for sense in Sense::ALL {
            for way in [Way::More, Way::Less] {
                let found = changes(&base.0, &base.1, *sense, way);
                for change in &found {
                    assert_ne!(change.recipe, base.0, "{sense:?} {way:?} {:?}", change.code);
                    let numbers = formulate(&change.recipe, &Settings::default());
                    assert_eq!(numbers.problems, [], "{sense:?} {way:?} {:?}", change.code);
                }
                let mut words: Vec<&str> = found.iter().map(|one| one.code.word()).collect();
                words.dedup();
                assert_eq!(words.len(), found.len());
            }
        }
    }
}

#[test]
fn a_batch_is_mended_before_a_recipe_is_changed() {
    let asks = |sense, value| heard(&many(3, 5, sense, value));
    let there = Batch::default();
    let of = |sense, value, batch: Batch| mends(&asks(sense, value), &batch);
    assert_eq!(
        of(Sense::Sweetness, -1, there),
        [Mend::StabiliseFirst, Mend::Sweeten]
    );
    let kept = Batch {
        stabilised: true,
        has_sweeter: true,
        ..there
    };
    assert_eq!(
        of(Sense::Body, -1, kept),
        [Mend::Sweeten, Mend::BlendSweeter]
    );
    assert_eq!(of(Sense::Sweetness, 1, there), [Mend::AcidTrial]);
    let drier = Batch {
        has_drier: true,
        ..there
    };
    assert_eq!(
        of(Sense::Sweetness, 1, drier),
        [Mend::BlendDrier, Mend::AcidTrial]
    );
    assert_eq!(of(Sense::Acidity, -1, there), [Mend::AcidTrial]);
    assert_eq!(of(Sense::Acidity, 1, there), [Mend::LessAcidTrial]);
    assert_eq!(of(Sense::Tannin, -1, there), [Mend::TanninTrial]);
    assert_eq!(of(Sense::Warmth, 1, there), [Mend::Wait]);
    assert_eq!(of(Sense::Fruit, -1, there), [Mend::MoreOfIt]);
    assert_eq!(of(Sense::Sparkle, -1, there), [Mend::GasAtBottling]);
    assert_eq!(of(Sense::Sparkle, 1, there), [Mend::StirGasOut]);
    assert_eq!(of(Sense::Sweetness, 0, there), []);
    let goes = Batch {
        still_ferments: true,
        ..there
    };
    assert_eq!(of(Sense::Sweetness, 1, goes)[0], Mend::LetItFinish);
    let over = Batch {
        is_over: true,
        ..there
    };
    assert_eq!(of(Sense::Sweetness, 1, over), [Mend::Filled]);
    assert_eq!(of(Sense::Sparkle, 1, over), [Mend::Filled]);
    let keg = Batch {
        in_keg: true,
        ..over
    };
    assert_eq!(of(Sense::Sparkle, 1, keg), [Mend::KegPressure]);
    assert_eq!(of(Sense::Sweetness, 1, keg), [Mend::Filled]);
}

#[test]
fn gas_goes_one_step_and_what_keeps_its_sugar_gets_it_in_a_keg() {
    let with = |finish: &str, words: Option<&str>| {
        let (mut recipe, numbers) = recipe(r#"{"abv_percent": 11}"#, finish, "");
        recipe.declared = words.map(|words| Declared {
            carbonation: Some(words.to_owned()),
            ..Declared::default()
        });
        (recipe, numbers)
    };
    let says = |finish: &str, words: Option<&str>, way| {
        let (recipe, numbers) = with(finish, words);
        let found = changes(&recipe, &numbers, Sense::Sparkle, way).pop()?;
        let ChangeCode::Gas { from, to, in_keg } = found.code else {
            panic!("{:?}", found.code)
        };
        let words = found.recipe.declared?.carbonation?;
        assert_ne!(from, to);
        assert_eq!(words.contains("keg"), in_keg, "{words}");
        assert_eq!(Gas::of_words(Some(&words)), to, "it reads as it was meant");
        Some(words)
    };
    let (dry, sweet) = (r#"{"dry": true}"#, r#"{"sweeten_to_sg": 1.012}"#);
    let (more, less) = (Way::More, Way::Less);
    for (finish, words, way, wanted) in [
        (dry, None, more, Some("petillant")),
        (dry, Some("still"), more, Some("petillant")),
        (dry, Some("Petillant"), more, Some("sparkling")),
        (dry, Some("sparkling"), more, None),
        (
            dry,
            Some("sparkling, in a keg"),
            less,
            Some("petillant, in a keg"),
        ),
        (dry, Some("petillant"), less, Some("still")),
        (dry, None, less, None),
        (sweet, None, more, Some("petillant, in a keg")),
        (sweet, Some("petillant, in a keg"), less, Some("still")),
    ] {
        assert_eq!(
            says(finish, words, way).as_deref(),
            wanted,
            "{finish} {words:?}"
        );
    }
}
