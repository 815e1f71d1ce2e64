//! Things of two lists that belong together: the likest first, each once.

/// Whether two things, told with their places, belong together.
pub type Likeness<'a, T> = &'a dyn Fn((usize, &T), (usize, &T)) -> bool;

/// Places in both lists, in the order of the first; what is only in the second comes last. `likeness` says which of two
/// things belong together, the surest first; it is given their places too.
pub fn pair_up<T>(
    before: &[T],
    after: &[T],
    likeness: &[Likeness<'_, T>],
) -> Vec<(Option<usize>, Option<usize>)> {
    let mut partner: Vec<Option<usize>> = vec![None; before.len()];
    let mut taken = vec![false; after.len()];
    for alike in likeness {
        for (at, was) in before.iter().enumerate() {
            if partner.get(at).is_none_or(Option::is_some) {
                continue;
            }
            let free = |to: &usize| taken.get(*to) == Some(&false);
            let mut others = after.iter().enumerate().filter(|(to, _)| free(to));
            let found = others.find(|(to, is)| alike((at, was), (*to, is)));
            if let Some((to, _)) = found {
                if let Some(place) = partner.get_mut(at) {
                    *place = Some(to);
                }
                if let Some(place) = taken.get_mut(to) {
                    *place = true;
                }
            }
        }
    }
    let both = partner
        .into_iter()
        .enumerate()
        .map(|(at, to)| (Some(at), to));
    let new = taken
        .into_iter()
        .enumerate()
        .filter(|(_, taken)| !taken)
        .map(|(to, _)| (None, Some(to)));
    both.chain(new).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surest_likeness_comes_first_and_everything_comes_once() {
        let same = |a: (usize, &&str), b: (usize, &&str)| a.1 == b.1;
        let begins = |a: (usize, &&str), b: (usize, &&str)| a.1.get(..1) == b.1.get(..1);
        let found = pair_up(
            &["ab", "cd", "ae", "x"],
            &["ae", "af", "cd", "new"],
            &[&same, &begins],
        );
        assert_eq!(
            found,
            [
                (Some(0), Some(1)),
                (Some(1), Some(2)),
                (Some(2), Some(0)),
                (Some(3), None),
                (None, Some(3)),
            ]
        );
    }
}
