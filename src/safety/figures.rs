//! Figures in the texts, `{20:volume}`, printed in the reader's units.

use crate::web::units::{self, Units};

const CUBIC_FEET_PER_M3: f64 = 35.3147;
const PSI_PER_BAR: f64 = 14.5038;

/// A text with its figures set in. A figure that cannot be read stays as it stands; a test finds it.
pub fn set(text: &str, units: Units) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        out.push_str(before);
        let Some((slot, behind)) = after.split_once('}') else {
            out.push('{');
            rest = after;
            break;
        };
        match figure(slot, units) {
            Some(printed) => out.push_str(&printed),
            None => {
                out.push('{');
                out.push_str(slot);
                out.push('}');
            }
        }
        rest = behind;
    }
    out.push_str(rest);
    out
}

fn figure(slot: &str, units: Units) -> Option<String> {
    let (number, way) = slot.split_once(':')?;
    let number: f64 = number.parse().ok()?;
    Some(match way {
        "volume" => units::volume(number, units),
        "mass" => units::mass(number, units),
        "temperature" => units::temperature(number, units),
        "room" => room(number, units),
        "pressure" => pressure(number, units),
        _ => return None,
    })
}

/// The air of a room: "34 m³", "1190 ft³".
pub fn room(cubic_metres: f64, units: Units) -> String {
    match units {
        Units::Metric if cubic_metres < 9.95 => format!("{} m³", units::plain(cubic_metres, 1)),
        Units::Metric => format!("{} m³", units::plain(cubic_metres, 0)),
        _ => format!(
            "{} ft³",
            units::plain((cubic_metres * CUBIC_FEET_PER_M3 / 10.0).round() * 10.0, 0)
        ),
    }
}

fn pressure(bar: f64, units: Units) -> String {
    match units {
        Units::Metric => format!("{} bar", units::plain(bar, 1)),
        _ => format!("{} psi", units::plain((bar * PSI_PER_BAR).round(), 0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_printed_in_the_readers_units() {
        let text = "{20:volume}, {110:temperature}, {0.0024:mass}, {34:room}, {7.5:pressure}.";
        assert_eq!(
            set(text, Units::Metric),
            "20 L, 110 °C, 2.4 g, 34 m³, 7.5 bar."
        );
        assert_eq!(
            set(text, Units::Us),
            "5.28 gal, 230 °F, 2.4 g, 1200 ft³, 109 psi."
        );
    }

    #[test]
    fn what_is_no_figure_stays() {
        for text in ["{x:volume}", "{20:miles}", "{20}", "{", "a {20:volume"] {
            assert_eq!(set(text, Units::Metric), text);
        }
    }
}
