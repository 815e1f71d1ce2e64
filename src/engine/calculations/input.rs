//! The input of a calculation: members read strictly, each number against its range.

use std::collections::BTreeMap;

use super::Key;
use crate::engine::check::{Range, composition_problems};
use crate::engine::json::{Json, Members, Reader, pointer};
use crate::engine::problem::{Arguments, Caution, CautionCode, Problem, ProblemCode, Severity};
use crate::engine::reading::parts;
use crate::engine::recipe::Composition;

/// What a calculation was given.
pub(super) struct Input<'a> {
    reader: &'a mut Reader,
    members: Members<'a>,
    keys: &'static [Key],
    /// What to beware of, for those calculations that answer it.
    pub cautions: Vec<Caution>,
}

impl<'a> Input<'a> {
    pub fn new(reader: &'a mut Reader, members: Members<'a>, keys: &'static [Key]) -> Self {
        Input {
            reader,
            members,
            keys,
            cautions: Vec::new(),
        }
    }

    /// Whether the member is there.
    pub fn has(&self, key: &str) -> bool {
        self.members.get(key).is_some()
    }

    /// The number of that key, or its default; `None` when there is none or a problem was noted.
    pub fn number(&mut self, key: &str, range: Range) -> Option<f64> {
        let known = self.keys.iter().find(|known| known.name == key);
        let value = match known {
            Some(known) if known.required => {
                self.reader.required(&self.members, key)?;
                self.reader.number(&self.members, key)
            }
            _ if self.has(key) => self.reader.number(&self.members, key),
            _ => return known.and_then(|known| known.default),
        }?;
        if range.holds(value) {
            Some(value)
        } else {
            self.out_of_range(key, value, range)
        }
    }

    /// Notes that a number is outside its range; answers `None`.
    pub fn out_of_range<T>(&mut self, key: &str, value: f64, range: Range) -> Option<T> {
        let place = pointer(self.members.path, key);
        self.reader.problems.push(range.problem(value, place));
        None
    }

    /// A word out of a known set, or the key's default; `None` when a problem was noted.
    pub fn word<T: Copy>(
        &mut self,
        key: &str,
        known: &[T],
        as_str: impl Fn(T) -> &'static str,
    ) -> Option<T> {
        let default = self.keys.iter().find(|known| known.name == key);
        if let Some(default) = default.and_then(|known| known.default_word)
            && !self.has(key)
        {
            return known.iter().copied().find(|item| as_str(*item) == default);
        }
        self.reader.required(&self.members, key)?;
        let all = || {
            let words: Vec<&str> = known.iter().map(|item| as_str(*item)).collect();
            words.join(", ")
        };
        let from_word = |word: &str| known.iter().copied().find(|item| as_str(*item) == word);
        self.reader.word(&self.members, key, from_word, all)
    }

    /// A whole number of that key; `None` when there is none or a problem was noted.
    pub fn whole_number(&mut self, key: &str, low: u32, high: u32) -> Option<u32> {
        let range = Range {
            low: f64::from(low),
            high: f64::from(high),
        };
        let value = self.number(key, range)?;
        if value.fract() == 0.0 {
            // Within the range of u32, whole: the cast is exact.
            return Some(value as u32);
        }
        let place = pointer(self.members.path, key);
        self.reader.wrong_kind(place, "a whole number");
        None
    }

    /// Each object of the list under that key, at least one and at most `most`, read by `read`; `None` when a problem was noted.
    pub fn each<T>(
        &mut self,
        key: &str,
        keys: &'static [Key],
        most: usize,
        mut read: impl FnMut(&mut Input<'_>) -> Option<T>,
    ) -> Option<Vec<T>> {
        self.reader.required(&self.members, key)?;
        let before = self.reader.problems.len();
        let items = self.reader.list(&self.members, key);
        if self.reader.problems.len() > before {
            return None;
        }
        if items.is_empty() || items.len() > most {
            let range = Range {
                low: 1.0,
                high: most as f64,
            };
            return self.out_of_range(key, items.len() as f64, range);
        }
        let known: Vec<&str> = keys.iter().map(|key| key.name).collect();
        let mut all = Vec::with_capacity(items.len());
        for (place, item) in &items {
            let members = self.reader.object(item, place, &known);
            let value = members.and_then(|members| {
                let mut input = Input::new(self.reader, members, keys);
                read(&mut input)
            });
            all.extend(value);
        }
        (all.len() == items.len()).then_some(all)
    }

    /// The numbers of the object under that key, by their names; none where it is absent, `None` when a problem was noted.
    pub fn numbers(&mut self, key: &str) -> Option<BTreeMap<String, f64>> {
        let Some(json) = self.members.get(key) else {
            return Some(BTreeMap::new());
        };
        let before = self.reader.problems.len();
        let place = pointer(self.members.path, key);
        let numbers = parts::numbers(self.reader, json, &place);
        (self.reader.problems.len() == before).then_some(numbers)
    }

    /// Takes over problems that were found elsewhere; answers `None` when there were any.
    pub fn accept<T>(&mut self, found: Result<T, Vec<Problem>>) -> Option<T> {
        match found {
            Ok(value) => Some(value),
            Err(problems) => {
                self.reader.problems.extend(problems);
                None
            }
        }
    }

    /// The place of a member, for a problem found later.
    pub fn place(&self, key: &str) -> String {
        pointer(self.members.path, key)
    }

    /// Notes what to beware of.
    pub fn caution(&mut self, code: CautionCode, severity: Severity, arguments: Arguments) {
        self.cautions.push(Caution::new(code, severity, arguments));
    }

    /// The composition under that key, its sum checked; `None` when a problem was noted.
    pub fn composition(&mut self, key: &str) -> Option<Composition> {
        let json: &Json = self.reader.required(&self.members, key)?;
        let place = pointer(self.members.path, key);
        let before = self.reader.problems.len();
        let composition = parts::composition(self.reader, json, &place)?;
        if self.reader.problems.len() == before {
            let problems = composition_problems(&composition, &place);
            self.reader.problems.extend(problems);
        }
        (self.reader.problems.len() == before).then_some(composition)
    }

    /// Notes a problem; answers `None`, so that a calculation can end with it.
    pub fn problem<T>(&mut self, code: ProblemCode, path: &str, arguments: Arguments) -> Option<T> {
        self.reader
            .problems
            .push(Problem::new(code, path, arguments));
        None
    }
}
