//! The commands that need no database: text in, text and exit code out.

use std::fmt::Write as _;
use std::io::Read as _;
use std::process::ExitCode;

use serde::Serialize;

use crate::engine::calculations::{self, Key};
use crate::engine::json::{Json, NotJson};
use crate::engine::problem::Problem;
use crate::engine::{Settings, formulate_text};

/// What a command has to say.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// For standard output.
    pub output: String,
    /// For standard error.
    pub complaint: String,
    /// 0 without problems, 1 with some, 2 when the input cannot be read or is no JSON.
    pub code: u8,
}

impl Outcome {
    fn said(output: String, code: u8) -> Self {
        Outcome {
            output,
            complaint: String::new(),
            code,
        }
    }

    fn refused(complaint: impl Into<String>) -> Self {
        Outcome {
            output: String::new(),
            complaint: complaint.into(),
            code: 2,
        }
    }

    /// Writes both texts where they belong.
    pub fn tell(self) -> ExitCode {
        if !self.output.is_empty() {
            println!("{}", self.output);
        }
        if !self.complaint.is_empty() {
            eprintln!("mustwright: {}", self.complaint);
        }
        ExitCode::from(self.code)
    }
}

fn pretty(value: &impl Serialize, code: u8) -> Outcome {
    match serde_json::to_string_pretty(value) {
        Ok(text) => Outcome::said(text, code),
        Err(fault) => Outcome::refused(fault.to_string()),
    }
}

/// All numbers of the recipe document in `text`.
pub fn formulate(text: &str) -> Outcome {
    match formulate_text(text, &Settings::default()) {
        Ok(formulation) => pretty(&formulation, u8::from(!formulation.problems.is_empty())),
        Err(NotJson(why)) => Outcome::refused(format!("the recipe is no JSON: {why}")),
    }
}

/// The calculation of that name with the input in `text`; with problems `{"problems": […]}`.
pub fn calculate(name: &str, text: &str) -> Outcome {
    #[derive(Serialize)]
    struct Faulty {
        problems: Vec<Problem>,
    }
    if calculations::find(name).is_none() {
        let known: Vec<&str> = calculations::LIST.iter().map(|known| known.name).collect();
        return Outcome::refused(format!(
            "no calculation is called {name}; there are {}",
            known.join(", ")
        ));
    }
    let input = match Json::parse(text) {
        Ok(input) => input,
        Err(NotJson(why)) => return Outcome::refused(format!("the input is no JSON: {why}")),
    };
    match calculations::calculate(name, &input) {
        Some(Ok(output)) => pretty(&output, 0),
        Some(Err(problems)) => pretty(&Faulty { problems }, 1),
        None => Outcome::refused(format!("no calculation is called {name}")),
    }
}

/// Every calculation with its keys: what it takes (in brackets what may be left out, with its default), what it answers.
pub fn list() -> Outcome {
    let input = |key: &Key| match (key.required, key.default, key.default_word) {
        (true, ..) => key.name.to_owned(),
        (false, Some(default), _) => format!("[{} = {default}]", key.name),
        (false, None, Some(default)) => format!("[{} = {default}]", key.name),
        (false, None, None) => format!("[{}]", key.name),
    };
    let mut text = String::new();
    for calculation in calculations::LIST {
        let inputs: Vec<String> = calculation.inputs.iter().map(input).collect();
        let _ = writeln!(text, "{}", calculation.name);
        let _ = writeln!(text, "  in   {}", inputs.join(" "));
        let _ = writeln!(text, "  out  {}", calculation.outputs.join(" "));
    }
    Outcome::said(text.trim_end().to_owned(), 0)
}

/// The text of a file, or of standard input for `-`.
///
/// # Errors
/// The outcome to tell when it cannot be read or is not UTF-8.
pub fn input(file: &str) -> Result<String, Outcome> {
    let read = if file == "-" {
        let mut text = String::new();
        std::io::stdin().read_to_string(&mut text).map(|_| text)
    } else {
        std::fs::read_to_string(file)
    };
    read.map_err(|fault| Outcome::refused(format!("{file} cannot be read: {fault}")))
}

/// `mustwright formulate FILE|-`
pub fn run_formulate(file: &str) -> ExitCode {
    match input(file) {
        Ok(text) => formulate(&text).tell(),
        Err(outcome) => outcome.tell(),
    }
}

/// `mustwright calculate NAME [FILE|-]`, standard input where no file is named; `mustwright calculate --list` without a name.
pub fn run_calculate(name: Option<&str>, file: Option<&str>) -> ExitCode {
    let Some(name) = name else {
        return list().tell();
    };
    match input(file.unwrap_or("-")) {
        Ok(text) => calculate(name, &text).tell(),
        Err(outcome) => outcome.tell(),
    }
}
