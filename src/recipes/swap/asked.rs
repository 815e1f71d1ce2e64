//! What is asked for by the address of a swap: all of it text, exactly as typed.

use serde::Deserialize;

use super::Place;

/// Columns of a row that tell what the thing is, and go with it.
pub(super) const FIGURES: [&str; 19] = [
    "name",
    "kind",
    "price",
    "water",
    "fermentable",
    "unfermentable",
    "insoluble",
    "yan",
    "acid",
    "density",
    "spread",
    "entry",
    "tolerance",
    "need",
    "coldest",
    "warmest",
    "attenuation",
    "ammonium",
    "organic",
];

/// Fields of an address.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct Asked {
    /// The row of what one does not have.
    of: Option<String>,
    /// What one has instead: a key of the catalogue, or one's own.
    with: Option<String>,
    name: Option<String>,
    price: Option<String>,
    water: Option<String>,
    fermentable: Option<String>,
    acid: Option<String>,
    tolerance: Option<String>,
    need: Option<String>,
    ammonium: Option<String>,
    organic: Option<String>,
}

impl Asked {
    /// Asks for one swap, without anything typed.
    pub fn for_swap(of: &str, with: &str) -> Asked {
        Asked {
            of: Some(of.to_owned()),
            with: Some(with.to_owned()),
            ..Asked::default()
        }
    }

    fn fields(&self) -> [(&'static str, &Option<String>); 11] {
        [
            ("of", &self.of),
            ("with", &self.with),
            ("name", &self.name),
            ("price", &self.price),
            ("water", &self.water),
            ("fermentable", &self.fermentable),
            ("acid", &self.acid),
            ("tolerance", &self.tolerance),
            ("need", &self.need),
            ("ammonium", &self.ammonium),
            ("organic", &self.organic),
        ]
    }

    /// The text of a field, empty if there is none.
    pub fn text(&self, name: &str) -> &str {
        let found = self.fields().into_iter().find(|(field, _)| *field == name);
        found
            .and_then(|(_, text)| text.as_deref())
            .unwrap_or_default()
    }

    /// The same with this text in a field.
    pub fn with_text(mut self, name: &str, text: &str) -> Asked {
        let text = Some(text.to_owned());
        match name {
            "name" => self.name = text,
            "price" => self.price = text,
            "water" => self.water = text,
            "fermentable" => self.fermentable = text,
            "acid" => self.acid = text,
            "tolerance" => self.tolerance = text,
            "need" => self.need = text,
            "ammonium" => self.ammonium = text,
            "organic" => self.organic = text,
            _ => {}
        }
        self
    }

    /// The row that is asked about.
    pub fn place(&self) -> Option<Place> {
        Place::from_word(self.text("of"))
    }

    /// Whether a swap is asked for.
    pub fn is_whole(&self) -> bool {
        !self.text("of").is_empty() && !self.text("with").is_empty()
    }

    /// Everything that was asked, for another address that asks the same.
    pub fn pairs(&self) -> Vec<(&'static str, &str)> {
        let filled = self.fields().into_iter();
        filled
            .filter_map(|(name, text)| Some((name, text.as_deref()?)))
            .filter(|(_, text)| !text.is_empty())
            .collect()
    }
}
