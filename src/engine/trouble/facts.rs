//! What is known of a batch when something seems wrong.

/// What the log and the recipe say, and what somebody answered. Everything may be unknown.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Facts {
    /// Litres of must or mead.
    pub litres: Option<f64>,
    /// Hours since the pitch.
    pub hours_since_pitch: Option<f64>,
    /// Days since the mixing.
    pub age_days: Option<f64>,
    /// Gravity at the pitch, SG.
    pub og: Option<f64>,
    /// The last gravity read, SG.
    pub sg: Option<f64>,
    /// By how much it fell a day between the last readings that are at least three days apart, SG.
    pub fall_sg_per_day: Option<f64>,
    /// Strength by the last reading, % by volume.
    pub abv_percent: Option<f64>,
    /// What the yeast bears, % by volume.
    pub tolerance_abv_percent: Option<f64>,
    /// Sugar left that could ferment, g/L.
    pub sugar_left_g_per_l: Option<f64>,
    /// Whether readings show that it is finished.
    pub is_finished: Option<bool>,
    /// Part of the fall that is done, 0 to 1.
    pub fall_done: Option<f64>,
    /// The last pH.
    pub ph: Option<f64>,
    /// Titratable acidity, g/L as tartaric.
    pub ta_g_per_l: Option<f64>,
    /// The last must temperature, °C.
    pub temperature_c: Option<f64>,
    /// The warmest must temperature while it worked, °C.
    pub warmest_c: Option<f64>,
    /// Temperatures this yeast works well at, °C.
    pub yeast_temperature_c: Option<[f64; 2]>,
    /// Dry yeast pitched, g/L.
    pub pitch_g_per_l: Option<f64>,
    /// Nitrogen in the must and given so far, mg/L.
    pub nitrogen_given_mg_per_l: Option<f64>,
    /// Nitrogen that the plan wants in all, mg/L.
    pub nitrogen_target_mg_per_l: Option<f64>,
    /// Hours since sulfite went in.
    pub hours_since_sulfite: Option<f64>,
    /// Free sulfur dioxide, mg/L.
    pub free_so2_mg_per_l: Option<f64>,
    /// Whether sulfite and sorbate went in at any time to stop its yeast; what is pitched since changes nothing of that.
    pub is_stabilised: Option<bool>,
    /// Part of the vessel that is empty, 0 to 1.
    pub headspace_fraction: Option<f64>,
    /// Hours since the gas was last stirred out.
    pub hours_since_degassed: Option<f64>,
    /// Days on the sediment of the first fermentation.
    pub days_on_lees: Option<f64>,
    /// Whether air was stirred in after the one-third break.
    pub aired_after_break: Option<bool>,
    /// Whether fruit is in it.
    pub has_fruit: Option<bool>,
    /// Whether pectinase went in.
    pub has_pectinase: Option<bool>,
    /// Whether it was meant to sparkle.
    pub meant_to_sparkle: Option<bool>,
    /// Whether sugar went into the bottles, or gas into the keg.
    pub is_primed: Option<bool>,
    /// Days since it was bottled.
    pub days_in_bottle: Option<f64>,
    /// Where the bottles stand, °C.
    pub bottle_temperature_c: Option<f64>,
    /// Answered: the lid and all seals are tight.
    pub lid_is_tight: Option<bool>,
    /// Answered: there is fur or a coloured spot on it.
    pub fur_is_seen: Option<bool>,
    /// Answered: it smells strongly of nail varnish or vinegar.
    pub smells_of_nail_varnish: Option<bool>,
    /// Answered: it smells of rot, not of eggs alone.
    pub smells_rotten: Option<bool>,
}

impl Facts {
    /// What is no number, or none of its kind, is not known.
    pub(super) fn cleaned(&self) -> Facts {
        fn within(value: Option<f64>, low: f64, high: f64) -> Option<f64> {
            value.filter(|value| (low..=high).contains(value))
        }
        let celsius = |value| within(value, -50.0, 150.0);
        let long = |value| within(value, 0.0, 1e6);
        Facts {
            litres: within(self.litres, 1e-6, 1e6),
            hours_since_pitch: long(self.hours_since_pitch),
            age_days: long(self.age_days),
            og: within(self.og, 0.9, 1.5),
            sg: within(self.sg, 0.9, 1.5),
            fall_sg_per_day: within(self.fall_sg_per_day, -0.5, 0.5),
            abv_percent: within(self.abv_percent, 0.0, 100.0),
            tolerance_abv_percent: within(self.tolerance_abv_percent, 0.0, 100.0),
            sugar_left_g_per_l: within(self.sugar_left_g_per_l, 0.0, 1_500.0),
            fall_done: within(self.fall_done, -1.0, 2.0),
            ph: within(self.ph, 1.0, 10.0),
            ta_g_per_l: within(self.ta_g_per_l, 0.0, 50.0),
            temperature_c: celsius(self.temperature_c),
            warmest_c: celsius(self.warmest_c),
            yeast_temperature_c: self
                .yeast_temperature_c
                .filter(|[low, high]| low <= high && low.abs() <= 100.0 && high.abs() <= 100.0),
            pitch_g_per_l: within(self.pitch_g_per_l, 0.0, 100.0),
            nitrogen_given_mg_per_l: within(self.nitrogen_given_mg_per_l, 0.0, 1e5),
            nitrogen_target_mg_per_l: within(self.nitrogen_target_mg_per_l, 0.0, 1e5),
            hours_since_sulfite: long(self.hours_since_sulfite),
            free_so2_mg_per_l: within(self.free_so2_mg_per_l, 0.0, 1e4),
            headspace_fraction: within(self.headspace_fraction, 0.0, 0.999),
            hours_since_degassed: long(self.hours_since_degassed),
            days_on_lees: long(self.days_on_lees),
            days_in_bottle: long(self.days_in_bottle),
            bottle_temperature_c: celsius(self.bottle_temperature_c),
            ..*self
        }
    }
}
