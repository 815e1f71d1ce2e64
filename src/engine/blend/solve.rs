//! Least squares within bounds: shares that add up to 1, each from 0 to its most, nearest to what is wanted.
//!
//! An active-set method for few unknowns: of every way in which shares stand at a bound the best point is a small linear
//! system, and the least of those that keep within the bounds is the answer. Six unknowns have 729 ways.

/// Per unit share, how far each mead by itself is from what is wanted; the sum over the shares is what is missed.
pub(super) type Row = Vec<f64>;

/// Of many answers the one nearest to what is there: so little counts that no reading shows it.
const TOWARDS_WHAT_IS_THERE: f64 = 1e-6;
/// What is rounding, in shares.
const ROUNDING: f64 = 1e-9;

/// Where a share stands.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Stands {
    AtNothing,
    AtItsMost,
    Free,
}

/// The shares with the least sum of squares over the rows; `most` must add up to 1 or more.
pub(super) fn nearest(rows: &[Row], most: &[f64]) -> Vec<f64> {
    let all: f64 = most.iter().sum();
    let there: Vec<f64> = most
        .iter()
        .map(|one| one / all.max(f64::MIN_POSITIVE))
        .collect();
    let ways = 3_usize.pow(u32::try_from(most.len().min(6)).unwrap_or(6));
    let mut best: Option<(f64, Vec<f64>)> = None;
    for way in 0..ways {
        let stands = stands(way, most.len());
        let Some(shares) = point(rows, most, &there, &stands) else {
            continue;
        };
        let missed = missed(rows, &shares, &there);
        if best.as_ref().is_none_or(|(least, _)| missed < *least) {
            best = Some((missed, shares));
        }
    }
    // Without a way that reads as a number the amounts that are there are the answer.
    best.map_or(there, |(_, shares)| shares)
}

/// The way of that number, each share's place a digit to the base of three.
fn stands(mut way: usize, count: usize) -> Vec<Stands> {
    let mut places = Vec::with_capacity(count);
    for _ in 0..count {
        places.push(match way % 3 {
            0 => Stands::Free,
            1 => Stands::AtNothing,
            _ => Stands::AtItsMost,
        });
        way /= 3;
    }
    places
}

fn missed(rows: &[Row], shares: &[f64], there: &[f64]) -> f64 {
    let of_row = |row: &Row| {
        row.iter()
            .zip(shares)
            .map(|(a, x)| a * x)
            .sum::<f64>()
            .powi(2)
    };
    rows.iter().map(of_row).sum::<f64>() + away(shares, there)
}

/// What being away from the amounts that are there counts.
pub(super) fn away(shares: &[f64], there: &[f64]) -> f64 {
    let squares = shares.iter().zip(there).map(|(x, p)| (x - p).powi(2));
    TOWARDS_WHAT_IS_THERE * squares.sum::<f64>()
}

/// The best point of a way; `None` where it is outside the bounds.
fn point(rows: &[Row], most: &[f64], there: &[f64], stands: &[Stands]) -> Option<Vec<f64>> {
    let mut shares: Vec<f64> = stands
        .iter()
        .zip(most)
        .map(|(at, most)| if *at == Stands::AtItsMost { *most } else { 0.0 })
        .collect();
    let free: Vec<usize> = (0..stands.len())
        .filter(|index| stands.get(*index) == Some(&Stands::Free))
        .collect();
    let left = 1.0 - shares.iter().sum::<f64>();
    if free.is_empty() {
        return (left.abs() <= ROUNDING).then_some(shares);
    }
    let fixed: Vec<f64> = rows
        .iter()
        .map(|row| row.iter().zip(&shares).map(|(a, x)| a * x).sum())
        .collect();
    let at = |row: &Row, index: usize| row.get(index).copied().unwrap_or(0.0);
    // The slope of the squares is the same for every free share, and the free ones add up to what is left.
    let mut system: Vec<Vec<f64>> = free
        .iter()
        .map(|i| {
            let mut line: Vec<f64> = free
                .iter()
                .map(|j| {
                    let own = if i == j { TOWARDS_WHAT_IS_THERE } else { 0.0 };
                    rows.iter()
                        .map(|row| at(row, *i) * at(row, *j))
                        .sum::<f64>()
                        + own
                })
                .collect();
            let against: f64 = rows
                .iter()
                .zip(&fixed)
                .map(|(row, fixed)| at(row, *i) * fixed)
                .sum();
            let towards = TOWARDS_WHAT_IS_THERE * there.get(*i).copied().unwrap_or(0.0);
            line.extend([1.0, towards - against]);
            line
        })
        .collect();
    let mut sum = vec![1.0; free.len()];
    sum.extend([0.0, left]);
    system.push(sum);
    let solved = solve(system)?;
    for (index, share) in free.iter().zip(solved) {
        let most = most.get(*index).copied()?;
        if !(-ROUNDING..=most + ROUNDING).contains(&share) {
            return None;
        }
        *shares.get_mut(*index)? = share.clamp(0.0, most);
    }
    Some(shares)
}

/// Gauss with pivots on lines of coefficients with the right side last; `None` where it has no one answer.
fn solve(mut lines: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let count = lines.len();
    for column in 0..count {
        let size = |line: &Vec<f64>| line.get(column).map_or(0.0, |value| value.abs());
        let pivot = (column..count).max_by(|a, b| size(&lines[*a]).total_cmp(&size(&lines[*b])))?;
        lines.swap(column, pivot);
        let by = lines[column].clone();
        let lead = *by.get(column)?;
        if lead.abs() < 1e-14 {
            return None;
        }
        for (index, line) in lines.iter_mut().enumerate() {
            if index == column {
                continue;
            }
            let factor = line[column] / lead;
            for (value, above) in line.iter_mut().zip(&by) {
                *value -= factor * above;
            }
        }
    }
    lines
        .iter()
        .enumerate()
        .map(|(index, line)| {
            let value = line.last()? / line.get(index)?;
            value.is_finite().then_some(value)
        })
        .collect()
}
