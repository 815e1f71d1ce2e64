//! What a thing is known by: the telling words of its name, whatever capitals, accents and plurals it is written with.

/// 64 words go into each.
const PARTS: usize = 5;

/// Telling words of one name, or those that a rule asks for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Words([u64; PARTS]);

/// The place of a telling word, where the compiler asks.
const fn const_place(word: &str) -> Option<usize> {
    let (mut low, mut high) = (0, KNOWN.len());
    while low < high {
        let middle = (low + high) / 2;
        match compare(word.as_bytes(), KNOWN[middle].as_bytes()) {
            0 => return Some(middle),
            -1 => high = middle,
            _ => low = middle + 1,
        }
    }
    None
}

/// The place of a telling word.
fn place_of(word: &str) -> Option<usize> {
    KNOWN.binary_search(&word).ok()
}

/// −1, 0 or 1 as `a` stands before, at or behind `b` in the alphabet.
const fn compare(a: &[u8], b: &[u8]) -> i8 {
    let mut i = 0;
    while i < a.len() && i < b.len() {
        if a[i] != b[i] {
            return if a[i] < b[i] { -1 } else { 1 };
        }
        i += 1;
    }
    if a.len() == b.len() {
        0
    } else if a.len() < b.len() {
        -1
    } else {
        1
    }
}

// A word out of order would never be found: then this does not compile.
const _: () = {
    assert!(KNOWN.len() <= 64 * PARTS);
    let mut i = 1;
    while i < KNOWN.len() {
        assert!(compare(KNOWN[i - 1].as_bytes(), KNOWN[i].as_bytes()) < 0);
        i += 1;
    }
};

impl Words {
    /// No words.
    pub const NONE: Words = Words([0; PARTS]);

    /// These words. A word that is no telling one does not compile where the answer is a constant.
    pub const fn of(words: &[&str]) -> Words {
        let mut set = Words::NONE;
        let mut i = 0;
        while i < words.len() {
            match const_place(words[i]) {
                Some(place) => set = set.with(place),
                None => panic!("no telling word"),
            }
            i += 1;
        }
        set
    }

    const fn with(mut self, place: usize) -> Words {
        self.0[place / 64] |= 1 << (place % 64);
        self
    }

    /// The telling words of a name. Words behind `without`, `no`, `not` and `free of`, up to the next comma, are none: but a fruit
    /// without stones is pitted.
    pub fn of_name(name: &str) -> Words {
        let mut found = Words::NONE;
        let mut denied = false;
        let mut word = String::with_capacity(24);
        for letter in name.chars().chain([',']) {
            if fold(letter, &mut word) {
                continue;
            }
            if !word.is_empty() {
                match word.as_str() {
                    "without" | "no" | "not" | "minus" => denied = true,
                    _ => {
                        if word.ends_with("berry") || word.ends_with("berries") {
                            found = found.or(SOME_BERRY);
                        }
                        if let Some(place) = singular_place(&mut word) {
                            if !denied {
                                found = found.with(place);
                            } else if matches!(KNOWN[place], "pit" | "stone") {
                                found = found.or(PITTED);
                            }
                        }
                    }
                }
                word.clear();
            }
            if matches!(letter, ',' | ';' | '(' | ')' | ':' | '/') {
                denied = false;
            }
        }
        found
    }

    /// These words and those of `other`.
    pub const fn or(mut self, other: Words) -> Words {
        let mut i = 0;
        while i < PARTS {
            self.0[i] |= other.0[i];
            i += 1;
        }
        self
    }

    /// Whether all the words of `other` are among these.
    pub fn has_all(self, other: Words) -> bool {
        self.0
            .iter()
            .zip(other.0)
            .all(|(mine, theirs)| mine & theirs == theirs)
    }

    /// Whether one of the words of `other` is among these.
    pub fn has_any(self, other: Words) -> bool {
        self.0
            .iter()
            .zip(other.0)
            .any(|(mine, theirs)| mine & theirs != 0)
    }
}

/// Whatever ends in berry.
pub(super) const SOME_BERRY: Words = Words::of(&["~berry"]);
const PITTED: Words = Words::of(&["pitted"]);

/// Adds a letter or figure to a word, small and without its accent; `false` for what is neither. Accents that stand by
/// themselves are passed over.
fn fold(letter: char, word: &mut String) -> bool {
    if letter.is_ascii() {
        if letter.is_ascii_alphanumeric() {
            word.push(letter.to_ascii_lowercase());
        }
        return letter.is_ascii_alphanumeric();
    }
    let small = letter.to_lowercase().next().unwrap_or(letter);
    let plain = match small {
        '\u{300}'..='\u{36f}' => return true,
        'à' | 'á' | 'â' | 'ã' | 'ä' | 'å' | 'ā' | 'ă' | 'ą' => 'a',
        'ç' | 'ć' | 'č' => 'c',
        'ď' | 'đ' | 'ð' => 'd',
        'è' | 'é' | 'ê' | 'ë' | 'ē' | 'ė' | 'ę' | 'ě' => 'e',
        'ì' | 'í' | 'î' | 'ï' | 'ī' | 'į' | 'ı' => 'i',
        'ł' | 'ľ' => 'l',
        'ñ' | 'ń' | 'ň' => 'n',
        'ò' | 'ó' | 'ô' | 'õ' | 'ö' | 'ø' | 'ō' | 'ő' => 'o',
        'ř' => 'r',
        'ś' | 'š' | 'ş' | 'ș' => 's',
        'ť' | 'ţ' | 'ț' => 't',
        'ù' | 'ú' | 'û' | 'ü' | 'ū' | 'ů' | 'ű' | 'ų' => 'u',
        'ý' | 'ÿ' => 'y',
        'ź' | 'ż' | 'ž' => 'z',
        'æ' => {
            word.push_str("ae");
            return true;
        }
        'œ' => {
            word.push_str("oe");
            return true;
        }
        'ß' => {
            word.push_str("ss");
            return true;
        }
        other if other.is_alphanumeric() => other,
        _ => return false,
    };
    word.push(plain);
    true
}

/// The place of a word or of what it is the plural of: hops, radishes, cherries, leaves. The word may come back changed.
fn singular_place(word: &mut String) -> Option<usize> {
    if let Some(place) = place_of(word) {
        return Some(place);
    }
    let stem = word.strip_suffix('s')?;
    let found = place_of(stem).or_else(|| stem.strip_suffix('e').and_then(place_of));
    if found.is_some() {
        return found;
    }
    let (ending, length) = match stem {
        _ if stem.ends_with("ie") => ('y', stem.len() - 2),
        _ if stem.ends_with("ve") => ('f', stem.len() - 2),
        _ => return None,
    };
    word.truncate(length);
    word.push(ending);
    place_of(word)
}

/// When a name is meant: one of several groups of words must be there whole, and none of the words against it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rule {
    any_of: &'static [Words],
    unless: Words,
}

impl Rule {
    /// One of these groups, and none of `unless`.
    pub const fn new(any_of: &'static [Words], unless: Words) -> Rule {
        Rule { any_of, unless }
    }

    /// Every word of the groups: a name with none of them is not meant.
    pub const fn telling(&self) -> Words {
        let mut all = Words::NONE;
        let mut i = 0;
        while i < self.any_of.len() {
            all = all.or(self.any_of[i]);
            i += 1;
        }
        all
    }

    /// Whether a name with these words is meant.
    pub fn means(&self, name: Words) -> bool {
        name != Words::NONE
            && self.any_of.iter().any(|group| name.has_all(*group))
            && !name.has_any(self.unless)
    }
}

/// A rule from words: groups in brackets, then what speaks against it.
macro_rules! rule {
    ([$($group:expr),* $(,)?]) => { $crate::engine::names::rule!([$($group),*] unless []) };
    ([$($group:expr),* $(,)?] unless [$($word:expr),* $(,)?]) => {
        $crate::engine::names::Rule::new(
            &[$($crate::engine::names::Words::of(&$group)),*],
            $crate::engine::names::Words::of(&[$($word),*]),
        )
    };
}
pub(super) use rule;

/// Every telling word, singular, in alphabetical order; `~berry` is any that ends so.
#[rustfmt::skip]
const KNOWN: [&str; 295] = [
    "absinthe", "absinthium", "acacia", "aconite", "aconitum", "acorus", "agaric", "albumen", "albumin", "allspice",
    "almond", "amanita", "anisatum", "anise", "apple", "apricot", "azalea", "bamboo", "bark", "barley", "belladonna",
    "berry", "bicarbonate", "bird", "bisulfite", "bisulphite", "bitter", "black", "blackcurrant", "blossom",
    "blueberry", "bochet", "boiled", "bonnet", "borage", "brass", "brazil", "brett", "brettanomyces", "browned",
    "bucket", "buckwheat", "burnt", "butter", "buttermilk", "cacao", "caco3", "calamus", "calcium", "campden",
    "carambola", "caramel", "caramelised", "caramelized", "carbonate", "carbonated", "cardamom", "casein",
    "caseinate", "cashew", "cassava", "cassia", "cayenne", "celery", "chalk", "cherry", "chile", "chili", "chilli",
    "chinese", "chip", "chipotle", "chitosan", "chokecherry", "cicuta", "cinnamon", "clove", "cocoa", "coconut",
    "coffee", "coltsfoot", "comfrey", "concentrate", "conium", "convallaria", "cooked", "copper", "coriander", "corn",
    "crystal", "cube", "currant", "custard", "cut", "damson", "datura", "destoned", "diastatic", "diastaticus",
    "digitalis", "dried", "e202", "e223", "e224", "egg", "elder", "elderberry", "essential", "extract", "file",
    "fish", "fizzy", "flag", "flax", "flaxseed", "florist", "flower", "foxglove", "fruit", "fungal", "galvanised",
    "galvanized", "garlic", "ghost", "ginger", "glazed", "gluten", "grape", "grapefruit", "greengage", "habanero",
    "ham", "hazelnut", "heated", "hemlock", "herbal", "hibiscus", "high", "hip", "honey", "hop", "hot", "isinglass",
    "jalapeno", "jam", "japanese", "jimson", "jimsonweed", "juice", "juniper", "k2co3", "kalmia", "kernel", "khco3",
    "lachancea", "lactose", "laurel", "lavender", "leaded", "leaf", "licorice", "lily", "linseed", "liquorice",
    "locust", "lysozyme", "macadamia", "mace", "mad", "maize", "malolactic", "mango", "manioc", "maple", "medicine",
    "metabisulfite", "metabisulphite", "milk", "millet", "mirabelle", "mlf", "monkshood", "mountain", "mushroom",
    "mustard", "nectarine", "nightshade", "noyau", "nut", "nutmeg", "oak", "oat", "oenococcus", "oil", "oleander",
    "pail", "painted", "pasteurised", "pasteurized", "peach", "peanut", "pecan", "pennyroyal", "pepper", "petal",
    "petillant", "phytolacca", "pineapple", "pistachio", "pit", "pitted", "plum", "poke", "pokeberry", "pokeweed",
    "potassium", "pottery", "psilocybe", "puree", "raisin", "raspberry", "redcurrant", "removed", "rhododendron",
    "rhubarb", "rice", "roadside", "robinia", "root", "rose", "rue", "rye", "safrole", "saigon", "saison", "sambucus",
    "sassafras", "scented", "scotch", "seed", "serrano", "sesame", "shikimi", "simmered", "sloe", "sodium", "sorbate",
    "sorbic", "sorghum", "soy", "soya", "sparkling", "spelt", "star", "starfruit", "steamed", "stem", "stone",
    "stoned", "stoneless", "strawberry", "sulfite", "sulphite", "sultana", "sweet", "syrup", "tansy", "taxus", "tea",
    "thistle", "thorn", "thornapple", "tomato", "tonka", "torulaspora", "treated", "tupelo", "twig", "urea", "valley",
    "vanilla", "vegetable", "vietnamese", "walnut", "wheat", "whey", "white", "wild", "wolfsbane", "wood", "woodruff",
    "wormwood", "yew", "zinc", "~berry",
];
