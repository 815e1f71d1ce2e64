//! Fields and rows from a report of the water and its salts.

use super::Filler;
use crate::engine::json::pointer;
use crate::engine::recipe::WaterReport;
use crate::recipes::forms::Group;
use crate::recipes::forms::water::{IONS, IONS_AT, SALTS_AT, key_of, to_carry};

impl Filler<'_> {
    /// What no field shows goes along unseen: other spellings, and what the form has no field for.
    pub(super) fn water(&mut self, report: &WaterReport) {
        self.set("water_report", to_carry(report));
        for (field, ion) in IONS {
            if let Some((key, mg)) =
                key_of(report, ion).and_then(|key| report.ions.get_key_value(key))
            {
                let text = self.text(&pointer(IONS_AT, key), *mg);
                self.set(field, text);
            }
        }
        for (name, grams) in &report.salts {
            let text = self.text(&pointer(SALTS_AT, name), *grams);
            let cells = [("pick", name.as_str()), ("grams", text.as_str())];
            self.form.add_row(Group::Salt, &cells);
        }
    }
}
