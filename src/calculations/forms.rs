//! The form of a calculation: from an address to what the engine is asked, every fault beside its field, every text kept.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::case::{Case, Names, put};
use super::fields::{self, Around};
use super::model::{Field, Group, Kind, Look, Page};
use crate::catalogue::club::ClubCatalogue;
use crate::engine::calculations::{self, Calculation};
use crate::engine::json::Json;
use crate::engine::problem::{Problem, ProblemCode};
use crate::web::form::{FormState, Posted};
use crate::web::units::Units;
use crate::web::words::problem_sentence_at;

/// What a page is asked.
#[derive(Debug)]
pub struct Asked<'a> {
    pub page: &'static Page,
    pub units: Units,
    pub club: &'a ClubCatalogue,
    /// Texts and faults, by the names of the fields.
    pub form: FormState,
    /// The choices that were made, as they are called.
    pub names: Names,
    input: Json,
    /// For each list the rows that count, in order.
    rows: BTreeMap<&'static str, Vec<usize>>,
}

/// Reads what was asked. A field that the address does not name has the text it starts with.
pub fn read<'a>(
    page: &'static Page,
    sent: &Posted,
    units: Units,
    club: &'a ClubCatalogue,
) -> Asked<'a> {
    let mut form = FormState::new();
    for field in page.fields() {
        let name = field.name();
        let text = sent.all(&name).next();
        let text = text.unwrap_or_else(|| start(field, units));
        form.set(&name, text);
    }
    let mut asked = Asked {
        page,
        units,
        club,
        form,
        names: Names::new(),
        input: Json::Object(Vec::new()),
        rows: BTreeMap::new(),
    };
    asked.read_fields();
    asked
}

/// What stands in a field first.
pub fn start(field: &Field, units: Units) -> &'static str {
    let [metric, us, imperial] = field.start;
    match units {
        Units::Metric => metric,
        Units::Us => us,
        Units::Imperial => imperial,
    }
}

/// The list that a group is a row of, and its place there: "parts/2/sg" is the third of "parts".
fn row_of(group: &Group) -> Option<(&'static str, usize)> {
    let mut parts = group.fields.first()?.key.split('/');
    let list = parts.next()?;
    let place = parts.next()?.parse().ok()?;
    (group.look == Look::Row).then_some((list, place))
}

impl Asked<'_> {
    fn text(&self, field: &Field) -> String {
        self.form.typed(&field.name()).trim().to_owned()
    }

    fn read_fields(&mut self) {
        let mut brix = None;
        let mut typed = BTreeSet::new();
        for group in self.page.groups {
            if group.fields.iter().all(|field| self.text(field).is_empty()) {
                continue;
            }
            let row = row_of(group);
            if let Some((list, place)) = row {
                self.rows.entry(list).or_default().push(place);
                let dense = self.dense(list, place).unwrap_or_default();
                put(
                    &mut self.input,
                    &format!("{list}/{dense}"),
                    Json::Object(Vec::new()),
                );
            }
            for field in group.fields {
                let text = self.text(field);
                if text.is_empty() {
                    continue;
                }
                let around = Around {
                    units: self.units,
                    club: self.club,
                    brix,
                };
                match fields::read(field, &text, around) {
                    Ok(found) => {
                        for (key, value) in found {
                            if let ("brix", Json::Number(number)) = (key.as_str(), &value) {
                                brix = Some(*number);
                            }
                            // What a field says itself counts more than what another brings along.
                            if key == field.key {
                                typed.insert(key.clone());
                            } else if typed.contains(&key) || !self.takes(&key) {
                                continue;
                            }
                            let path = self.path(&key, row);
                            put(&mut self.input, &path, value);
                        }
                    }
                    Err(why) => self.form.refuse(&field.name(), why),
                }
                self.name_choice(field, &text);
            }
        }
    }

    /// Whether the calculation has such a key.
    fn takes(&self, key: &str) -> bool {
        calculations::find(self.page.name)
            .is_some_and(|calculation| calculation.inputs.iter().any(|known| known.name == key))
    }

    fn name_choice(&mut self, field: &Field, text: &str) {
        let options = fields::options(field, self.club).into_iter();
        let mut options = options.filter(|(value, _)| value == text);
        // What is offered no more keeps its key, and its name.
        let offered = options.next().map(|(_, name)| name);
        let known = || self.club.find(text).map(|entry| entry.name.clone());
        if let Some(name) = offered
            .or_else(known)
            .filter(|_| fields::is_choice(field.kind))
        {
            self.names.insert(field.key, name);
        }
    }

    /// Where a row stands among those that count.
    fn dense(&self, list: &str, place: usize) -> Option<usize> {
        self.rows.get(list)?.iter().position(|row| *row == place)
    }

    /// Where a key of a row stands in what the engine is asked.
    fn path(&self, key: &str, row: Option<(&'static str, usize)>) -> String {
        let Some((list, place)) = row else {
            return key.to_owned();
        };
        let dense = self.dense(list, place).unwrap_or_default();
        let rest = key.splitn(3, '/').nth(2).unwrap_or_default();
        format!("{list}/{dense}/{rest}")
    }

    /// Asks the engine with what could be read; `None` where something is wrong, which then stands beside its field.
    pub fn answer(&mut self) -> Option<Case> {
        let calculation: &'static Calculation = calculations::find(self.page.name)?;
        let asked = calculations::calculate(self.page.name, &self.input)?;
        let read_whole = self.form.is_sound();
        for problem in asked.err().unwrap_or_default() {
            self.note(&problem, read_whole);
        }
        if !self.form.is_sound() {
            return None;
        }
        let names = Arc::new(self.names.clone());
        Case::ask(calculation, self.input.clone(), self.units, names).ok()
    }

    /// Puts a problem beside the field that it is about.
    fn note(&mut self, problem: &Problem, read_whole: bool) {
        let place = self.field_at(&problem.path);
        // While a field cannot be read, what concerns it, the whole, or several values together is not known.
        let of_one_value = matches!(
            problem.code,
            ProblemCode::Missing
                | ProblemCode::OutOfRange
                | ProblemCode::UnknownWord
                | ProblemCode::WrongKind
        );
        if !read_whole && !of_one_value {
            return;
        }
        if !read_whole && place.is_none_or(|field| self.form.fault(&field.name()).is_some()) {
            return;
        }
        let Some(field) = place.or_else(|| self.page.fields().next()) else {
            return;
        };
        if problem.code == ProblemCode::Missing && self.is_brought(field) {
            return;
        }
        let sentence = match problem.code {
            ProblemCode::Missing => fields::empty(field),
            _ => {
                let arguments = serde_json::to_value(&problem.arguments).unwrap_or_default();
                let code = problem.code.as_str();
                problem_sentence_at(code, &problem.path, &arguments, self.units).sentence
            }
        };
        self.form.refuse(&field.name(), sentence);
    }

    /// Where the value of a field stands in what the engine was asked.
    pub fn path_of(&self, field: &Field) -> String {
        let mut parts = field.key.split('/');
        let (list, place) = (parts.next(), parts.next());
        let row = list.zip(place).and_then(|(list, place)| {
            let (list, _) = self.rows.get_key_value(list)?;
            Some((*list, place.parse::<usize>().ok()?))
        });
        self.path(field.key, row)
    }

    /// Whether a field that cannot be read would have brought this one's value: a yeast its limit.
    fn is_brought(&self, field: &Field) -> bool {
        let yeasts = self
            .page
            .fields()
            .filter(|field| matches!(field.kind, Kind::Yeast));
        let mut faulty = yeasts.filter(|yeast| self.form.fault(&yeast.name()).is_some());
        field.key == "tolerance_abv_percent" && faulty.next().is_some()
    }

    /// The field of a place in what the engine was asked.
    fn field_at(&self, path: &str) -> Option<&'static Field> {
        let path = path.strip_prefix('/')?;
        let mut parts = path.splitn(3, '/');
        let (list, place, rest) = (parts.next()?, parts.next(), parts.next());
        let dense = place.and_then(|place| place.parse::<usize>().ok());
        let typed = dense.and_then(|dense| self.rows.get(list)?.get(dense));
        let key = match (typed, rest) {
            (Some(row), Some(rest)) => format!("{list}/{row}/{rest}"),
            _ => path.to_owned(),
        };
        let owns = |field: &&Field| match field.kind {
            Kind::AnyGravity => ["sg", "brix", "density_kg_per_m3"].contains(&key.as_str()),
            Kind::Yeast => key == "nitrogen_need",
            _ => false,
        };
        let own = self.page.fields().find(|field| field.key == key);
        let within = |field: &&Field| {
            key.strip_prefix(field.key)
                .is_some_and(|rest| rest.starts_with('/'))
        };
        own.or_else(|| self.page.fields().find(owns))
            .or_else(|| self.page.fields().find(within))
    }
}
