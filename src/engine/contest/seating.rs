//! Whether a judge may take a seat: asked for every plan and for every change by hand.

/// A judge before a seat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Sitting {
    /// Something at the table must not be judged by them; what, and why, is not told.
    pub forbidden: bool,
    /// They sit at another table in the same round.
    pub busy: bool,
    /// Glasses that they are down for on that day already, and those of this flight.
    pub tasted: usize,
    pub glasses: usize,
    /// Glasses that they taste in a day at most.
    pub ceiling: usize,
}

/// Why a seat is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// They may not sit here; the reason stays untold.
    Forbidden,
    Busy,
    /// It would be so many glasses, and they taste so many at most.
    Ceiling {
        glasses: usize,
        ceiling: usize,
    },
    /// Nobody at the table is experienced.
    NobodyExperienced,
}

/// Whether they may sit there. What is forbidden is said first: it is so whatever else changes.
///
/// # Errors
/// The reason why not.
pub fn may_sit(sitting: &Sitting) -> Result<(), Refusal> {
    let glasses = sitting.tasted + sitting.glasses;
    match () {
        () if sitting.forbidden => Err(Refusal::Forbidden),
        () if sitting.busy => Err(Refusal::Busy),
        () if glasses > sitting.ceiling => Err(Refusal::Ceiling {
            glasses,
            ceiling: sitting.ceiling,
        }),
        () => Ok(()),
    }
}
