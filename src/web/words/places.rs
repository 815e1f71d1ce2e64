//! Places of a recipe document in words: from JSON Pointers to "ingredient 2, amount".

/// Lists of a document and what one thing in them is called.
const LISTS: &[(&str, &str)] = &[
    ("ingredients", "ingredient"),
    ("yeasts", "yeast"),
    ("nutrients", "feed"),
    ("process", "step"),
];

/// Keys that are no word by themselves.
const KEYS: &[(&str, &str)] = &[
    ("title", "name"),
    ("declared", "what the maker calls it"),
    ("volume_l", "volume"),
    ("aim", "what it aims for"),
    ("abv_percent", "strength"),
    ("gravity_sg", "gravity"),
    ("use_honey_kg", "honey to use"),
    ("finish", "how it ends"),
    ("sweeten_to_sg", "gravity to sweeten to"),
    ("arrest_to_sg", "gravity to stop at"),
    ("filler", "what fills up"),
    ("temperature_c", "temperature"),
    ("brim_l", "volume to the brim"),
    ("wide_mouth", "width of the mouth"),
    ("headspace_fraction", "headspace"),
    ("loss_l", "losses"),
    ("water_report", "water"),
    ("key", "key in the catalogue"),
    ("share", "parts"),
    ("kg", "kilograms"),
    ("l", "litres"),
    ("g_per_l", "grams per litre"),
    ("composition", "what it is made of"),
    ("fermentable", "sugar that ferments"),
    ("unfermentable", "what does not ferment"),
    ("insoluble", "what stays solid"),
    ("yan_mg_per_kg", "nitrogen"),
    ("ta_g_per_kg", "acidity"),
    ("density_kg_per_l", "density"),
    ("spread", "give or take"),
    ("price_per_kg", "price"),
    ("tolerance_abv_percent", "tolerance"),
    ("nitrogen_need", "need of nitrogen"),
    ("attenuation_percent", "attenuation"),
    ("ammonium_yan_mg_per_g", "nitrogen as ammonium"),
    ("organic_yan_mg_per_g", "organic nitrogen"),
    ("max_g_per_l", "most grams per litre"),
    ("typed", "texts as they were typed"),
];

/// A JSON Pointer into a recipe document, in words.
pub fn place(pointer: &str) -> String {
    if pointer.is_empty() {
        return "the whole document".to_owned();
    }
    let mut parts: Vec<String> = Vec::new();
    let mut list: Option<&str> = None;
    for key in pointer.split('/').skip(1) {
        let key = key.replace("~1", "/").replace("~0", "~");
        match (list.take(), key.parse::<usize>()) {
            (Some(one), Ok(index)) => {
                parts.pop();
                parts.push(format!("{one} {}", index.saturating_add(1)));
            }
            _ => {
                list = LISTS
                    .iter()
                    .find(|(known, _)| parts.is_empty() && *known == key)
                    .map(|(_, one)| *one);
                parts.push(word(&key));
            }
        }
    }
    parts.join(", ")
}

fn word(key: &str) -> String {
    let plain = |c: char| c.is_ascii_lowercase() || c == '_';
    match KEYS.iter().find(|(known, _)| *known == key) {
        Some((_, words)) => (*words).to_owned(),
        None if !key.is_empty() && key.len() <= 30 && key.chars().all(plain) => {
            key.replace('_', " ")
        }
        None => format!("“{}”", key.chars().take(60).collect::<String>()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_said_in_words() {
        for (pointer, words) in [
            ("", "the whole document"),
            ("/ingredients/1/amount", "ingredient 2, amount"),
            ("/ingredients", "ingredients"),
            (
                "/ingredients/0/composition/yan_mg_per_kg",
                "ingredient 1, what it is made of, nitrogen",
            ),
            ("/yeasts/0/temperature_c/1", "yeast 1, temperature, “1”"),
            ("/nutrients/2/share", "feed 3, parts"),
            ("/process/0/text", "step 1, text"),
            ("/aim/abv_percent", "what it aims for, strength"),
            ("/Colour", "“Colour”"),
            (
                "/typed/~1aim~1abv_percent",
                "texts as they were typed, “/aim/abv_percent”",
            ),
            ("/a/ingredients/3", "a, ingredients, “3”"),
        ] {
            assert_eq!(place(pointer), words, "{pointer}");
        }
    }
}
