//! The colour of honey: classes by millimetres on the Pfund scale (US Standards for Grades of Extracted Honey 1985).

/// A class of colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    WaterWhite,
    ExtraWhite,
    White,
    ExtraLightAmber,
    LightAmber,
    Amber,
    DarkAmber,
}

impl Class {
    /// From the palest to the darkest.
    pub const ALL: [Class; 7] = [
        Class::WaterWhite,
        Class::ExtraWhite,
        Class::White,
        Class::ExtraLightAmber,
        Class::LightAmber,
        Class::Amber,
        Class::DarkAmber,
    ];

    /// The class of a honey of so many millimetres.
    pub fn of(pfund_mm: f64) -> Class {
        let reaches = |class: &&Class| class.darkest_mm().is_none_or(|most| pfund_mm <= most);
        *Class::ALL.iter().find(reaches).unwrap_or(&Class::DarkAmber)
    }

    /// The darkest that still belongs to it, mm; the last class has no end.
    pub fn darkest_mm(self) -> Option<f64> {
        match self {
            Class::WaterWhite => Some(8.0),
            Class::ExtraWhite => Some(17.0),
            Class::White => Some(34.0),
            Class::ExtraLightAmber => Some(50.0),
            Class::LightAmber => Some(85.0),
            Class::Amber => Some(114.0),
            Class::DarkAmber => None,
        }
    }

    /// The name that the standard gives it.
    pub fn words(self) -> &'static str {
        match self {
            Class::WaterWhite => "water white",
            Class::ExtraWhite => "extra white",
            Class::White => "white",
            Class::ExtraLightAmber => "extra light amber",
            Class::LightAmber => "light amber",
            Class::Amber => "amber",
            Class::DarkAmber => "dark amber",
        }
    }
}

/// The classes that a range of millimetres touches, palest first.
pub fn classes(pfund_mm: [f64; 2]) -> Vec<Class> {
    let [palest, darkest] = pfund_mm.map(Class::of);
    Class::ALL
        .into_iter()
        .filter(|class| (palest..=darkest).contains(class))
        .collect()
}

/// "white", or "white to amber".
pub fn words(classes: &[Class]) -> String {
    match classes {
        [] => String::new(),
        [one] => one.words().to_owned(),
        [palest, .., darkest] => format!("{} to {}", palest.words(), darkest.words()),
    }
}
