//! Seats that judges leave: with their duty, or where somebody is kept apart from somebody once tables are made.

pub mod store;

/// Flights by their numbers, as the chain names them; empty of none.
pub fn numbered(flights: &[i32]) -> String {
    let numbers: Vec<String> = flights.iter().map(i32::to_string).collect();
    match numbers.len() {
        0 => String::new(),
        1 => format!("flight {}", numbers.concat()),
        _ => format!("flights {}", numbers.join(", ")),
    }
}
