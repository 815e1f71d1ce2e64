//! What the steps of a plan say: their names, why each is there, what to do when one was missed, what to take care of.
//!
//! Every code has its words by a `match`: without them it does not compile.

use serde_json::{Value, json};

use super::{Words, set_in};
use crate::engine::plan::{Amount, Beware, Missed, Step, StepKind, Why};
use crate::web::units::Units;

/// What a step is called: "Feed 2", "Stir the gas out".
pub fn step_name(step: &Step) -> String {
    set_in(name(step), "", &arguments(step), Units::Metric)
}

/// Why it is there, in a sentence.
pub fn step_why(step: &Step, units: Units) -> String {
    set_in(why(step.why), "", &arguments(step), units)
}

/// What to do when it was missed; `None` where nothing special is to be done.
pub fn step_missed(step: &Step, units: Units) -> Option<String> {
    let said = missed(step.missed?);
    Some(set_in(said, "", &arguments(step), units))
}

/// What to take care of.
pub fn beware(code: Beware) -> Words {
    let (lead, sentence) = care(code);
    Words {
        lead: lead.to_owned(),
        sentence: sentence.to_owned(),
    }
}

/// What the sentences may name: `number`, `names` of what goes in or comes out, `at_sg` at which it is due, `reads_sg`.
fn arguments(step: &Step) -> Value {
    let names: Vec<&str> = step
        .amounts
        .iter()
        .filter_map(|amount| match amount {
            Amount::Ingredient { name, .. }
            | Amount::Steeps { name }
            | Amount::YeastByPacket { name } => Some(name.as_str()),
            _ => None,
        })
        .collect();
    let reads = step.amounts.iter().find_map(|amount| match amount {
        Amount::Reads { sg } => Some(*sg),
        _ => None,
    });
    json!({
        "number": step.number,
        "names": names,
        "at_sg": step.due.or_at_sg,
        "reads_sg": reads,
    })
}

fn name(step: &Step) -> &'static str {
    match (step.kind, step.why) {
        (StepKind::Prepare, _) => "Get ready",
        (StepKind::Sanitise, _) => "Clean and sanitise",
        (StepKind::Cook, _) => "Brown the honey",
        (StepKind::Mix, _) => "Mix the must",
        (StepKind::FruitIn, _) => "Put the fruit in",
        (StepKind::AddPrimary, _) => "Put in {names:list}",
        (StepKind::Aerate, _) => "Stir air in",
        (StepKind::Rehydrate, _) => "Wake the yeast",
        (StepKind::Pitch, _) => "Pitch the yeast",
        (StepKind::Degas, _) => "Stir out the gas",
        (StepKind::Feed, Why::FedAtOnce) => "Feed the yeast",
        (StepKind::Feed, _) => "Feed {number}",
        (StepKind::WetCap, _) => "Wet the fruit",
        (StepKind::Break, _) => "Read the one-third break",
        (StepKind::Ph, _) => "Measure the pH",
        (StepKind::LaterYeast, _) => "Pitch the second yeast",
        (StepKind::HoneyFeed, _) => "Honey, part {number}",
        (StepKind::FruitOut, _) => "Take the fruit out",
        (StepKind::TakeOut, _) => "Take out {names:list}",
        (StepKind::End, Why::SameTwoWeeksOn) => "Read it again",
        (StepKind::End, Why::StandsStillAgain) => "Does it stand still again?",
        (StepKind::End, Why::StaysSweet) => "Does it stay as it is?",
        (StepKind::End, _) => "Does it stand still?",
        (StepKind::Stop, _) => "Stop it",
        (StepKind::Rack, Why::SettledSince) => "Rack again",
        (StepKind::Rack, _) => "Rack off the lees",
        (StepKind::AddSecondary | StepKind::AddAgeing, _) => "Put in {names:list}",
        (StepKind::Stabilise, Why::KeepsAirAway) => "Protect it with sulfite",
        (StepKind::Stabilise, _) => "Stabilise",
        (StepKind::Sweeten, _) => "Sweeten",
        (StepKind::Fine, _) => "Clear it",
        (StepKind::Prime, _) => "Add the sugar for the gas",
        (StepKind::Package, _) => "Bottle",
        (StepKind::Keg, _) => "Fill the keg",
        (StepKind::Look, _) => "Look at airlock and headspace",
        (StepKind::FreeSo2, _) => "Measure the free sulfite",
        (StepKind::Taste, _) => "Taste",
    }
}

fn why(code: Why) -> &'static str {
    match code {
        Why::NothingMissing => {
            "On the day nothing should be missing: read the plan once, stand the honey somewhere warm, and thaw what is frozen."
        }
        Why::GermsSpoil => {
            "Germs on spoons and vessels can spoil a must, so clean first, then sanitise everything that touches it."
        }
        Why::BrownsTheHoney => {
            "Browned honey gives this mead its taste of caramel, and it is the one step that needs heat."
        }
        Why::MakesTheMust => {
            "Stir until no honey lies at the bottom and fill up to the mark; only then is the reading of {reads_sg:gravity} worth anything."
        }
        Why::HoldsHoneyBack => {
            "All the honey at once would be too strong for the yeast, so part of it waits, and the must begins at {reads_sg:gravity}."
        }
        Why::FruitFermentsAlong => {
            "Fruit that ferments along gives its sugar, colour and taste; in a bag it comes out again easily."
        }
        Why::FermentsAlong => "What ferments along gives its taste while the yeast works.",
        Why::YeastWantsAir => {
            "Yeast needs air to grow strong at the start, so stir hard until it froths; after the one-third break air does harm."
        }
        Why::WakesGently => {
            "Dry yeast that first wakes in warm water bears a strong must better; let it stand for 15 to 20 minutes, then bring it near the must’s temperature in small steps."
        }
        Why::Begins => {
            "With the yeast in it begins to ferment, and every hour of the plan counts from here."
        }
        Why::BeginsAfterEnzyme => {
            "The enzyme needs twelve hours before the yeast; every hour of the plan counts from the pitch."
        }
        Why::BeginsAfterSulfite => {
            "Sulfite in the must would hurt the yeast, so it waits a day; every hour of the plan counts from the pitch."
        }
        Why::GasHinders => {
            "Gas in the must slows the yeast and makes it foam over when powder goes in, so stir it out slowly and leave room."
        }
        Why::FedAtOnce => {
            "Honey feeds yeast next to nothing; a weak must gets all of its feed at once, with the yeast."
        }
        Why::FedInParts => {
            "Honey feeds yeast next to nothing, and a part each day keeps it calm; all parts are due at once should the gravity fall to {at_sg:gravity} first."
        }
        Why::FedLast => {
            "The last feed goes in when a third of the sugar is gone, at {at_sg:gravity} or on day 7, and carries no ammonium, for the yeast takes none any more."
        }
        Why::CapDries => {
            "Fruit floats, and where it dries it grows mould and vinegar: push it under twice a day, with something clean."
        }
        Why::ThirdIsGone => {
            "At {at_sg:gravity} a third of the sugar is gone: from here on no more air goes in, and no more feed with ammonium."
        }
        Why::PhMayFall => {
            "Honey holds its pH badly and yeast stalls when it falls far; only below 3.1 does it need anything, stirred in little by little once the gas is out."
        }
        Why::SulfiteGoesByPh => {
            "How much sulfite protects depends on the pH, and a guess is easily half or double."
        }
        Why::SecondYeastTakesOver => "The first yeast stops early; the second ends what it leaves.",
        Why::HoneyInSteps => {
            "Each part of the honey goes in when it reads {at_sg:gravity}, so that the yeast never meets too much sugar; read before and after and write both down, and stop when it no longer falls."
        }
        Why::SugarIsOut => {
            "Its sugar is out by now, and skins and seeds turn bitter; let the bag drip, do not wring it, and read the gravity."
        }
        Why::EnoughTaste => {
            "Taste every few days from the first on, and take it out as soon as it is enough: more can be added, none taken out."
        }
        Why::MayStandStill => {
            "It should be near its end by now; stir the gas out of the sample before you read it."
        }
        Why::SameTwoWeeksOn => {
            "Only the same reading 14 days on, to 0.001 and with the gas stirred out, says that it is over."
        }
        Why::StandsStillAgain => {
            "Sugar that joined later sets it working again, so wait until it stands still once more."
        }
        Why::StaysSweet => {
            "It has to stay at its gravity for 14 days under the airlock; if it falls, the yeast is at work and no bottle is safe."
        }
        Why::DoesNotStop => {
            "It does not stop by itself at {reads_sg:gravity}: look every day, then chill it, rack it and stabilise it on the same day."
        }
        Why::OffTheLees => {
            "Old lees give a stale taste; the clear mead goes into a vessel that it fills to the neck."
        }
        Why::SettledSince => {
            "What has settled since stays behind, and the mead goes into a vessel that it fills to the neck."
        }
        Why::LateKeepsSmell => "What goes in after the first fermentation keeps more of its smell.",
        Why::AgesOnIt => {
            "It takes its taste while it ages, slowly, and you decide when it is enough."
        }
        Why::SugarMustStay => {
            "Sugar is to stay, so sulfite goes in first and sorbate the same or the next day, dissolved in a little water, never in acid."
        }
        Why::KeepsAirAway => "A little sulfite keeps air from browning it while it ages.",
        Why::SweetAfterwards => {
            "Stabilised, it keeps the sweetness you give it; go in thirds, taste, and stop a little before it seems right, at about {reads_sg:gravity}."
        }
        Why::ClearsIt => "What still floats settles with a fining and is left behind.",
        Why::SugarMakesGas => {
            "A weighed dose of sugar, evenly stirred in, makes the gas in the bottle; reckon it for your warmest day since the end, and never add more."
        }
        Why::OnlyWhatStandsStill => {
            "It may go into bottles once two readings 14 days apart agree; until then it keeps better in one full vessel."
        }
        Why::GasFromCylinder => {
            "In a keg the gas comes from a cylinder, and sweet or dry makes no difference."
        }
        Why::AirGetsIn => {
            "Water dries out of an airlock and air stands above a sunken mead: top up both, with water and with mead."
        }
        Why::SulfiteFades => {
            "Free sulfite fades within months; measure it with the pH and give only what is lacking."
        }
        Why::TimeChangesIt => {
            "It changes for months; what is hot or sharp while young mostly needs time, and what you write down now tells you how it went."
        }
    }
}

fn missed(code: Missed) -> &'static str {
    match code {
        Missed::WithinADay => {
            "Missed it? Until a day after the pitch it can still go in, with the gas stirred out first."
        }
        Missed::WithTheNext => {
            "Missed it? Give it as soon as you can; if the next one is due, give both together, or mark this one as left out and the next is reckoned anew."
        }
        Missed::StillToday => {
            "Missed it? Give it the day you see it, if it still works; once it is quiet, leave it out."
        }
        Missed::OrganicOnly => {
            "A third of the sugar is gone: what carries ammonium is left out now, and what is organic goes in with the last feed."
        }
        Missed::LeaveItOut => {
            "Leave it out: past 9 % of alcohol, or at the end, yeast takes up no feed, and others live on it."
        }
    }
}

fn care(code: Beware) -> (&'static str, &'static str) {
    match code {
        Beware::OneChemical => (
            "One thing at a time",
            "Use one cleaning agent at a time and rinse between: bleach with acid, ammonia or peroxide gives poisonous gas. Keep to the label, with gloves and goggles for what burns.",
        ),
        Beware::HeavyGlass => (
            "Heavy and brittle",
            "A full vessel weighs more than a kilogram for each litre: lift it with somebody, carry glass in a crate, and never pour anything hot into glass.",
        ),
        Beware::NoMoreAir => (
            "No more air",
            "Once a third of the sugar is gone, air makes a mead stale: stir gently, and let it run in below the surface.",
        ),
        Beware::LocalLimits => (
            "Limits and labels",
            "How much sulfite and sorbate may be in a drink, and what its label must say, is law where you live: look it up. Some people with asthma react to sulfite; tell whoever drinks.",
        ),
        Beware::FiningAllergens => (
            "Tell your guests",
            "Finings are made of clay, but also of egg, milk, fish or crabs: read the packet and tell whoever drinks. Where a drink is sold it must be named; look up your local rules.",
        ),
        Beware::ReadingsFirst => (
            "Bottles can burst",
            "No two readings 14 days apart agree yet. Sugar that goes on fermenting in a closed bottle bursts the glass: wait, or write down why you do not.",
        ),
        Beware::KegPressure => (
            "Under pressure",
            "Take only a keg that is made for pressure and has a working relief valve, never glass. Chain the cylinder, use a regulator, and air the room.",
        ),
        Beware::SmallSips => (
            "A sip is enough",
            "Taste little, with water and food beside it, and do not drive afterwards: the law where you live comes first.",
        ),
    }
}
