//! Something else in place of an ingredient, a yeast or a feed: the form with the swap made, and what that changes.

pub mod asked;
pub mod nearest;
pub mod pages;
mod stood;
pub mod taste;
pub mod told;

use crate::catalogue::club::ClubCatalogue;
use crate::recipes::forms::{Group, Row, Workbench, filler_value};
use crate::recipes::numbers::Reader;
use crate::recipes::workbench::assume::OWN;
use crate::web::units::Units;

use asked::FIGURES;
use stood::Stood;

pub use asked::Asked;

/// A row of the form, whose word is such as "honey-1".
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    pub group: Group,
    pub key: String,
}

impl Place {
    /// The place of a word; steps of the making and salts of the water are no things that one has or has not.
    pub fn from_word(word: &str) -> Option<Place> {
        let (group, key) = word.split_once('-')?;
        let group =
            Group::from_word(group).filter(|group| !matches!(group, Group::Step | Group::Salt))?;
        Some(Place {
            group,
            key: key.to_owned(),
        })
    }

    /// Its word.
    pub fn word(&self) -> String {
        format!("{}-{}", self.group.word(), self.key)
    }

    /// Its row, if the form has it and something stands in it.
    pub fn row<'a>(&self, form: &'a Workbench) -> Option<&'a Row> {
        let rows = form.rows(self.group).iter();
        let mut own = rows.filter(|row| row.key == self.key);
        own.find(|row| !row.is_blank(&["pick", "name"]))
    }
}

/// Whether what was asked for can stand there: an entry of that sort, or something of one's own.
pub fn can_stand(group: Group, with: &str, catalogue: &ClubCatalogue) -> bool {
    let is_honey = |entry: &crate::catalogue::Entry| entry.kind == crate::catalogue::Kind::Honey;
    match group {
        _ if with == OWN => true,
        Group::Honey => catalogue.find(with).is_some_and(is_honey),
        Group::Other => catalogue.find(with).is_some_and(|entry| !is_honey(entry)),
        Group::Yeast => catalogue.find_yeast(with).is_some(),
        Group::Feed => catalogue.find_feed(with).is_some(),
        Group::Step | Group::Salt => false,
    }
}

/// The form with the swap made wherever the thing stands: amount, time, days and remark stay, figures and price go with
/// the thing. `None` where the form has no such row, or nothing of that sort is asked for.
pub fn swapped(
    form: &Workbench,
    place: &Place,
    asked: &Asked,
    units: Units,
    catalogue: &ClubCatalogue,
) -> Option<Workbench> {
    let with = asked.text("with");
    let row = place.row(form)?;
    if !can_stand(place.group, with, catalogue) {
        return None;
    }
    let stood = stood::stood(form, place, units, catalogue);
    let (pick, called) = (row.cell("pick").to_owned(), row.called(catalogue));
    let mut new = form.clone();
    for row in new.rows_mut(place.group) {
        if row.cell("pick") == pick && row.called(catalogue) == called {
            replace(row, place.group, asked, stood.as_ref(), catalogue);
        }
    }
    rename_filler(&mut new, catalogue);
    Some(new)
}

/// Puts the thing into the row of another.
fn replace(
    row: &mut Row,
    group: Group,
    asked: &Asked,
    stood: Option<&Stood>,
    catalogue: &ClubCatalogue,
) {
    // A form that is only the usual one of what stood there is not that of what comes.
    let was_usual = catalogue
        .find(row.cell("pick"))
        .and_then(|entry| entry.form)
        .is_some_and(|form| form.word() == row.cell("form"));
    if was_usual && asked.text("with") != OWN {
        row.set("form", "");
    }
    let columns = group.columns();
    for column in FIGURES
        .into_iter()
        .filter(|column| columns.contains(column))
    {
        row.set(column, "");
    }
    row.set("pick", asked.text("with"));
    if columns.contains(&"price") {
        row.set("price", asked.text("price"));
    }
    if let Some(stood) = stood.filter(|_| asked.text("with") == OWN) {
        stood.fill(row, group, asked);
    }
}

/// What fills up is told by its name: that of what stands there now.
fn rename_filler(form: &mut Workbench, catalogue: &ClubCatalogue) {
    let filling = form
        .rows(Group::Other)
        .iter()
        .find(|row| form.fills_up(Group::Other, &row.key));
    let value = filling.and_then(|row| {
        let name = row.called(catalogue)?;
        Some(filler_value(Group::Other, &row.key, &name))
    });
    if let Some(value) = value {
        form.set("filler", value);
    }
}

/// The form with what was asked for taken over, and the words that say so; as it is where nothing was asked for.
pub fn taken_over(form: Workbench, asked: &Asked, reader: &Reader) -> (Workbench, String) {
    if !asked.is_whole() {
        return (form, String::new());
    }
    let (units, catalogue) = (reader.units, &reader.catalogue);
    let place = asked.place();
    let new = place.and_then(|place| {
        let new = swapped(&form, &place, asked, units, catalogue)?;
        let called = |form: &Workbench| place.row(form)?.called(catalogue);
        let said = format!(
            "{} stands in place of {}. Nothing is saved yet: look at it, change what you like, and save it.",
            called(&new).unwrap_or_else(|| "Something without a name".to_owned()),
            called(&form)?
        );
        Some((new, said))
    });
    new.unwrap_or_else(|| {
        let said = "The swap could not be made as it was asked for: look at the form.";
        (form, said.to_owned())
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipes::forms::check::check;
    use crate::recipes::forms::fill;

    const CLUB: fn() -> ClubCatalogue = ClubCatalogue::default;

    fn swap(form: &Workbench, of: &str, asked: Asked) -> Option<Workbench> {
        let place = Place::from_word(of)?;
        swapped(form, &place, &asked, Units::Metric, &CLUB())
    }

    fn fresh() -> Workbench {
        let mut form = fill::fresh(Units::Metric);
        form.set("title", "Fresh");
        form
    }

    #[test]
    fn what_belongs_to_the_recipe_stays_and_what_belongs_to_the_thing_goes() {
        let mut form = fresh();
        let cells = [
            ("pick", "raspberry"),
            ("name", "Raspberries of the lane"),
            ("amount", "1,5 kg"),
            ("when", "secondary"),
            ("days", "9"),
            ("price", "8"),
            ("water", "85 %"),
            ("remark", "frozen in August"),
        ];
        let key = form.add_row(Group::Other, &cells);
        let asked = Asked::for_swap("", "blackberry");
        let new = swap(&form, &format!("other-{key}"), asked).expect("a swap");
        let row = new.rows(Group::Other).first().expect("a row");
        for (column, text) in [
            ("pick", "blackberry"),
            ("amount", "1,5 kg"),
            ("when", "secondary"),
            ("days", "9"),
            ("remark", "frozen in August"),
            ("name", ""),
            ("price", ""),
            ("water", ""),
        ] {
            assert_eq!(row.cell(column), text, "{column}");
        }
    }

    #[test]
    fn a_honey_is_swapped_wherever_it_stands_and_another_is_not() {
        let mut form = fresh();
        for (pick, when) in [("honey-wildflower", "sweeten"), ("honey-heather", "must")] {
            form.add_row(Group::Honey, &[("pick", pick), ("when", when)]);
        }
        let new = swap(&form, "honey-1", Asked::for_swap("", "honey-clover")).expect("a swap");
        let picks: Vec<&str> = new
            .rows(Group::Honey)
            .iter()
            .map(|row| row.cell("pick"))
            .collect();
        assert_eq!(picks, ["honey-clover", "honey-clover", "honey-heather"]);
    }

    #[test]
    fn only_what_is_of_that_sort_can_stand_there() {
        for (of, with, can) in [
            ("honey-1", "honey-clover", true),
            ("honey-1", "raspberry", false),
            ("honey-1", "yeast-bread", false),
            ("honey-9", "honey-clover", false),
            ("yeast-1", "yeast-bread", true),
            ("yeast-1", "feed-dap", false),
            ("feed-2", "feed-organic", true),
            ("feed-2", "nothing", false),
            ("step-1", "own", false),
            ("honey", "honey-clover", false),
        ] {
            let new = swap(&fresh(), of, Asked::for_swap("", with));
            assert_eq!(new.is_some(), can, "{with} for {of}");
        }
    }

    #[test]
    fn what_is_not_typed_of_ones_own_is_as_it_was() {
        let form = fresh();
        let before = check(&form, Units::Metric, &CLUB()).recipe;
        let typed = |asked: Asked, of: &str| {
            let new = swap(&form, of, asked).expect("a swap");
            let checked = check(&new, Units::Metric, &CLUB());
            assert_eq!(checked.faults, []);
            checked.recipe
        };
        let own = |name: &str| Asked::for_swap("", OWN).with_text("name", name);
        let honey = typed(own("Garden honey"), "honey-1").ingredients;
        assert_eq!(
            (honey[0].name.as_str(), &honey[0].key),
            ("Garden honey", &None)
        );
        let made = |recipe: &crate::engine::recipe::Ingredient| {
            recipe.composition.clone().expect("a make-up")
        };
        let (was, is) = (made(&before.ingredients[0]), made(&honey[0]));
        assert!(
            (was.water - is.water).abs() < 1e-12
                && (was.fermentable - is.fermentable).abs() < 1e-12
        );
        let wet = typed(own("Garden honey").with_text("water", "20 %"), "honey-1").ingredients;
        assert!((made(&wet[0]).water - 0.2).abs() < 1e-12);
        assert!((made(&wet[0]).fermentable - 0.8 * 0.89).abs() < 1e-9);
        let yeast = typed(own("House yeast").with_text("tolerance", "13"), "yeast-1").yeasts;
        assert_eq!(yeast[0].tolerance_abv_percent, 13.0);
        assert_eq!(yeast[0].temperature_c, before.yeasts[0].temperature_c);
        let feed = typed(own("Hulls").with_text("organic", "20"), "feed-1").nutrients;
        assert_eq!(
            (feed[0].ammonium_yan_mg_per_g, feed[0].organic_yan_mg_per_g),
            (0.0, 20.0)
        );
        let same = typed(own("Blend"), "feed-1").nutrients;
        assert_eq!(
            same[0].organic_yan_mg_per_g,
            before.nutrients[0].organic_yan_mg_per_g
        );
    }
}
