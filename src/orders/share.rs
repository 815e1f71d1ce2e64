//! Who pays what of an order, to the coin: own honey at its price, and the rest of the last packs and the delivery in
//! proportion to what was asked for.

/// Grams are weighed; milligrams are what is counted here.
pub const MG_PER_KG: f64 = 1e6;
/// A gram over a pack buys no other.
const HAIR_MG: u64 = 1_000;

/// A honey that is offered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offered {
    /// Of a kilogram, in the smallest coin.
    pub price_per_kg: i64,
    pub pack_mg: u64,
}

/// What somebody asks for: the places of honey and member in their lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wish {
    pub honey: usize,
    pub member: usize,
    pub mg: u64,
}

/// What one honey comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct HoneyBill {
    pub asked_mg: u64,
    pub packs: u64,
    pub bought_mg: u64,
    pub cost: i64,
}

/// What one member pays.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Share {
    /// Their honey at its price.
    pub own: i64,
    /// Their part of what the packs hold beyond.
    pub rest: i64,
    pub delivery: i64,
    /// What they get of each honey, its rest shared out too.
    pub gets_mg: Vec<u64>,
}

impl Share {
    /// All of it.
    pub fn total(&self) -> i64 {
        self.own + self.rest + self.delivery
    }
}

/// The whole bill.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bill {
    pub honeys: Vec<HoneyBill>,
    pub shares: Vec<Share>,
    pub delivery: i64,
}

impl Bill {
    /// What the club pays in all.
    pub fn total(&self) -> i64 {
        self.honeys.iter().map(|honey| honey.cost).sum::<i64>() + self.delivery
    }
}

/// Shares a sum out by weight so that the parts make the sum: each is rounded down, and the coins left over go to whoever
/// lost most by that, the first of equals first. All nothing when nothing weighs.
pub fn apportion(sum: u64, weights: &[u64]) -> Vec<u64> {
    let whole: u128 = weights.iter().map(|weight| u128::from(*weight)).sum();
    if whole == 0 {
        return vec![0; weights.len()];
    }
    let of = |weight: &u64| u128::from(sum) * u128::from(*weight);
    // Never more than the sum, which fits.
    let mut parts: Vec<u64> = weights
        .iter()
        .map(|weight| (of(weight) / whole) as u64)
        .collect();
    let mut losers: Vec<usize> = (0..weights.len()).collect();
    losers.sort_by_key(|at| std::cmp::Reverse(weights.get(*at).map_or(0, of) % whole));
    let left = sum - parts.iter().sum::<u64>();
    for at in losers.into_iter().take(left as usize) {
        if let Some(part) = parts.get_mut(at) {
            *part += 1;
        }
    }
    parts
}

/// The bill of an order of so many members. Nothing is delivered where nobody wants anything.
pub fn bill(offered: &[Offered], members: usize, wishes: &[Wish], delivery: i64) -> Bill {
    let mut shares = vec![
        Share {
            gets_mg: vec![0; offered.len()],
            ..Share::default()
        };
        members
    ];
    let asked = |honey: Option<usize>| -> Vec<u64> {
        let of = |member: usize| {
            wishes
                .iter()
                .filter(|wish| wish.member == member && honey.is_none_or(|at| at == wish.honey))
                .map(|wish| wish.mg)
                .sum()
        };
        (0..members).map(of).collect()
    };
    let mut honeys = Vec::new();
    for (at, offer) in offered.iter().enumerate() {
        let weights = asked(Some(at));
        let bill = honey_bill(*offer, weights.iter().sum());
        let own = own_part(&bill);
        let rest = (bill.cost.max(0) as u64).saturating_sub(own);
        let parts = apportion(own, &weights)
            .into_iter()
            .zip(apportion(rest, &weights))
            .zip(apportion(bill.bought_mg, &weights));
        for (share, ((own, rest), gets)) in shares.iter_mut().zip(parts) {
            share.own += own as i64;
            share.rest += rest as i64;
            if let Some(mg) = share.gets_mg.get_mut(at) {
                *mg = gets;
            }
        }
        honeys.push(bill);
    }
    let weights = asked(None);
    let delivery = match weights.iter().any(|weight| *weight > 0) {
        true => delivery.max(0),
        false => 0,
    };
    for (share, part) in shares.iter_mut().zip(apportion(delivery as u64, &weights)) {
        share.delivery = part as i64;
    }
    Bill {
        honeys,
        shares,
        delivery,
    }
}

fn honey_bill(offer: Offered, asked_mg: u64) -> HoneyBill {
    if asked_mg == 0 || offer.pack_mg == 0 {
        return HoneyBill::default();
    }
    let packs = asked_mg
        .saturating_sub(HAIR_MG)
        .div_ceil(offer.pack_mg)
        .max(1);
    let pack_kg = offer.pack_mg as f64 / MG_PER_KG;
    let pack_costs = (offer.price_per_kg.max(0) as f64 * pack_kg).round() as i64;
    HoneyBill {
        asked_mg,
        packs,
        bought_mg: packs * offer.pack_mg,
        cost: pack_costs * packs as i64,
    }
}

/// What was asked for, at the price of the packs.
fn own_part(bill: &HoneyBill) -> u64 {
    if bill.bought_mg == 0 {
        return 0;
    }
    let cost = bill.cost.max(0) as u128;
    let asked = u128::from(bill.asked_mg.min(bill.bought_mg));
    let bought = u128::from(bill.bought_mg);
    ((cost * asked + bought / 2) / bought) as u64
}
