//! Places along one line for things that must not overlap.

/// Where each thing begins: as near as may be to where it is wanted, in the given order, `gap` apart and between the
/// two `bounds`. When the bounds are too narrow for all of them, the first bound is kept and the second overrun.
///
/// With the heights above each thing taken off, the wanted places must only not decrease; neighbours that would cross
/// share their mean, which is the least sum of squared moves.
pub fn settle(heights: &[f64], wanted: &[f64], gap: f64, bounds: (f64, f64)) -> Vec<f64> {
    let mut above = 0.0;
    let mut offsets = Vec::with_capacity(heights.len());
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (height, want) in heights.iter().zip(wanted) {
        offsets.push(above);
        pools.push((want - above, 1));
        above += height + gap;
        while let [.., (a, n), (b, m)] = pools[..]
            && a > b
        {
            pools.truncate(pools.len() - 2);
            pools.push(((a * n as f64 + b * m as f64) / (n + m) as f64, n + m));
        }
    }
    let last = (bounds.1 - (above - gap).max(0.0)).max(bounds.0);
    pools
        .into_iter()
        .flat_map(|(place, count)| std::iter::repeat_n(place.clamp(bounds.0, last), count))
        .zip(offsets)
        .map(|(place, offset)| place + offset)
        .collect()
}
