//! Animals in the house.

use crate::safety::model::{Group, PRACTICE, Section, Subject, recalled};

pub const SUBJECT: Subject = Subject {
    key: "pets",
    name: "Pets and other animals",
    group: Group::Later,
    line: "Hops, grapes, raisins, cocoa, coffee and lees hurt a dog or a cat.",
    wall: "Fruit, hops, raisins, cocoa and lees into a closed bin, out of reach of dogs and cats.",
    sections: &[Section {
        anchor: "waste",
        heading: "What is thrown away",
        happens: "Hops can kill a dog; so can grapes, raisins, cocoa and coffee. Lees and spent fruit hold alcohol and go on fermenting in a stomach. Spilt cleaner is licked up.",
        tell: "Panting, vomiting, a hot body, trembling, a drunken walk.",
        steps: &[
            "A bin with a lid, out of reach, emptied the same day; compost that is fenced.",
            "No animals where lye, acid or hot honey stand about; they trip people, too.",
            "Spent fruit is no feed for hens or pigs before a vet has said so.",
        ],
        ask: "It has eaten any of this: a vet at once, before it looks ill.",
        sources: &[recalled("veterinary poison lines"), PRACTICE],
        beside: None,
    }],
};
