//! What organisers and stewards do, and what must hold before and after.

use std::collections::BTreeMap;

use mustwright::competitions::model::Phase;
use mustwright::engine::contest::results::Answer;
use mustwright::web::viewer::MemberId;

use super::field::{Comes, Field, done};
use crate::support::Browser;

/// Everybody with a duty, signed in.
pub struct Day {
    pub stewards: Vec<Browser>,
    pub judges: BTreeMap<MemberId, Browser>,
}

impl Day {
    pub async fn of(field: &Field) -> Day {
        let mut stewards = Vec::new();
        for steward in &field.stewards {
            stewards.push(field.club.browser_of(steward).await);
        }
        let mut judges = BTreeMap::new();
        for judge in &field.judges {
            judges.insert(judge.id, field.club.browser_of(judge).await);
        }
        Day { stewards, judges }
    }

    /// The next phase, where nothing is missing any more.
    pub async fn go_on(&self, field: &Field) {
        let before = field.phase().await;
        let page = field.organising.get(&field.at("phase")).await;
        let missing = crate::recipes::all_words(&page, "#missing li");
        assert!(missing.is_empty(), "{before:?}: {missing:?}");
        let once = page.hidden("once").expect("a key");
        let fields = [("once", once.as_str()), ("seen", before.word())];
        let sent = field.organising.post(&field.at("phase"), &fields).await;
        assert_eq!(sent.status, 303, "{before:?}: {}", sent.text);
        assert_eq!(Some(field.phase().await), before.next());
    }

    /// Three stewards receive all bottles in turn; whoever is walled off leaves it to the next.
    pub async fn receive(&self, field: &Field) {
        assert_eq!(field.phase().await, Phase::Closed);
        for (number, mead) in field.meads.values().enumerate() {
            let path = field.at(&format!("desk/{}", mead.code));
            let mut steward = &self.stewards[number % self.stewards.len()];
            let mut page = steward.get(&path).await;
            if !page.has_button("Note it") {
                steward = &self.stewards[(number + 1) % self.stewards.len()];
                page = steward.get(&path).await;
            }
            assert!(page.has_button("Note it"), "{}: {}", mead.code, page.text);
            for maker in ["Entrant number", "Mead number"] {
                assert!(!page.text.contains(maker), "{}: {}", mead.code, page.text);
            }
            let arrival = match mead.comes {
                Comes::Here => "here",
                Comes::Leaking => "leaking",
                Comes::Missing => "missing",
            };
            let came = [("arrival", arrival), ("bottles", "3")];
            done(steward, &path, "Note it", &came).await;
            if mead.comes != Comes::Missing {
                let looked = [("bare", "yes"), ("cap", "yes"), ("words", "yes")];
                done(steward, &path, "I have looked: it tells nothing", &looked).await;
            }
        }
    }

    /// Small categories go together, large ones apart, by the rule.
    pub async fn regroup(&self, field: &Field) {
        done(
            &field.organising,
            &field.at("categories-judged"),
            "Merge and split by the rule",
            &[],
        )
        .await;
        let merged: i64 = sqlx::query_scalar(
            "select count(*) from competition_categories where competition_id = $1 and (merged_into is not null or part_of is not null)",
        )
        .bind(field.id)
        .fetch_one(field.club.pool())
        .await
        .expect("a count");
        assert!(
            merged > 0,
            "the field was made so that the rule has something to do"
        );
    }

    pub async fn make_flights(&self, field: &Field) {
        let fields = [("seats", "3"), ("days", "3")];
        done(
            &field.organising,
            &field.at("flights"),
            "Make the flights",
            &fields,
        )
        .await;
    }

    /// Makes every final, or the best of the show, that can be made now.
    pub async fn make_lasts(&self, field: &Field, button: &str) {
        let mut made = 0;
        while field
            .organising
            .get(&field.at("flights"))
            .await
            .has_button(button)
        {
            done(&field.organising, &field.at("flights"), button, &[]).await;
            made += 1;
            assert!(made < 60, "{button} has no end");
        }
        assert!(made > 0, "nothing to make: {button}");
    }

    /// The sizes of flights, glasses a day, somebody experienced at each table, and nobody before what they must not judge.
    pub async fn rules_are_kept(&self, field: &Field) {
        for (what, sql) in [
            (
                "a conflict at a table",
                "select count(*) from competition_tables t join competition_flights f on f.id = t.flight_id
                 join competition_pours p on p.flight_id = f.id join competition_makers m on m.entry_id = p.entry_id
                 where f.competition_id = $1 and (m.member_id = t.member_id or exists (select from competition_conflicts k
                     where k.competition_id = $1 and k.one_id = least(m.member_id, t.member_id)
                         and k.other_id = greatest(m.member_id, t.member_id)))",
            ),
            (
                "a sheet over a conflict",
                "select count(*) from competition_sheets w join competition_flights f on f.id = w.flight_id
                 join competition_makers m on m.entry_id = w.entry_id
                 where f.competition_id = $1 and (m.member_id = w.judge_id or exists (select from competition_conflicts k
                     where k.competition_id = $1 and k.one_id = least(m.member_id, w.judge_id)
                         and k.other_id = greatest(m.member_id, w.judge_id)))",
            ),
            (
                "a table without anybody experienced",
                "select count(*) from competition_flights f where f.competition_id = $1 and not exists (
                     select from competition_tables t join competition_roster s on s.member_id = t.member_id
                         and s.competition_id = f.competition_id and s.duty = 'judge' and s.experienced
                     where t.flight_id = f.id)",
            ),
            (
                "a flight of more than eight, or of more than six strong ones",
                "select count(*) from (select f.id from competition_flights f join competition_pours p on p.flight_id = f.id
                     join competition_entries e on e.id = p.entry_id where f.competition_id = $1 and f.kind = 'first'
                     group by f.id having count(*) > 8
                         or count(*) filter (where (e.declared ->> 'abv_percent')::float8 >= 14) > 6) as large",
            ),
            (
                "a judge with more than 24 glasses a day",
                "select count(*) from (select t.member_id, f.day from competition_flights f
                     join competition_tables t on t.flight_id = f.id join competition_pours p on p.flight_id = f.id
                     where f.competition_id = $1 group by 1, 2 having count(*) > 24) as full_days",
            ),
            (
                "an entry that nobody pours, or one that is not there",
                "select count(*) from competition_entries e where e.competition_id = $1
                     and (e.arrival in ('here', 'leaking')) <> exists (select from competition_pours p
                         join competition_flights f on f.id = p.flight_id where p.entry_id = e.id and f.kind = 'first')",
            ),
        ] {
            let count: i64 = sqlx::query_scalar(sql)
                .bind(field.id)
                .fetch_one(field.club.pool())
                .await
                .unwrap_or_else(|fault| panic!("{what}: {fault}"));
            assert_eq!(count, 0, "{what}");
        }
    }

    /// The organiser looks through it, notes the number of the draw, reckons and freezes.
    pub async fn reckon(&self, field: &Field) {
        let path = field.at("review");
        done(
            &field.organising,
            &path,
            "Note it",
            &[("number", "7 12 23 31 40 44")],
        )
        .await;
        done(
            &field.organising,
            &path,
            "Reckon the results and freeze them",
            &[],
        )
        .await;
    }

    /// Everybody reads places and recount, and the chain fits.
    pub async fn results_are_read(&self, field: &Field, answer: &Answer) {
        let reader = self.judges.values().next().expect("a judge");
        let best = answer.best.as_ref().expect("a best of the show");
        let results = reader.get(&field.at("results")).await;
        assert_eq!(results.status, 200, "{}", results.text);
        for placed in best.placed.iter().filter(|placed| placed.place <= 3) {
            assert!(results.text.contains(&placed.code), "{}", placed.code);
        }
        for page in ["recount", "statistics", "recount.txt", "results.csv"] {
            assert_eq!(reader.get(&field.at(page)).await.status, 200, "{page}");
        }
        let deeds = field.organising.get(&field.at("deeds")).await;
        assert!(
            deeds.words_of("#sound").is_some() && deeds.words_of("#broken").is_none(),
            "{}",
            deeds.text
        );
        // A judge who entered something reads their own sheets, and nobody else's.
        let own = &self.judges[&field.judges[0].id];
        let mine: Vec<String> = sqlx::query_scalar(
            "select e.code from competition_entries e join competition_makers m on m.entry_id = e.id
             where e.competition_id = $1 and m.member_id = $2 and e.arrival = 'here'",
        )
        .bind(field.id)
        .bind(field.judges[0].id)
        .fetch_all(field.club.pool())
        .await
        .expect("codes");
        assert!(!mine.is_empty());
        for code in &mine {
            assert_eq!(
                own.get(&field.at(&format!("results/{code}"))).await.status,
                200
            );
        }
        let other = field
            .meads
            .keys()
            .find(|code| !mine.contains(code))
            .expect("another's");
        assert_eq!(
            own.get(&field.at(&format!("results/{other}"))).await.status,
            404
        );
    }

    /// The archive is read only.
    pub async fn nothing_moves_any_more(&self, field: &Field) {
        assert_eq!(field.phase().await, Phase::Archived);
        let page = field.organising.get(&field.at("phase")).await;
        assert!(
            !page
                .text
                .contains("<form method=\"post\" action=\"/competitions"),
            "{}",
            page.text
        );
        let results = self.stewards[0].get(&field.at("results")).await;
        assert_eq!(results.status, 200);
    }
}
