//! What is typed in the cellar: bottles that are taken out, and where the rest lies.

use chrono::NaiveDate;

use super::model::{DRAWN_ML, Lot, PLACE_MAX, TakenFor, Taking, WHOM_MAX};
use super::view::{amount, bottles};
use crate::batches::log::forms::moment;
use crate::batches::start::Speaks;
use crate::web::day;
use crate::web::error::Error;
use crate::web::typed::Typed;
use crate::web::units::{parse_volume, parse_whole};

/// Reads what is taken out of a lot; never more than there is, and of those kept back only when it is said.
///
/// # Errors
/// When a field came twice.
pub fn taking(typed: &mut Typed<'_>, to: Speaks, lot: &Lot) -> Result<Option<Taking>, Error> {
    let count = match lot.keg {
        true => drawn(typed, to)?,
        false => counted(typed)?,
    };
    let why = TakenFor::from_word(typed.text("why")?);
    if why.is_none() {
        typed.form.refuse("why", "Choose what becomes of it.");
    }
    let whom = typed.line("whom", WHOM_MAX)?;
    let at = moment(typed, to)?;
    let from_kept = typed.text("from_kept")? == "yes";
    if let Some(count) = count.map(i64::from) {
        let (left, kept) = (lot.left(), lot.kept());
        if count > left {
            let words = format!("There is less left: {}.", amount(lot, left, to.units));
            typed.form.refuse("bottles", words);
        } else if count > left - kept && !from_kept {
            let words = format!(
                "{kept} of them are kept back to be tasted side by side. Tick it if one of those is to be taken."
            );
            typed.form.refuse("from_kept", words);
        }
    }
    if !typed.form.is_sound() {
        return Ok(None);
    }
    let taking = count.zip(why).zip(at);
    Ok(taking.map(|((bottles, why), at)| Taking {
        bottles,
        why,
        whom,
        at,
    }))
}

/// How many bottles; empty: one.
fn counted(typed: &mut Typed<'_>) -> Result<Option<i32>, Error> {
    let count = typed.read("bottles", |text| {
        parse_whole(text, 1, 1_000_000).map_err(|_| "Write how many, such as 1.")
    })?;
    Ok(match typed.text("bottles")? {
        "" => Some(1),
        _ => count,
    })
}

/// How much was drawn from a keg, in its unit.
fn drawn(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<i32>, Error> {
    const WHAT: &str = "Write how much was drawn, such as 0.5 L.";
    let litres = typed.read("bottles", |text| {
        parse_volume(text, to.units).map_err(|_| WHAT)
    })?;
    let count = litres.map(|litres| (1000.0 * litres / f64::from(DRAWN_ML)).round());
    let count = count.filter(|count| (1.0..=1e6).contains(count));
    if count.is_none() && typed.form.fault("bottles").is_none() {
        typed.form.refuse("bottles", WHAT);
    }
    Ok(count.map(|count| count as i32))
}

/// Where bottles lie, how many are kept back, and until when.
pub struct Keeping {
    pub place: String,
    pub kept_back: i32,
    pub kept_until: Option<NaiveDate>,
}

/// Reads it.
///
/// # Errors
/// When a field came twice.
pub fn keeping(typed: &mut Typed<'_>, to: Speaks, lot: &Lot) -> Result<Option<Keeping>, Error> {
    let left = lot.left();
    let place = typed.line("place", PLACE_MAX)?;
    let kept = typed.read("kept", |text| {
        parse_whole(text, 0, 100).map_err(|_| "Write how many, such as 2, or 0 for none.")
    })?;
    let kept_back = kept.filter(|_| !lot.keg).unwrap_or(0);
    if i64::from(kept_back) > left {
        let words = format!("There is less left: {}.", bottles(left));
        typed.form.refuse("kept", words);
    }
    let kept_until = kept_until(typed, to)?;
    if kept_back > 0 && kept_until.is_none() && typed.form.fault("kept_until").is_none() {
        typed
            .form
            .refuse("kept_until", "Write until when, so that you are reminded.");
    }
    let sound = typed.form.is_sound();
    Ok(sound.then_some(Keeping {
        place,
        kept_back,
        kept_until: kept_until.filter(|_| kept_back > 0),
    }))
}

/// The day until which bottles are kept back.
///
/// # Errors
/// When the field came twice.
pub fn kept_until(typed: &mut Typed<'_>, to: Speaks) -> Result<Option<NaiveDate>, Error> {
    let today = to.today();
    typed.day("kept_until", to.units, |text, units| {
        day::read(text, today, units)
    })
}
