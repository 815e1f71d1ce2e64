//! The tasting of a competition of the scenario: sheets that judges signed, what tables agreed on, the best of the show.

use std::collections::BTreeMap;

use serde_json::json;
use sqlx::PgConnection;

use super::running::Running;
use super::told::{Mead, NOTHING};
use crate::competitions::entries::{Entry, store as entries};
use crate::competitions::flights::making::{self, Asked};
use crate::competitions::flights::model::{Flight, Glass, Kind, State};
use crate::competitions::flights::store as flights;
use crate::competitions::judging::model::{self, Asked as Sent, Deed, Order};
use crate::competitions::judging::store as judging;
use crate::demo::broken;
use crate::engine::contest::agree::{Settled, agreed, agreed_by_orders};
use crate::engine::contest::rules::Rules;
use crate::engine::contest::sheet::{Agreed, Marked, Sheet};
use crate::web::error::Error;
use crate::web::viewer::MemberId;

/// Points of each section that make up a total.
fn sheet(rules: &Rules, total: u32, mead: &Mead) -> Sheet {
    let mut sheet = Sheet {
        faults: match mead.fault {
            "" => Vec::new(),
            fault => vec![fault.to_owned()],
        },
        advice: mead.advice.to_owned(),
        ..Sheet::default()
    };
    let mut left = total.min(rules.most());
    for (at, section) in rules.sections.iter().enumerate() {
        let behind: u32 = rules.sections.iter().skip(at + 1).map(|one| one.most).sum();
        let share = total * section.most / rules.most();
        let points = share.max(left.saturating_sub(behind));
        let points = points.min(section.most).min(left);
        left -= points;
        let comment = match section.key.as_str() {
            "look" => "As declared.",
            "smell" => "Open, and nothing that should not be there.",
            "taste" => mead.said,
            "body" => "It stays as long as it should.",
            _ => "A glass to finish.",
        };
        let marked = Marked {
            points: Some(points),
            comment: comment.to_owned(),
        };
        sheet.sections.insert(section.key.clone(), marked);
    }
    sheet
}

impl Running<'_> {
    /// Everything that is poured is tasted, and then the best of the show.
    pub(super) async fn taste(&self, conn: &mut PgConnection, meads: &[Mead]) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition;
        let of_codes = self.by_code(conn, meads).await?;
        let mut first = Vec::new();
        for flight in flights::list(conn, competition.id).await? {
            self.pour(conn, &flight).await?;
            let agreed = self.judge(conn, &flight, &of_codes).await?;
            let winner = agreed.entries.iter().find(|one| one.place == Some(1));
            first.extend(winner.map(|one| one.code.clone()));
        }
        if first.len() < 2 {
            return Ok(());
        }
        let all = entries::all(conn, competition.id).await?;
        let going: Vec<&Entry> = all
            .iter()
            .filter(|entry| first.contains(&entry.code))
            .collect();
        let asked = Asked { seats: 2, days: 2 };
        making::last(conn, &competition, (Kind::Best, None), &going, asked).await?;
        let about = json!({ "of": "best", "codes": first });
        self.note(conn, ("final_made", about), self.organiser)
            .await?;
        let best = flights::list(conn, competition.id).await?;
        let best = best.into_iter().find(|flight| flight.kind == Kind::Best);
        let best = best.ok_or_else(|| broken("the best of the show"))?;
        self.pour(conn, &best).await?;
        self.put_in_order(conn, &best, &of_codes).await
    }

    /// A judge of the rehearsal has signed two glasses, so that there is something to see.
    pub(super) async fn begin_to_taste(
        &self,
        conn: &mut PgConnection,
        judge: MemberId,
    ) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition;
        let rules = &competition.rules;
        for flight in flights::list(conn, competition.id).await? {
            self.pour(conn, &flight).await?;
            let glasses = flights::glasses_of(conn, competition.id, flight.id).await?;
            for (glass, points) in glasses.iter().zip([31, 24]) {
                let water = Mead {
                    said: "Water, with something in it.",
                    ..NOTHING
                };
                let sheet = sheet(rules, points, &water);
                self.sign(conn, (&flight, glass), judge, sheet).await?;
            }
        }
        Ok(())
    }

    /// Meads of the scenario by the codes that they drew.
    async fn by_code<'m>(
        &self,
        conn: &mut PgConnection,
        meads: &'m [Mead],
    ) -> Result<Vec<(String, &'m Mead)>, Error> {
        let competition = self.opened(conn).await?.competition.id;
        let mut found = Vec::new();
        let mut seen: Vec<MemberId> = Vec::new();
        for mead in meads {
            let lead = self.member(mead.by)?;
            if seen.contains(&lead) {
                continue;
            }
            seen.push(lead);
            for mine in crate::competitions::entering::store::mine(conn, competition, lead).await? {
                let mead = meads.iter().find(|mead| mead.name == mine.name);
                let mead = mead.ok_or_else(|| broken(&mine.name))?;
                found.push((mine.entry.code, mead));
            }
        }
        Ok(found)
    }

    async fn pour(&self, conn: &mut PgConnection, flight: &Flight) -> Result<(), Error> {
        flights::set_state(conn, flight.id, State::Poured, self.at).await?;
        let about = json!({ "flight": flight.number, "before its time": false });
        self.note(conn, ("poured", about), self.organiser).await
    }

    /// Every judge signs a sheet of every glass, a point apart; then the table agrees.
    async fn judge(
        &self,
        conn: &mut PgConnection,
        flight: &Flight,
        of_codes: &[(String, &Mead)],
    ) -> Result<Agreed, Error> {
        let competition = self.opened(conn).await?.competition;
        let table = flights::table(conn, competition.id, flight.id).await?;
        let glasses = flights::glasses_of(conn, competition.id, flight.id).await?;
        let mut settled = Vec::new();
        for glass in &glasses {
            let mead = of_code(of_codes, &glass.code)?;
            let mut totals = Vec::new();
            for (seat, points) in table.iter().zip(mead.points.saturating_sub(1)..) {
                let sheet = sheet(&competition.rules, points, mead);
                totals.extend(sheet.total(&competition.rules));
                self.sign(conn, (flight, glass), seat.judge, sheet).await?;
            }
            settled.push(Settled {
                code: glass.code.clone(),
                totals,
                points: Some(mead.points),
                among_equals: None,
                tasted_again: false,
            });
        }
        let agreed = agreed(&competition.rules, &settled);
        self.agree(conn, flight, &agreed).await?;
        Ok(agreed)
    }

    async fn sign(
        &self,
        conn: &mut PgConnection,
        (flight, glass): (&Flight, &Glass),
        judge: MemberId,
        sheet: Sheet,
    ) -> Result<(), Error> {
        let asked = Sent {
            version: 0,
            hand: String::new(),
            sequence: 0,
            sheet,
        };
        let next = judging::Next {
            flight: flight.id,
            entry: glass.entry,
            judge,
            after: 0,
            deed: Deed::Signed,
            asked: &asked,
            by: judge,
            at: self.at,
        };
        let number = judging::add(conn, &next).await?;
        let about = json!({
            "flight": flight.public_id.as_str(),
            "code": glass.code,
            "row": number,
            "sheet": model::digest(&asked.sheet),
        });
        self.note(conn, (Deed::Signed.word(), about), judge).await
    }

    async fn agree(
        &self,
        conn: &mut PgConnection,
        flight: &Flight,
        agreed: &Agreed,
    ) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition.id;
        let table = flights::table(conn, competition, flight.id).await?;
        let leads = table.first().ok_or_else(|| broken("a table"))?.judge;
        judging::agree(conn, flight.id, (0, agreed), (leads, self.at)).await?;
        flights::set_state(conn, flight.id, State::Done, self.at).await?;
        let about = json!({
            "flight": flight.public_id.as_str(),
            "row": 1,
            "agreed": model::digest(agreed),
        });
        self.note(conn, ("agreed", about), leads).await
    }

    /// Each judge's order of the best of the show: the best first, by what the tables said.
    async fn put_in_order(
        &self,
        conn: &mut PgConnection,
        flight: &Flight,
        of_codes: &[(String, &Mead)],
    ) -> Result<(), Error> {
        let competition = self.opened(conn).await?.competition.id;
        let glasses = flights::glasses_of(conn, competition, flight.id).await?;
        let mut codes: Vec<String> = glasses.into_iter().map(|glass| glass.code).collect();
        codes.sort_by_key(|code| {
            let points = of_code(of_codes, code).map_or(0, |mead| mead.points);
            std::cmp::Reverse(points)
        });
        let mut orders = Vec::new();
        for seat in flights::table(conn, competition, flight.id).await? {
            let order = Order {
                judge: seat.judge,
                number: 1,
                codes: codes.clone(),
            };
            judging::order(conn, flight.id, &order, self.at).await?;
            let about = json!({
                "flight": flight.public_id.as_str(),
                "row": 1,
                "order": model::digest(&order.codes),
            });
            self.note(conn, ("ordered", about), seat.judge).await?;
            orders.push(codes.clone());
        }
        self.agree(
            conn,
            flight,
            &agreed_by_orders(&codes, &orders, &BTreeMap::new()),
        )
        .await
    }
}

fn of_code<'m>(of_codes: &[(String, &'m Mead)], code: &str) -> Result<&'m Mead, Error> {
    let found = of_codes.iter().find(|(own, _)| own == code);
    found.map(|(_, mead)| *mead).ok_or_else(|| broken(code))
}
