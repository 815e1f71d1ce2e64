//! The input of a calculation: members read strictly, each number against its range.

use super::Key;
use crate::engine::check::{Range, composition_problems};
use crate::engine::json::{Json, Members, Reader, pointer};
use crate::engine::problem::{Arguments, Problem, ProblemCode};
use crate::engine::reading::parts;
use crate::engine::recipe::Composition;

/// What a calculation was given.
pub(super) struct Input<'a> {
    reader: &'a mut Reader,
    members: Members<'a>,
    keys: &'static [Key],
}

impl<'a> Input<'a> {
    pub fn new(reader: &'a mut Reader, members: Members<'a>, keys: &'static [Key]) -> Self {
        Input {
            reader,
            members,
            keys,
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

    /// A word out of a known set; `None` when a problem was noted.
    pub fn word<T: Copy>(
        &mut self,
        key: &str,
        known: &[T],
        as_str: impl Fn(T) -> &'static str,
    ) -> Option<T> {
        self.reader.required(&self.members, key)?;
        let all = || {
            let words: Vec<&str> = known.iter().map(|item| as_str(*item)).collect();
            words.join(", ")
        };
        let from_word = |word: &str| known.iter().copied().find(|item| as_str(*item) == word);
        self.reader.word(&self.members, key, from_word, all)
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
