//! The form that makes an invite, and the one by which somebody comes in.

use super::{DAYS, MAX_USES, NOTE_MAX, NewInvite};
use crate::members::forms::new_password;
use crate::members::names::Name;
use crate::web::Error;
use crate::web::form::{FormState, Posted};
use crate::web::units::{Units, parse_whole};
use crate::web::viewer::Role;

/// An invite's form as it is first shown.
pub fn fresh_invite() -> FormState {
    let mut state = FormState::new();
    state.set("role", Role::Member.as_str());
    state.set("uses", "1");
    state.set("days", "7");
    state
}

/// Reads the form that makes an invite.
pub fn invite(posted: &Posted) -> Result<Result<NewInvite, FormState>, Error> {
    let mut state = FormState::of(posted);
    let role = Role::from_word(posted.one("role")?);
    if role.is_none() {
        state.refuse("role", "Choose one of the roles offered.");
    }
    let uses = parse_whole(posted.one("uses")?, 1, MAX_USES);
    match (&uses, role) {
        (Err(_), _) => state.refuse(
            "uses",
            format!("Enter how many people, from 1 to {MAX_USES}."),
        ),
        (Ok(2..), Some(Role::Organiser | Role::Keeper)) => state.refuse(
            "uses",
            "An invite that makes an organiser or a keeper is for one person. Enter 1.",
        ),
        _ => {}
    }
    let days = posted.one("days")?.parse().ok();
    let days = days.filter(|days| DAYS.contains(days));
    if days.is_none() {
        state.refuse("days", "Choose one of the times offered.");
    }
    let note = posted.one("note")?.trim();
    if note.chars().count() > NOTE_MAX || note.chars().any(char::is_control) {
        state.refuse(
            "note",
            format!("Write at most {NOTE_MAX} letters on one line."),
        );
    }
    Ok(match (role, uses, days) {
        (Some(role), Ok(uses), Some(days)) if state.is_sound() => Ok(NewInvite {
            role,
            note: note.to_owned(),
            uses,
            days,
        }),
        _ => Err(state),
    })
}

/// Who comes in.
#[derive(Clone, Debug)]
pub struct Joining {
    /// The name.
    pub name: Name,
    /// The password.
    pub password: String,
    /// How pages measure.
    pub units: Units,
}

/// Reads the form by which somebody comes in.
pub fn joining(posted: &Posted, club: &str) -> Result<Result<Joining, FormState>, Error> {
    let mut state = FormState::of(posted);
    let typed = posted.one("name")?;
    let name = Name::read(typed);
    if let Err(why) = &name {
        state.refuse("name", why.message());
    }
    let password = new_password(posted, &[club, typed], &mut state)?;
    let units = posted.one("units")?.parse::<Units>();
    if units.is_err() {
        state.refuse("units", "Choose one of the units offered.");
    }
    Ok(match (name, password, units) {
        (Ok(name), Some(password), Ok(units)) if state.is_sound() => Ok(Joining {
            name,
            password,
            units,
        }),
        _ => Err(state),
    })
}
