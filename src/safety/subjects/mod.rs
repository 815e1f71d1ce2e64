//! All subjects, what can hurt tonight first.

mod allergies;
mod bottles;
mod cleaning;
mod drinking;
mod gas;
mod glass;
mod heat;
mod honey;
mod law;
mod pepper;
mod pets;
mod plants;
mod spoilage;
mod stones;
mod sulfite;
mod vessels;

use super::model::Subject;

/// In the order in which the index has them.
const SUBJECTS: [Subject; 16] = [
    gas::SUBJECT,
    cleaning::SUBJECT,
    bottles::SUBJECT,
    heat::SUBJECT,
    glass::SUBJECT,
    plants::SUBJECT,
    stones::SUBJECT,
    pepper::SUBJECT,
    sulfite::SUBJECT,
    honey::SUBJECT,
    allergies::SUBJECT,
    drinking::SUBJECT,
    spoilage::SUBJECT,
    vessels::SUBJECT,
    pets::SUBJECT,
    law::SUBJECT,
];

/// Every subject.
pub fn subjects() -> &'static [Subject] {
    const { &SUBJECTS }
}

/// The subject of that key.
pub fn find(key: &str) -> Option<&'static Subject> {
    subjects().iter().find(|subject| subject.key == key)
}
