//! A lineage as a nested list: each recipe below the one it was started from.

use std::collections::BTreeMap;

use super::Kin;

/// One recipe with its place in the list.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Place<'a> {
    pub kin: &'a Kin,
    pub depth: usize,
}

/// Every recipe once, each followed by what was started from it, the oldest first.
pub(super) fn in_order(kin: &[Kin]) -> Vec<Place<'_>> {
    let mut below: BTreeMap<Option<i64>, Vec<&Kin>> = BTreeMap::new();
    for one in kin {
        let parent = one.parent.map(|id| id.0);
        below.entry(parent).or_default().push(one);
    }
    // Taken off the end, so that the oldest comes first.
    let next =
        |below: &mut BTreeMap<Option<i64>, Vec<&'_ Kin>>, parent: Option<i64>, depth: usize| {
            let found = below.remove(&parent).unwrap_or_default();
            let places = found.into_iter().rev().map(|kin| (kin.id.0, depth));
            places.collect::<Vec<_>>()
        };
    let by_id: BTreeMap<i64, &Kin> = kin.iter().map(|one| (one.id.0, one)).collect();
    let mut left = next(&mut below, None, 0);
    let mut places = Vec::new();
    while let Some((id, depth)) = left.pop() {
        if let Some(kin) = by_id.get(&id) {
            places.push(Place { kin, depth });
            left.extend(next(&mut below, Some(id), depth + 1));
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::recipes::model::RecipeId;
    use crate::web::viewer::MemberId;

    fn kin(id: i64, parent: Option<i64>) -> Kin {
        Kin {
            id: RecipeId(id),
            public_id: "a".repeat(20).parse().expect("an id"),
            title: id.to_string(),
            owner: MemberId(1),
            owner_name: "Ada".to_owned(),
            version: 1,
            created_at: chrono::DateTime::UNIX_EPOCH,
            parent: parent.map(RecipeId),
            from_number: parent.map(|_| 1),
            rating_count: 0,
            rating_mean: None,
            best_number: None,
            best_mean: None,
            best_count: None,
        }
    }

    fn order(kin: &[Kin]) -> Vec<(i64, usize)> {
        let places = in_order(kin);
        places
            .iter()
            .map(|place| (place.kin.id.0, place.depth))
            .collect()
    }

    #[test]
    fn each_stands_below_what_it_was_started_from() {
        let family = [
            kin(1, None),
            kin(2, Some(1)),
            kin(3, Some(1)),
            kin(4, Some(2)),
            kin(5, Some(4)),
        ];
        assert_eq!(order(&family), [(1, 0), (2, 1), (4, 2), (5, 3), (3, 1)]);
    }

    #[test]
    fn a_ring_that_no_database_holds_ends_all_the_same() {
        assert_eq!(order(&[kin(1, Some(2)), kin(2, Some(1))]), []);
    }
}
