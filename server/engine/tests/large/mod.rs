//! A neighbourhood of any size, made up: for the benches, and for what linear programs were asked.

use keepwell_engine::neighbourhood::share::Carry;
use keepwell_engine::neighbourhood::share::Sharing;
use keepwell_engine::neighbourhood::share::Site;
use keepwell_engine::quantity::litres;
use keepwell_engine::quantity::litres_per_day;

/// Households and larger places with six carries each to anywhere, as if thrown with dice; two thirds of the
/// carries lose water on the way if asked. `large` of `tests/published/shares_lp.py` makes the same without losses.
pub fn large(count: u32, lossy: bool) -> Sharing {
    let mut state = 7_u32;
    // a linear congruential generator with the constants of Numerical Recipes, 2nd edition; its upper bits
    let mut below = |most: u32| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        u32::try_from((u64::from(state) * u64::from(most)) >> 32).unwrap_or(0)
    };
    let mut sharing = Sharing::default();
    for _ in 0..count {
        let need = 15.0 * f64::from([0, 1, 2, 2, 3, 4, 4, 6, 20, 40][below(10) as usize]);
        let days = f64::from(1 + below(30) * below(30) / 25);
        let keep = litres(need * [0.0, 0.0, 1.0, 3.0][below(4) as usize]);
        sharing.sites.push(Site { volume: litres(days * need.max(15.0)), need: litres_per_day(need), keep, class: 1 });
    }
    for from in 0..count {
        for _ in 0..6 {
            let to = (from + 1 + below(count - 1)) % count;
            let daily = litres_per_day(f64::from(50 + below(1450)) / 10.0);
            let loss = if lossy { [0.0, 0.0, 0.01, 0.05, 0.1, 0.3][below(6) as usize] } else { 0.0 };
            sharing.carries.push(Carry { from: from as usize, to: to as usize, daily, loss });
        }
    }
    sharing
}
