//! Results are a function of what is frozen: no order of rows, no table's generosity, no chance of ours changes them.

use std::collections::BTreeSet;

use mustwright::engine::contest::account::{account, hash};
use mustwright::engine::contest::draw;
use mustwright::engine::contest::frozen::{Category, Entry, Flight, Inputs, Kind, Mark};
use mustwright::engine::contest::results::{Answer, Open, Ranked, reckon};
use mustwright::engine::contest::rules::Tie;
use mustwright::engine::contest::sheet::AgreedEntry;
use mustwright::engine::contest::ties::{Evidence, decide};
use proptest::prelude::*;

fn codes(some: &[&str]) -> Vec<String> {
    some.iter().map(|code| (*code).to_owned()).collect()
}

fn agreed(code: &str, points: Option<u32>, place: Option<u32>) -> AgreedEntry {
    AgreedEntry {
        code: code.to_owned(),
        points,
        place,
        goes_on: false,
        spread: None,
        tasted_again: false,
    }
}

fn flight(number: u32, kind: Kind, category: Option<u32>, of: &[AgreedEntry]) -> Flight {
    Flight {
        number,
        kind,
        category,
        codes: of.iter().map(|one| one.code.clone()).collect(),
        agreed: of.to_vec(),
        orders: Vec::new(),
        marks: Vec::new(),
    }
}

fn contest(flights: Vec<Flight>) -> Inputs {
    let mut entries: Vec<Entry> = Vec::new();
    for flight in flights.iter().filter(|one| one.kind == Kind::First) {
        let category = flight.category.expect("a category");
        entries.extend(flight.codes.iter().map(|code| Entry {
            code: code.clone(),
            category,
        }));
    }
    let mut numbers: Vec<u32> = entries.iter().map(|one| one.category).collect();
    numbers.dedup();
    Inputs {
        ties: vec![Tie::TastedAgain, Tie::MoreFirsts, Tie::Taste, Tie::Drawn],
        categories: numbers
            .into_iter()
            .map(|number| Category {
                number,
                name: format!("Category {number}"),
            })
            .collect(),
        entries,
        flights,
        drawn_number: None,
    }
}

fn stands(ranked: &Ranked) -> Vec<(u32, &str)> {
    let placed = ranked.placed.iter();
    placed.map(|one| (one.place, one.code.as_str())).collect()
}

fn category(answer: &Answer, at: usize) -> &Ranked {
    let found = answer.categories.get(at).expect("a category");
    found.ranked.as_ref().expect("decided")
}

#[test]
fn one_flight_decides_its_category_by_what_the_table_agreed() {
    let table = [
        agreed("AB123", Some(41), Some(2)),
        agreed("CD234", Some(38), Some(1)),
        agreed("EF345", Some(30), None),
    ];
    let answer = reckon(&contest(vec![flight(1, Kind::First, Some(1), &table)]));
    // The table's places count, not its points; and what it did not place has none.
    assert_eq!(stands(category(&answer, 0)), [(1, "CD234"), (2, "AB123")]);
    assert_eq!(answer.categories[0].unplaced, ["EF345"]);
    assert!(answer.open.is_empty(), "{:?}", answer.open);
    assert_eq!(answer.place_of("AB123").map(|one| one.place), Some(2));
    assert_eq!(answer.place_of("EF345"), None);
}

#[test]
fn a_table_that_gave_points_alone_is_ordered_by_them() {
    let table = [
        agreed("AB123", Some(30), None),
        agreed("CD234", Some(44), None),
        agreed("EF345", None, None),
    ];
    let answer = reckon(&contest(vec![flight(1, Kind::First, Some(1), &table)]));
    assert_eq!(stands(category(&answer, 0)), [(1, "CD234"), (2, "AB123")]);
}

#[test]
fn a_category_of_two_tables_needs_a_final_and_that_alone_decides() {
    let mut one = [
        agreed("AB123", Some(49), Some(1)),
        agreed("CD234", Some(48), Some(2)),
    ];
    let mut two = [
        agreed("EF345", Some(20), Some(1)),
        agreed("GH456", Some(10), Some(2)),
    ];
    one[0].goes_on = true;
    two[0].goes_on = true;
    let firsts = vec![
        flight(1, Kind::First, Some(1), &one),
        flight(2, Kind::First, Some(1), &two),
    ];
    let answer = reckon(&contest(firsts.clone()));
    assert_eq!(answer.open, [Open::NoFinal { category: 1 }]);
    assert!(answer.is_held_up() && answer.categories[0].ranked.is_none());

    // The final turns it round: whoever had 20 points wins over 49 of another table.
    let mut last = flight(3, Kind::Final, Some(1), &[]);
    last.codes = codes(&["AB123", "EF345"]);
    last.orders = vec![
        codes(&["EF345", "AB123"]),
        codes(&["EF345", "AB123"]),
        codes(&["AB123", "EF345"]),
    ];
    let mut all = firsts;
    all.push(last);
    let answer = reckon(&contest(all));
    let ranked = category(&answer, 0);
    assert_eq!(stands(ranked), [(1, "EF345"), (2, "AB123")]);
    assert_eq!(ranked.placed[0].sum, Some(4));
    assert_eq!(answer.categories[0].unplaced, ["CD234", "GH456"]);
    assert!(!answer.is_held_up(), "{:?}", answer.open);
    // What did not go on still reads its place at its own table.
    assert_eq!(stands(&answer.flights[1]), [(1, "EF345"), (2, "GH456")]);
}

#[test]
fn what_is_missing_is_said_and_holds_the_results_up() {
    let mut gone = [
        agreed("AB123", None, Some(1)),
        agreed("CD234", None, Some(2)),
    ];
    gone[0].goes_on = true;
    let other = [agreed("EF345", None, Some(1))];
    let mut last = flight(4, Kind::Final, Some(1), &[agreed("EF345", None, Some(1))]);
    last.orders = vec![codes(&["EF345", "XX999"])];
    let mut inputs = contest(vec![
        flight(1, Kind::First, Some(1), &gone),
        flight(2, Kind::First, Some(1), &other),
        flight(3, Kind::First, Some(2), &[agreed("GH456", None, None)]),
        last,
    ]);
    inputs.entries.push(Entry {
        code: "JK567".to_owned(),
        category: 2,
    });
    let answer = reckon(&inputs);
    let code = "AB123".to_owned();
    let wanted = [
        Open::NoFlight {
            code: "JK567".to_owned(),
        },
        Open::NotAgreed { flight: 3 },
        Open::NotInFinal { category: 1, code },
        Open::OrderUnread { flight: 4 },
        Open::NoBest,
    ];
    assert_eq!(answer.open, wanted);
    let holds: Vec<bool> = wanted.iter().map(Open::holds_up).collect();
    assert_eq!(holds, [true, true, false, false, false]);
}

#[test]
fn each_step_tells_apart_what_it_can_and_leaves_the_rest_to_the_next() {
    let all = codes(&["AB123", "CD234", "EF345", "GH456"]);
    let judge = |places: [u32; 4]| all.iter().cloned().zip(places).collect();
    let evidence = Evidence {
        // AB and CD are put first by one judge each among all four; EF and GH by nobody.
        judges: vec![
            judge([1, 2, 3, 4]),
            judge([2, 1, 3, 3]),
            judge([1, 1, 2, 2]),
        ],
        // EF 15 of one judge, GH 31 of two: 15.5 each.
        section: [
            ("AB123".to_owned(), (30, 2)),
            ("CD234".to_owned(), (45, 3)),
            ("EF345".to_owned(), (15, 1)),
            ("GH456".to_owned(), (31, 2)),
        ]
        .into(),
        about: "flight 1, place 1".to_owned(),
        ..Evidence::default()
    };
    let ties = [Tie::TastedAgain, Tie::MoreFirsts, Tie::Taste];
    let (groups, steps) = decide(&all, &ties, &evidence);
    let wanted = vec![
        codes(&["AB123", "CD234"]),
        codes(&["GH456"]),
        codes(&["EF345"]),
    ];
    assert_eq!(
        groups, wanted,
        "15 of one judge and 30 of two are the same mean: they share"
    );
    assert!(steps[0].lacking && steps[0].by == Tie::TastedAgain);
    assert_eq!(
        steps[1].groups,
        [codes(&["AB123", "CD234"]), codes(&["EF345", "GH456"])]
    );

    let tasted = Evidence {
        again: all.iter().cloned().zip([2, 1, 1, 3]).collect(),
        ..evidence.clone()
    };
    let (groups, _) = decide(&all, &[Tie::TastedAgain], &tasted);
    assert_eq!(
        groups,
        [
            codes(&["CD234", "EF345"]),
            codes(&["AB123"]),
            codes(&["GH456"])
        ]
    );

    // Nothing to ask: they share.
    assert_eq!(decide(&all, &[], &evidence).0, std::slice::from_ref(&all));
    let (groups, steps) = decide(&all, &[Tie::Drawn], &evidence);
    assert_eq!(groups, [all]);
    assert!(steps[0].lacking);
}

#[test]
fn a_shared_first_place_waits_for_the_public_number_and_a_shared_fourth_does_not() {
    let table = |places: [u32; 5]| {
        let all = ["AB123", "CD234", "EF345", "GH456", "JK567"].into_iter();
        let all = all.zip(places);
        all.map(|(code, place)| agreed(code, None, Some(place)))
            .collect::<Vec<_>>()
    };
    let mut inputs = contest(vec![flight(
        1,
        Kind::First,
        Some(1),
        &table([1, 1, 2, 3, 4]),
    )]);
    inputs.ties = vec![Tie::Drawn];
    let shared = codes(&["AB123", "CD234"]);
    let answer = reckon(&inputs);
    assert_eq!(
        answer.open,
        [Open::NoNumber {
            flight: 1,
            codes: shared.clone()
        }]
    );
    // The places behind a shared one stay empty.
    let places: Vec<u32> = category(&answer, 0)
        .placed
        .iter()
        .map(|one| one.place)
        .collect();
    assert_eq!(places, [1, 1, 3, 4, 5]);

    inputs.drawn_number = Some("4 8 15 16 23 42".to_owned());
    let answer = reckon(&inputs);
    assert!(answer.open.is_empty());
    let rounds = draw::rounds("4 8 15 16 23 42", "flight 1, place 1", &shared);
    assert_eq!(category(&answer, 0).placed[0].code, rounds[0].code);

    let mut late = contest(vec![flight(
        1,
        Kind::First,
        Some(1),
        &table([1, 2, 3, 4, 4]),
    )]);
    late.ties = vec![Tie::Drawn];
    assert!(reckon(&late).open.is_empty());
    // In a flight that leads to a final a shared place decides nothing.
    let mut first = inputs.clone();
    first.drawn_number = None;
    first.flights.push(flight(
        2,
        Kind::First,
        Some(1),
        &[agreed("LM678", None, Some(1))],
    ));
    first
        .flights
        .push(flight(3, Kind::Final, Some(1), &table([1, 2, 3, 4, 5])));
    assert!(!reckon(&first).is_held_up());
}

/// Every order of the list.
fn permutations(list: &[String]) -> Vec<Vec<String>> {
    if list.len() < 2 {
        return vec![list.to_vec()];
    }
    let mut all = Vec::new();
    for at in 0..list.len() {
        let mut rest = list.to_vec();
        let first = rest.remove(at);
        all.extend(permutations(&rest).into_iter().map(|mut tail| {
            tail.insert(0, first.clone());
            tail
        }));
    }
    all
}

#[test]
fn whatever_order_they_come_in_a_tie_ends_the_same_way() {
    let all = codes(&["AB123", "CD234", "EF345", "GH456"]);
    let evidence = Evidence {
        judges: vec![all.iter().cloned().zip([2, 1, 3, 4]).collect()],
        section: all
            .iter()
            .cloned()
            .zip([(10, 1), (9, 1), (20, 2), (9, 1)])
            .collect(),
        number: Some("271828".to_owned()),
        about: "flight 2, place 1".to_owned(),
        ..Evidence::default()
    };
    for ties in [
        vec![Tie::MoreFirsts],
        vec![Tie::Taste],
        vec![Tie::MoreFirsts, Tie::Taste, Tie::Drawn],
        vec![Tie::Drawn],
    ] {
        let ends: BTreeSet<Vec<Vec<String>>> = permutations(&all)
            .iter()
            .map(|order| decide(order, &ties, &evidence).0)
            .collect();
        assert_eq!(ends.len(), 1, "{ties:?}: {ends:?}");
    }
    assert_eq!(permutations(&all).len(), 24);
}

/// By the method alone, with another program: `printf '4.8.15.|flight 1, place 1|AB123 CD234 EF345|1' | sha256sum` and so on.
#[test]
fn the_draw_is_what_anybody_reckons() {
    let all = codes(&["EF345", "AB123", "CD234", "AB123"]);
    let rounds = draw::rounds("4, 08 and 15", "flight 1, place 1", &all);
    let seen: Vec<(&str, &str, usize, usize)> = rounds
        .iter()
        .map(|one| (one.text.as_str(), &one.hash[..16], one.at, one.left))
        .collect();
    assert_eq!(seen, DRAWN);
    assert_eq!(draw::written("No. 007, 0"), Some("7.0.".to_owned()));
    assert_eq!(draw::written("none yet"), None);
    assert!(draw::rounds("", "flight 1", &all).is_empty());
}

const DRAWN: [(&str, &str, usize, usize); 3] = [
    (
        "4.8.15.|flight 1, place 1|AB123 CD234 EF345|1",
        "90eee4516586db02",
        0,
        3,
    ),
    (
        "4.8.15.|flight 1, place 1|AB123 CD234 EF345|2",
        "10a78246e52ce411",
        0,
        2,
    ),
    (
        "4.8.15.|flight 1, place 1|AB123 CD234 EF345|3",
        "877305d3dcc93c23",
        0,
        1,
    ),
];

#[test]
fn the_draw_favours_nobody() {
    let all = codes(&["AB123", "CD234", "EF345"]);
    let mut firsts = std::collections::BTreeMap::new();
    for number in 0..3_000 {
        let rounds = draw::rounds(&number.to_string(), "flight 1, place 1", &all);
        let order: Vec<String> = rounds.into_iter().map(|one| one.code).collect();
        *firsts.entry(order).or_insert(0) += 1;
    }
    assert_eq!(firsts.len(), 6);
    // 500 each; five standard deviations are 102.
    assert!(
        firsts.values().all(|count| (398..=602).contains(count)),
        "{firsts:?}"
    );
}

const CODES: [&str; 8] = [
    "AB123", "CD234", "EF345", "GH456", "JK567", "LM678", "NP789", "QR892",
];

/// Two categories: one of two tables with a final, one of a single table; best of the show over four.
fn any_contest() -> impl Strategy<Value = Inputs> {
    let table = (
        prop::collection::vec((0u32..=50, 1u32..=3, any::<bool>()), 8),
        prop::collection::vec((1u32..=3, 0u32..=50, 0u32..=20), 24),
        prop::collection::vec(any::<u64>(), 6),
        prop::option::of("[0-9]{1,6}"),
        prop::sample::subsequence(
            vec![Tie::TastedAgain, Tie::MoreFirsts, Tie::Taste, Tie::Drawn],
            0..=4,
        ),
    );
    table.prop_map(|(said, marks, orders, drawn_number, ties)| {
        let at = |index: usize| {
            let (points, place, again) = said[index];
            AgreedEntry {
                tasted_again: again,
                goes_on: place == 1,
                ..agreed(CODES[index], Some(points), Some(place))
            }
        };
        let first = |number, category, of: std::ops::Range<usize>| {
            let table: Vec<AgreedEntry> = of.map(at).collect();
            flight(number, Kind::First, Some(category), &table)
        };
        let mut flights = vec![first(1, 1, 0..3), first(2, 1, 3..5), first(3, 2, 5..8)];
        for (index, (judge, total, section)) in marks.into_iter().enumerate() {
            let code = CODES[index % 8];
            let table = flights
                .iter_mut()
                .find(|one| one.codes.iter().any(|own| own == code));
            table.expect("a table").marks.push(Mark {
                judge: judge + 10 * (index / 8) as u32,
                code: code.to_owned(),
                total,
                section,
            });
        }
        let by_order = |number, kind, category, names: [usize; 4]| {
            let mut last = flight(number, kind, category, &[]);
            last.codes = names.iter().map(|at| CODES[*at].to_owned()).collect();
            last.orders = orders
                .iter()
                .map(|key| {
                    let mut order = last.codes.clone();
                    order.sort_by_key(|code| draw::sha256(&format!("{key}{number}{code}")));
                    order
                })
                .collect();
            last
        };
        flights.push(by_order(4, Kind::Final, Some(1), [0, 1, 3, 4]));
        flights.push(by_order(5, Kind::Best, None, [0, 3, 5, 6]));
        Inputs {
            ties,
            drawn_number,
            ..contest(flights)
        }
    })
}

/// Turns every list of it round by some steps, each by others.
fn turned(inputs: &Inputs, by: usize) -> Inputs {
    fn turn<T>(list: &mut [T], by: usize) {
        if !list.is_empty() {
            list.rotate_left(by % list.len());
        }
        if by.is_multiple_of(2) {
            list.reverse();
        }
    }
    let mut all = inputs.clone();
    turn(&mut all.categories, by);
    turn(&mut all.entries, by / 2);
    turn(&mut all.flights, by / 3);
    for (flight, more) in all.flights.iter_mut().zip(0..) {
        turn(&mut flight.codes, by + more);
        turn(&mut flight.agreed, by / 2 + more);
        turn(&mut flight.orders, by / 3 + more);
        turn(&mut flight.marks, by / 5 + more);
    }
    all
}

proptest! {
    #[test]
    fn any_order_of_rows_gives_the_same_answer_and_hash(inputs in any_contest(), by in 0usize..10_000) {
        let (answer, text) = account(&inputs);
        let (again, other) = account(&turned(&inputs, by));
        prop_assert_eq!(&answer, &again);
        prop_assert_eq!(&text, &other);
        prop_assert_eq!(hash(&text).len(), 64);
        // What is stored as JSON reads back into the same.
        let stored: Inputs = serde_json::from_str(&serde_json::to_string(&inputs).expect("json")).expect("inputs");
        prop_assert_eq!(account(&stored).1, text);
        let back: Answer = serde_json::from_str(&serde_json::to_string(&answer).expect("json")).expect("an answer");
        prop_assert_eq!(back, answer);
    }

    #[test]
    fn a_generous_table_gains_nothing(inputs in any_contest(), more in 1u32..40) {
        let mut generous = inputs.clone();
        let table = &mut generous.flights[0];
        for agreed in &mut table.agreed {
            agreed.points = agreed.points.map(|points| points + more);
        }
        for mark in &mut table.marks {
            mark.total += more;
            mark.section += more;
        }
        let places = |inputs: &Inputs| {
            let answer = reckon(inputs);
            let ranked = answer.categories.iter().filter_map(|one| one.ranked.clone());
            let all = ranked.chain(answer.best.clone()).chain(answer.flights.clone());
            all.map(|one| one.placed.into_iter().map(|one| (one.place, one.code)).collect::<Vec<_>>())
                .collect::<Vec<_>>()
        };
        prop_assert_eq!(places(&inputs), places(&generous));
    }

    #[test]
    fn everybody_is_placed_once_or_not_and_shared_places_leave_gaps(inputs in any_contest()) {
        let answer = reckon(&inputs);
        for flight in answer.flights.iter().chain(&answer.best) {
            for (index, placed) in flight.placed.iter().enumerate() {
                let better = flight.placed.iter().filter(|one| one.place < placed.place).count();
                prop_assert_eq!(placed.place as usize, better + 1);
                prop_assert!(flight.placed[index + 1..].iter().all(|one| one.code != placed.code));
            }
        }
        let drawn = inputs.ties.last() == Some(&Tie::Drawn) && inputs.drawn_number.is_some();
        if drawn {
            // Whatever was shared, the draw leaves nobody level.
            for flight in &answer.flights {
                let places: Vec<u32> = flight.placed.iter().map(|one| one.place).collect();
                let alone: Vec<u32> = (1..=places.len() as u32).collect();
                prop_assert_eq!(places, alone);
            }
        }
    }

    #[test]
    fn whoever_changes_a_number_changes_the_hash(inputs in any_contest(), at in 0usize..24) {
        let mut changed = inputs.clone();
        let marks = changed.flights.iter_mut().flat_map(|one| &mut one.marks);
        marks.skip(at).take(1).for_each(|mark| mark.total += 1);
        prop_assert_ne!(hash(&account(&inputs).1), hash(&account(&changed).1));
    }
}

#[test]
fn a_name_of_several_lines_stays_on_one() {
    let mut inputs = contest(vec![flight(
        1,
        Kind::First,
        Some(1),
        &[agreed("AB123", None, Some(1))],
    )]);
    inputs.categories[0].name = "Dry\nplace 1 XX999".to_owned();
    let (_, text) = account(&inputs);
    assert!(text.contains("category 1: Dry place 1 XX999\n"), "{text}");
}
