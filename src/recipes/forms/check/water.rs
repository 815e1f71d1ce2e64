//! The report of the water, and the salts that are weighed into it.

use super::Checker;
use crate::engine::json::pointer;
use crate::engine::recipe::WaterReport;
use crate::recipes::forms::water::{IONS, IONS_AT, SALTS_AT, carried, key_of, without_field};
use crate::recipes::forms::{Group, Row, cell_id};

impl Checker<'_> {
    pub(super) fn water_report(&mut self) {
        let form = self.form;
        let before = carried(form.text("water_report"));
        let named = before.clone().unwrap_or_default();
        let mut report = WaterReport::default();
        for (key, mg) in without_field(&named) {
            report.ions.insert(key.clone(), *mg);
        }
        for (field, ion) in IONS {
            let key = key_of(&named, ion).unwrap_or(ion);
            let read = self.optional(field, form.text(field), &pointer(IONS_AT, key));
            if let Some(mg) = read {
                report.ions.insert(key.to_owned(), mg);
            }
        }
        for row in form.rows(Group::Salt) {
            self.salt(row, &mut report);
        }
        let says_nothing = |report: &WaterReport| report.ions.is_empty() && report.salts.is_empty();
        let stays = !says_nothing(&report) || before.as_ref().is_some_and(says_nothing);
        self.out.recipe.water_report = Some(report).filter(|_| stays);
    }

    fn salt(&mut self, row: &Row, report: &mut WaterReport) {
        if row.is_blank(&["pick", "grams"]) {
            return;
        }
        let id = |column: &str| cell_id(Group::Salt, &row.key, column);
        let pick = row.cell("pick").trim();
        if pick.is_empty() {
            self.refuse(id("pick"), "Choose which salt it is.");
        }
        if row.is_blank(&["grams"]) {
            self.refuse(id("grams"), "Write how much, such as 1.5 g.");
        }
        let place = pointer(SALTS_AT, pick);
        if report.salts.contains_key(pick) {
            self.refuse(
                id("pick"),
                "This salt stands there twice: write what both are together, and remove one.",
            );
            return;
        }
        let grams = self.optional(&id("grams"), row.cell("grams"), &place);
        // A salt that nobody knows is wrong by its name, one that is too much by its weight.
        if crate::engine::water::Salt::named(pick).is_none() {
            self.place(place, id("pick"));
        }
        if let Some(grams) = grams.filter(|_| !pick.is_empty()) {
            report.salts.insert(pick.to_owned(), grams);
        }
    }
}
