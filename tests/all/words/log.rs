//! What a log leaves in doubt, as the engine really asks it, reads as a whole sentence.

use std::collections::BTreeSet;

use mustwright::engine::log::entry::{Addition, Reading, Sample, What, Why};
use mustwright::engine::log::{Deed, Entry, Start, replay};
use mustwright::web::units::Units;
use mustwright::web::words::question;

const DAY: f64 = 24.0;

fn reads(sg: f64) -> Deed {
    Deed::Reading(Reading {
        sg: Some(sg),
        ..Reading::default()
    })
}

fn added(what: What, why: Why) -> Deed {
    Deed::Addition(Addition {
        why: Some(why),
        kg: Some(0.4),
        ..Addition::of("the jar", what)
    })
}

#[test]
fn no_question_lacks_what_it_speaks_of() {
    let brix = Deed::Reading(Reading {
        brix: Some(9.0),
        ..Reading::default()
    });
    let litres = |litres| {
        Deed::Sample(Sample {
            litres,
            returned: false,
        })
    };
    let logs = [
        vec![(DAY, reads(1.060)), (2.0 * DAY, reads(1.085))],
        vec![(DAY, reads(1.080)), (2.0 * DAY, reads(1.000))],
        vec![(DAY, reads(1.060)), (30.0 * DAY, reads(0.970))],
        vec![(-DAY, reads(1.086))],
        vec![(DAY, litres(50.0)), (2.0 * DAY, brix)],
        vec![
            (DAY, added(What::Honey, Why::Adjust)),
            (2.0 * DAY, added(What::Spice, Why::Sweeten)),
        ],
    ];
    let mut asked = BTreeSet::new();
    for log in logs {
        let start = Start::of_reading(20.0, 1.086, 0.0, 0.1).expect("a must");
        let entries: Vec<Entry> = log
            .into_iter()
            .enumerate()
            .map(|(index, (hours, deed))| Entry {
                entry: index as u32 + 1,
                hours,
                deed,
            })
            .collect();
        for one in replay(&start, &entries).questions {
            asked.insert(one.code.as_str());
            for units in [Units::Metric, Units::Us] {
                let words = question(&one, units);
                let whole = format!("{} {}", words.lead, words.sentence);
                assert!(!whole.contains(['–', '{', '}']), "{whole}");
            }
        }
    }
    assert!(asked.len() >= 6, "{asked:?}");
}
