//! How each number is reckoned: formula, this recipe's inputs, source, and what it leaves out.

/// One way of reckoning, with this recipe's numbers in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Method {
    /// Id of the folded text on the page.
    pub id: &'static str,
    /// What it says in a sentence.
    pub sentence: &'static str,
    /// The formula in plain signs.
    pub formula: &'static str,
    /// What went in, with its value.
    pub inputs: Vec<(&'static str, String)>,
    /// Where the relation and its figures come from.
    pub source: &'static str,
    /// What it does not count.
    pub leaves_out: &'static str,
}

/// Mass balance of the must: honey and water for a gravity in a volume.
pub fn balance(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-balance",
        sentence: "Masses add up, volumes do not. The must's gravity fixes its density and its share of solids; honey is what brings the solids there, water what fills the volume.",
        formula: "M = ρ(w) · V;  honey = (w · M − solids of the rest) / solids of a kilogram of honey;  water = M − all else",
        inputs,
        source: "Density of sugar solutions: ICUMSA SPS-4 (1994), read in two public transcriptions. Composition of honey: the catalogue's sources.",
        leaves_out: "Honey reads up to 0.0007 lower than sucrose of the same strength; matter that does not dissolve counts in neither mass nor volume.",
    }
}

/// Strength by the mass balance of fermentation.
pub fn strength(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-strength",
        sentence: "Each kilogram of sugar makes 0.469 kg of alcohol, gas, yeast and a little that stays dissolved. The density of what is left then gives volume, strength and gravity at once.",
        formula: "alcohol = 0.46895 · sugar fermented;  V from m = V · ρ(water) · (d(alcohol) + d(extract) − 1);  % = alcohol / (V · 0.78924)",
        inputs,
        source: "Yield: 16.83 g/L of sugar for 1 % vol (from memory) with the closure of Balling's 2.0665. Alcohol and water: OIML R 22 (1975), public transcriptions. Sum of both: OIV-MA-AS2-03B.",
        leaves_out: "Sucrose is counted as weighed: its inversion would add 5 % to that part. A yeast's limit is known to about 1.5 % vol.",
    }
}

/// Final gravity and sweetness.
pub fn sweetness(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-sweetness",
        sentence: "The gravity at the end is the mass of the finished liquid over its volume. Sugar left is what the yeast did not take, with what was added to sweeten.",
        formula: "FG = m / (V · ρ(water));  sugar left = (sugar − fermented + added) / V",
        inputs,
        source: "The same balance as the strength. Words for sweetness: bands of the mead style guidelines of 2015, ties upward.",
        leaves_out: "Acid and tannin hide sweetness: the tongue decides, not the gravity.",
    }
}

/// Nitrogen wanted and fed.
pub fn feeding(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-feeding",
        sentence: "The yeast's class and the sugar give what it would take; most of that is aimed at, what the must brings is taken off, and feeds to hand cover the rest up to what still helps.",
        formula: "target = gentleness · need · sugar (at most 250 mg/L, 300 for a high need);  to feed = target − the must's own",
        inputs,
        source: "Need of 0.75, 0.90 or 1.25 mg per g sugar: common practice, no published source. DAP 212.13 mg N/g: stoichiometry. Parts at 24, 48, 72 h and at one third: common practice, no published source. Ceiling of 0.96 g/L DAP: 27 CFR 24.246, from memory.",
        leaves_out: "Honey's own nitrogen counts as nothing unless measured. Vitamins and minerals are not reckoned.",
    }
}

/// Yeast to pitch.
pub fn pitch(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-pitch",
        sentence: "Stronger musts want more yeast: the middle of the usual range for the gravity, half as much again below 15 °C, then whole sachets.",
        formula: "yeast = grams per litre for the gravity · volume",
        inputs,
        source: "Ranges by gravity: common practice, no published source.",
        leaves_out: "Age and storage of the yeast.",
    }
}

/// Bottles.
pub fn bottles(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-bottles",
        sentence: "What is finished, less what racking, lees, fruit and bottling keep back.",
        formula: "litres = finished − (4 %, at least 0.25 L) − (2 %, at least 0.15 L) − 0.15 L − 0.4 L per kg of fruit",
        inputs,
        source: "Losses: common practice, no published source; a vessel's own loss takes their place.",
        leaves_out: "Samples drawn and not poured back.",
    }
}

/// Style words.
pub fn style(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-style",
        sentence: "What is in it gives the family, its alcohol the strength, its final gravity the sweetness. Your own word always wins.",
        formula: "first rule that holds; on the edge of two bands the upper one",
        inputs,
        source: "Bands: mead style guidelines of 2015, figures from memory in part. Rules of the family: our judgement, no published source.",
        leaves_out: "Taste: acid, tannin and spice may hide or show more than their share.",
    }
}

/// Cost of the ingredients.
pub fn cost(inputs: Vec<(&'static str, String)>) -> Method {
    Method {
        id: "how-cost",
        sentence: "Each ingredient's mass times its price, added up; shown when every ingredient has a price.",
        formula: "cost = sum of kilograms · price per kilogram",
        inputs,
        source: "Your own prices.",
        leaves_out: "Yeast, feeds, water, bottles and your time.",
    }
}
