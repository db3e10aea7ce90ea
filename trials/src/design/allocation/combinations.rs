//! Numbers of orders and choices, exactly.

use std::collections::BTreeMap;

use num_bigint::BigUint;

/// n!
pub(super) fn factorial(n: usize) -> BigUint {
    (1..=n).map(BigUint::from).product()
}

/// n over k.
pub(super) fn choose(n: usize, k: usize) -> BigUint {
    factorial(n) / (factorial(k) * factorial(n - k))
}

/// Orders of a list whose equal entries cannot be told apart.
pub(super) fn arrangements(list: &[usize]) -> BigUint {
    let mut repeats: BTreeMap<usize, usize> = BTreeMap::new();
    for &treatment in list {
        *repeats.entry(treatment).or_default() += 1;
    }
    let alike: BigUint = repeats.into_values().map(factorial).product();
    factorial(list.len()) / alike
}

/// Orders of n things that leave none in its place: D(n) = (n-1)(D(n-1) + D(n-2)).
pub(super) fn derangements(n: usize) -> BigUint {
    let (mut before, mut now) = (BigUint::from(1_u8), BigUint::from(0_u8));
    for i in 2..=n {
        let next = (&before + &now) * BigUint::from(i - 1);
        before = now;
        now = next;
    }
    now
}

/// `base`^`blocks` as a float; infinite where it passes the largest.
pub(super) fn power(base: &BigUint, blocks: usize) -> f64 {
    let digits = base.to_string().parse::<f64>().unwrap_or(f64::INFINITY);
    digits.powi(i32::try_from(blocks).unwrap_or(i32::MAX))
}

/// Every order of a list, equal entries not told apart.
pub(super) fn orders(list: &[usize]) -> Vec<Vec<usize>> {
    if list.is_empty() {
        return vec![Vec::new()];
    }
    let mut firsts = list.to_vec();
    firsts.sort_unstable();
    firsts.dedup();
    let started = |first: usize| {
        let mut rest = list.to_vec();
        if let Some(at) = rest.iter().position(|&x| x == first) {
            rest.remove(at);
        }
        let follow = move |mut order: Vec<usize>| {
            order.insert(0, first);
            order
        };
        orders(&rest).into_iter().map(follow)
    };
    firsts.into_iter().flat_map(started).collect()
}
