//! Small categories go into a neighbour, large ones are split, by a rule that was published before anybody entered.

use super::rules::Rules;

/// A category with the number of entries that stand in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Counted {
    /// Whatever the caller knows it by.
    pub key: i64,
    /// Style family, if the organiser named one: small categories go to their own family first.
    pub family: Option<String>,
    pub entries: usize,
}

/// What the rule does to a category.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// All entries of `from` are judged in `into`.
    Merge { from: i64, into: i64 },
    /// The category is judged in so many parts, each a category of its own, with so many entries each.
    Split { of: i64, parts: Vec<usize> },
}

/// The rule in words, for the page that publishes it before the competition opens.
pub fn in_words(rules: &Rules) -> Vec<String> {
    let merge = (rules.merge_below > 1).then(|| {
        format!(
            "A category of fewer than {} entries is judged with its neighbour: the nearest one of the same style family, \
             else the nearest in the list, of two that are as near the one before it. The smallest goes first; empty ones do not count.",
            rules.merge_below
        )
    });
    let split = format!(
        "A category of more than {} entries is judged in parts of equal size, each with places of its own, cut along the order \
         from dry to sweet and from light to strong.",
        rules.split_above
    );
    let when = "This is reckoned once, from the entries that stand after the close, and everybody reads what came of it.";
    merge.into_iter().chain([split, when.to_owned()]).collect()
}

/// What the rule makes of these categories, in the order of the list. First small ones merge, the smallest first and of two the
/// one that stands first; what has become large by it is split with the others. Nothing merges where only one holds entries.
/// Afterwards no category is below `merge_below` unless it is the only one, and no part above `split_above`.
pub fn changes(categories: &[Counted], rules: &Rules) -> Vec<Change> {
    let least = usize::try_from(rules.merge_below).unwrap_or(usize::MAX);
    let most = usize::try_from(rules.split_above)
        .unwrap_or(usize::MAX)
        .max(1);
    let mut counts: Vec<usize> = categories.iter().map(|one| one.entries).collect();
    let mut changes = Vec::new();
    while let Some((from, into)) = next_merge(categories, &counts, least) {
        let moved = counts.get_mut(from).map(std::mem::take).unwrap_or(0);
        if let Some(count) = counts.get_mut(into) {
            *count += moved;
        }
        if let (Some(from), Some(into)) = (categories.get(from), categories.get(into)) {
            changes.push(Change::Merge {
                from: from.key,
                into: into.key,
            });
        }
    }
    for (category, count) in categories.iter().zip(counts) {
        if count > most {
            changes.push(Change::Split {
                of: category.key,
                parts: parts(count, count.div_ceil(most)),
            });
        }
    }
    changes
}

/// The smallest category below the least, and the neighbour into which it goes.
fn next_merge(categories: &[Counted], counts: &[usize], least: usize) -> Option<(usize, usize)> {
    let held = || counts.iter().enumerate().filter(|(_, count)| **count > 0);
    let (from, _) = held()
        .filter(|(_, count)| **count < least)
        .min_by_key(|(at, count)| (**count, *at))?;
    let family = categories.get(from)?.family.as_deref();
    let near = |at: usize| {
        let kin =
            family.is_some() && categories.get(at).and_then(|one| one.family.as_deref()) == family;
        (!kin, at.abs_diff(from), at)
    };
    let (into, _) = held()
        .filter(|(at, _)| *at != from)
        .min_by_key(|(at, _)| near(*at))?;
    Some((from, into))
}

/// So many things in so many parts, of sizes that differ by one at most; the larger first.
fn parts(things: usize, parts: usize) -> Vec<usize> {
    let (each, rest) = (things / parts.max(1), things % parts.max(1));
    (0..parts)
        .map(|part| each + usize::from(part < rest))
        .collect()
}
