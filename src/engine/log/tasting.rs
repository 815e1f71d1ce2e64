//! What a mead tasted like: words for each side of it, how much it is liked, and of what there is too little or too much.

use crate::engine::words::words;

words! {
    /// A side of a mead that words are written about.
    Aspect {
        /// Colour, clearness, bubbles.
        Look = "look",
        /// What it smells of.
        Aroma = "aroma",
        /// What it tastes of.
        Taste = "taste",
        /// How it lies in the mouth.
        Body = "body",
        /// What stays.
        Finish = "finish",
    }
}

words! {
    /// What can be too little, just right or too much.
    Sense {
        /// Sweetness.
        Sweetness = "sweetness",
        /// Acidity.
        Acidity = "acidity",
        /// Tannin: what makes the mouth dry and rough.
        Tannin = "tannin",
        /// The warmth of the alcohol.
        Warmth = "warmth",
        /// Body.
        Body = "body",
        /// Honey, in smell and taste.
        Honey = "honey",
        /// Fruit, in smell and taste.
        Fruit = "fruit",
        /// Spice, herb, wood, in smell and taste.
        Spice = "spice",
        /// Bubbles.
        Sparkle = "sparkle",
    }
}

/// Words about each side of a mead.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Described {
    /// [`Aspect::Look`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub look: Option<String>,
    /// [`Aspect::Aroma`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub aroma: Option<String>,
    /// [`Aspect::Taste`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taste: Option<String>,
    /// [`Aspect::Body`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body: Option<String>,
    /// [`Aspect::Finish`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub finish: Option<String>,
}

impl Described {
    /// The words about one side.
    pub fn of(&self, aspect: Aspect) -> Option<&str> {
        let words = match aspect {
            Aspect::Look => &self.look,
            Aspect::Aroma => &self.aroma,
            Aspect::Taste => &self.taste,
            Aspect::Body => &self.body,
            Aspect::Finish => &self.finish,
        };
        words.as_deref()
    }

    /// Puts words to one side.
    pub fn put(&mut self, aspect: Aspect, words: Option<String>) {
        *match aspect {
            Aspect::Look => &mut self.look,
            Aspect::Aroma => &mut self.aroma,
            Aspect::Taste => &mut self.taste,
            Aspect::Body => &mut self.body,
            Aspect::Finish => &mut self.finish,
        } = words;
    }

    /// Whether nothing is said.
    pub fn is_empty(&self) -> bool {
        *self == Described::default()
    }
}

/// What it tasted like: each sense −2 (much too little) to 2 (much too much), 0 just right.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Tasting {
    /// Words about it as a whole.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
    /// Words about each side of it.
    #[serde(rename = "words", skip_serializing_if = "Described::is_empty")]
    pub described: Described,
    /// How much it is liked, 1 to 9; 5 is neither way.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub liking: Option<i32>,
    /// How much it is liked, 1 to 5: how tastings said it before `liking`. Read and kept, asked no more.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub score: Option<i32>,
    /// [`Sense::Sweetness`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sweetness: Option<i32>,
    /// [`Sense::Acidity`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub acidity: Option<i32>,
    /// [`Sense::Tannin`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tannin: Option<i32>,
    /// [`Sense::Warmth`]; stands as `alcohol` in older documents.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub warmth: Option<i32>,
    /// [`Sense::Body`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body: Option<i32>,
    /// [`Sense::Honey`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub honey: Option<i32>,
    /// [`Sense::Fruit`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fruit: Option<i32>,
    /// [`Sense::Spice`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spice: Option<i32>,
    /// [`Sense::Sparkle`].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sparkle: Option<i32>,
    /// Character of the honey and what went with it, in one: how tastings said it before `honey`, `fruit` and `spice`. Read
    /// and kept, asked no more.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub character: Option<i32>,
}

impl Tasting {
    /// What was said of one sense, −2 to 2.
    pub fn of(&self, sense: Sense) -> Option<i32> {
        match sense {
            Sense::Sweetness => self.sweetness,
            Sense::Acidity => self.acidity,
            Sense::Tannin => self.tannin,
            Sense::Warmth => self.warmth,
            Sense::Body => self.body,
            Sense::Honey => self.honey,
            Sense::Fruit => self.fruit,
            Sense::Spice => self.spice,
            Sense::Sparkle => self.sparkle,
        }
    }

    /// Says something of one sense, −2 to 2.
    pub fn put(&mut self, sense: Sense, value: Option<i32>) {
        *match sense {
            Sense::Sweetness => &mut self.sweetness,
            Sense::Acidity => &mut self.acidity,
            Sense::Tannin => &mut self.tannin,
            Sense::Warmth => &mut self.warmth,
            Sense::Body => &mut self.body,
            Sense::Honey => &mut self.honey,
            Sense::Fruit => &mut self.fruit,
            Sense::Spice => &mut self.spice,
            Sense::Sparkle => &mut self.sparkle,
        } = value;
    }

    /// How much it is liked on the scale of 1 to 9, also where it was said on that of 1 to 5, whose ends and middle are the same.
    pub fn liked(&self) -> Option<i32> {
        let older = || {
            self.score
                .map(|score| score.saturating_mul(2).saturating_sub(1))
        };
        self.liking.or_else(older)
    }
}
