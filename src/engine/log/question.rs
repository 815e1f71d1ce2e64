//! What the log leaves in doubt: asked, never refused. Codes with arguments; pages put them into words.

use crate::engine::problem::{Arguments, codes};

codes! {
    /// What is asked about an entry. The entry is kept and shown whatever the answer.
    QuestionCode {
        /// A number that no entry may hold, so that the entry counts for nothing (`key`).
        NotSensible = "not_sensible",
        /// Something done or read before the batch began (`hours`).
        BeforeTheMixing = "before_the_mixing",
        /// Read too low, as while honey lies at the bottom (`sg`, `expected_sg`: as read later, or as planned).
        LayeredMust = "layered_must",
        /// Far above what the amounts can make (`sg`, `expected_sg`).
        FarAboveThePlan = "far_above_the_plan",
        /// Lower than what was read afterwards, and nothing had been added: one of the two is mistaken (`sg`, `expected_sg`).
        LowerThanLater = "lower_than_later",
        /// Higher than it can be: sugar does not come back (`sg`, `expected_sg`).
        GravityRose = "gravity_rose",
        /// Fell faster than yeast works (`sg`, `expected_sg`, `hours`).
        FellTooFast = "fell_too_fast",
        /// Fell though no yeast had been written down (`sg`, `expected_sg`).
        FellBeforeThePitch = "fell_before_the_pitch",
        /// Fell after it was stabilised: it may be fermenting (`sg`, `expected_sg`).
        FellAfterStabilising = "fell_after_stabilising",
        /// Lower than any fermentation of this must can end (`sg`, `expected_sg`: the lowest).
        BelowAnyMead = "below_any_mead",
        /// Litres that cannot be: more than there is, or far from it (`litres`, `expected_l`).
        ImpossibleVolume = "impossible_volume",
        /// A refractometer reading once fermentation has begun: shown, not used (`brix`).
        BrixAfterFermentationBegan = "brix_after_fermentation_began",
        /// Sugar, fruit or mead of which neither composition nor gravity and strength are known: not counted (`name`).
        CompositionUnknown = "composition_unknown",
        /// Meant to sweeten, without anything sweet in it (`name`).
        NothingToSweetenWith = "nothing_to_sweeten_with",
        /// Sweetened before it was stabilised: the yeast can go on (`name`, `sugar_g_per_l`).
        SweetenedBeforeStabilising = "sweetened_before_stabilising",
        /// Sugar for gas in a mead that was stabilised (`name`).
        PrimedThoughStabilised = "primed_though_stabilised",
        /// Closed in bottles to become fizzy, though it was stabilised (`count`).
        NoGasOfItsOwn = "no_gas_of_its_own",
    }
}

/// A doubt about one entry.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Question {
    /// The entry's number.
    pub entry: u32,
    /// What is asked.
    pub code: QuestionCode,
    /// What the sentence about it needs.
    pub arguments: Arguments,
}
