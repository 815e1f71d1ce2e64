//! Acids and what neutralises them, by the protons they give or take up to pH 8.2.
//!
//! pH does not follow from titratable acidity alone, and nothing here says anything of it.

/// Something that changes titratable acidity, or names it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Acid {
    /// C₄H₆O₆, two protons.
    Tartaric,
    /// C₄H₆O₅, two protons.
    Malic,
    /// C₆H₈O₇, three protons.
    Citric,
    /// Citric acid with one water, as it is mostly sold.
    CitricMonohydrate,
    /// C₃H₆O₃, pure; what is sold is a solution of 80 to 88 %.
    Lactic,
    /// C₂H₄O₂.
    Acetic,
    /// C₄H₆O₄, two protons.
    Succinic,
    /// C₆H₁₂O₇, honey's own.
    Gluconic,
    /// H₂SO₄: a scale in some countries, never an addition.
    Sulfuric,
}

impl Acid {
    /// Every one of them.
    pub const ALL: [Acid; 9] = [
        Acid::Tartaric,
        Acid::Malic,
        Acid::Citric,
        Acid::CitricMonohydrate,
        Acid::Lactic,
        Acid::Acetic,
        Acid::Succinic,
        Acid::Gluconic,
        Acid::Sulfuric,
    ];

    /// Its word in documents.
    pub fn as_str(self) -> &'static str {
        match self {
            Acid::Tartaric => "tartaric",
            Acid::Malic => "malic",
            Acid::Citric => "citric",
            Acid::CitricMonohydrate => "citric_monohydrate",
            Acid::Lactic => "lactic",
            Acid::Acetic => "acetic",
            Acid::Succinic => "succinic",
            Acid::Gluconic => "gluconic",
            Acid::Sulfuric => "sulfuric",
        }
    }

    /// Grams that give one mole of protons, by the IUPAC abridged atomic weights (2021).
    pub fn equivalent_g(self) -> f64 {
        match self {
            Acid::Tartaric => 150.086 / 2.0,
            Acid::Malic => 134.087 / 2.0,
            Acid::Citric => 192.123 / 3.0,
            Acid::CitricMonohydrate => 210.138 / 3.0,
            Acid::Lactic => 90.078,
            Acid::Acetic => 60.052,
            Acid::Succinic => 118.088 / 2.0,
            Acid::Gluconic => 196.155,
            Acid::Sulfuric => 98.072 / 2.0,
        }
    }
}

/// The factor that turns g/L counted as one acid into g/L counted as another.
pub fn counted_as(from: Acid, to: Acid) -> f64 {
    to.equivalent_g() / from.equivalent_g()
}

/// What is added to change the acidity: an acid raises it, a carbonate lowers it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Addition {
    /// One of the acids that are added.
    Acid(Acid),
    /// K₂CO₃.
    PotassiumCarbonate,
    /// KHCO₃.
    PotassiumBicarbonate,
    /// CaCO₃.
    CalciumCarbonate,
    /// NaHCO₃.
    SodiumBicarbonate,
}

impl Addition {
    /// Every one of them, acids first.
    pub const ALL: [Addition; 9] = [
        Addition::Acid(Acid::Tartaric),
        Addition::Acid(Acid::Malic),
        Addition::Acid(Acid::Citric),
        Addition::Acid(Acid::CitricMonohydrate),
        Addition::Acid(Acid::Lactic),
        Addition::PotassiumCarbonate,
        Addition::PotassiumBicarbonate,
        Addition::CalciumCarbonate,
        Addition::SodiumBicarbonate,
    ];

    /// Its word in documents: the acid's, or the formula.
    pub fn as_str(self) -> &'static str {
        match self {
            Addition::Acid(acid) => acid.as_str(),
            Addition::PotassiumCarbonate => "K2CO3",
            Addition::PotassiumBicarbonate => "KHCO3",
            Addition::CalciumCarbonate => "CaCO3",
            Addition::SodiumBicarbonate => "NaHCO3",
        }
    }

    /// Grams that change the acidity of so many litres by so much, g/L as tartaric; below 0 where it works the other way.
    pub fn grams(self, ta_change_g_per_l: f64, litres: f64) -> f64 {
        ta_change_g_per_l / self.change_as_tartaric() * litres
    }

    /// Change of titratable acidity, g/L as tartaric, by 1 g/L of it. Carbon dioxide escapes; no bitartrate falls out (right
    /// for mead, wrong for grape wine).
    pub fn change_as_tartaric(self) -> f64 {
        let tartaric = Acid::Tartaric.equivalent_g();
        match self {
            Addition::Acid(acid) => tartaric / acid.equivalent_g(),
            Addition::PotassiumCarbonate => -tartaric * 2.0 / 138.205,
            Addition::PotassiumBicarbonate => -tartaric / 100.114,
            Addition::CalciumCarbonate => -tartaric * 2.0 / 100.086,
            Addition::SodiumBicarbonate => -tartaric / 84.006,
        }
    }
}
