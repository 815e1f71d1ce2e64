//! Judging: each flight poured, each sheet signed by its judge on their own phone, each table of one mind.

use mustwright::engine::contest::rules::Rules;
use mustwright::web::viewer::MemberId;

use super::day::Day;
use super::field::{Field, done};

/// A flight with its glasses in order and its table, whoever leads first.
struct Table {
    public_id: String,
    codes: Vec<String>,
    judges: Vec<MemberId>,
}

async fn tables(field: &Field, kind: &str) -> Vec<Table> {
    let flights: Vec<(i64, String)> = sqlx::query_as(
        "select id, public_id from competition_flights where competition_id = $1 and kind = $2 order by day, session, number",
    )
    .bind(field.id)
    .bind(kind)
    .fetch_all(field.club.pool())
    .await
    .expect("flights");
    let mut tables = Vec::new();
    for (id, public_id) in flights {
        let codes = sqlx::query_scalar(
            "select e.code from competition_pours p join competition_entries e on e.id = p.entry_id
             where p.flight_id = $1 order by p.place",
        )
        .bind(id)
        .fetch_all(field.club.pool())
        .await
        .expect("glasses");
        let judges = sqlx::query_scalar(
            "select member_id from competition_tables where flight_id = $1 order by leads desc, member_id",
        )
        .bind(id)
        .fetch_all(field.club.pool())
        .await
        .expect("a table");
        tables.push(Table {
            public_id,
            codes,
            judges,
        });
    }
    tables
}

/// Points of each section that make up a total, none above its most.
fn sections(total: u32) -> Vec<(String, String)> {
    let rules = Rules::default();
    let mut left = total.min(rules.most());
    let mut of_sections = Vec::new();
    for (at, section) in rules.sections.iter().enumerate() {
        let behind: u32 = rules.sections[at + 1..].iter().map(|one| one.most).sum();
        let share = (total * section.most / rules.most()).max(left.saturating_sub(behind));
        let points = share.min(section.most).min(left);
        left -= points;
        of_sections.push((format!("points_{}", section.key), points.to_string()));
    }
    assert_eq!(left, 0, "{total} points are given out");
    of_sections
}

impl Day {
    /// All flights of a kind, in the order of the day.
    pub async fn judge_all(&self, field: &Field, kind: &str) {
        let tables = tables(field, kind).await;
        assert!(!tables.is_empty(), "no {kind}");
        for (number, table) in tables.iter().enumerate() {
            assert!(!table.judges.is_empty(), "nobody sits at {kind} {number}");
            self.pour(field, table, number).await;
            match kind {
                "first" => self.sign(field, table, number == 0).await,
                _ => self.order(field, table).await,
            }
        }
    }

    /// A steward who is not walled off from it pours.
    async fn pour(&self, field: &Field, table: &Table, number: usize) {
        let path = field.at(&format!("flights/{}", table.public_id));
        for turn in 0..self.stewards.len() {
            let steward = &self.stewards[(number + turn) % self.stewards.len()];
            let page = steward.get(&path).await;
            assert!(!page.text.contains("Entrant number"), "{}", page.text);
            if page.has_button("It is poured") {
                done(steward, &path, "It is poured", &[("agreed", "yes")]).await;
                return;
            }
        }
        done(
            &field.organising,
            &path,
            "It is poured",
            &[("agreed", "yes")],
        )
        .await;
    }

    /// Every judge signs every glass, one of them after saving it; the first glass of the day is recognised by somebody.
    async fn sign(&self, field: &Field, table: &Table, first: bool) {
        let flight = &table.public_id;
        let mut signed = 0;
        for (seat, judge) in table.judges.iter().enumerate() {
            let browser = &self.judges[judge];
            for (glass, code) in table.codes.iter().enumerate() {
                let path = field.at(&format!("judging/{flight}/{code}"));
                if first && seat + 1 == table.judges.len() && glass == 0 && seat > 0 {
                    done(browser, &path, "I recognise this entry", &[]).await;
                    continue;
                }
                // A point less, as many, a point more: they never agree wholly.
                let total = field.meads[code].quality + seat as u32 % 3 - 1;
                let points = sections(total);
                let mut fields: Vec<(&str, &str)> = points
                    .iter()
                    .map(|(name, points)| (name.as_str(), points.as_str()))
                    .collect();
                fields.push(("words_taste", "Honey, and what was added holds it up."));
                if glass == 1 {
                    done(browser, &path, "Save", &fields).await;
                }
                done(browser, &path, "Sign it", &fields).await;
                signed += 1;
            }
        }
        assert!(signed >= table.codes.len() * table.judges.len() - 1);
        self.agree(field, table).await;
    }

    /// Whoever leads writes down what they agree on: equal points by quality, then by code.
    async fn agree(&self, field: &Field, table: &Table) {
        let path = field.at(&format!("judging/{}", table.public_id));
        let mut settled = Vec::new();
        for code in &table.codes {
            let quality = field.meads[code].quality;
            settled.push((format!("points_{code}"), quality.to_string()));
            let equal: Vec<&String> = table
                .codes
                .iter()
                .filter(|other| field.meads[*other].quality == quality)
                .collect();
            if equal.len() > 1 {
                let place = equal.iter().filter(|other| **other < code).count() + 1;
                settled.push((format!("among_{code}"), place.to_string()));
            }
        }
        let fields: Vec<(&str, &str)> = settled
            .iter()
            .map(|(name, text)| (name.as_str(), text.as_str()))
            .collect();
        done(&self.judges[&table.judges[0]], &path, "We agree", &fields).await;
    }

    /// Every judge of a final puts its glasses in order, the best first; then it is settled.
    async fn order(&self, field: &Field, table: &Table) {
        let path = field.at(&format!("judging/{}", table.public_id));
        let mut order: Vec<&String> = table.codes.iter().collect();
        order.sort_by_key(|code| {
            (
                std::cmp::Reverse(field.meads[*code].quality),
                (*code).clone(),
            )
        });
        let places: Vec<(String, String)> = order
            .iter()
            .zip(1..)
            .map(|(code, place)| (format!("place_{code}"), place.to_string()))
            .collect();
        let fields: Vec<(&str, &str)> = places
            .iter()
            .map(|(name, place)| (name.as_str(), place.as_str()))
            .collect();
        for judge in &table.judges {
            done(&self.judges[judge], &path, "Write my order down", &fields).await;
        }
        done(
            &self.judges[&table.judges[0]],
            &path,
            "Settle the order",
            &[],
        )
        .await;
    }
}
