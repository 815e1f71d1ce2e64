//! The seeded catalogue of ingredients, yeasts and feeds.
