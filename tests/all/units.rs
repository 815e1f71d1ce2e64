//! Quantities as people type and read them: what is taken, what is refused and in which words, and the way back.

mod amounts;
mod laws;
mod numbers;
mod quantities;
mod showing;

/// Degrees Plato to SG as in the composition notes; near enough to tell which way a text was read.
pub fn sg_of_fraction(fraction: f64) -> f64 {
    let plato = fraction * 100.0;
    1.0 + plato / (258.6 - 227.1 * plato / 258.2)
}
