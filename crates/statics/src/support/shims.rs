//! Shims that share a load as wanted.

use super::share::{ElasticFoundation, ShareError, Shared, Spring};

/// What can be changed at a support.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shimming {
    /// Share wanted, in proportion to the others'.
    pub wanted: f64,
    /// Height that can be taken out, m.
    pub removable_m: f64,
}

/// What to change and what comes of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Height to add at each support, m; negative to take out.
    pub add_m: Vec<f64>,
    /// What is shared then, worked out anew.
    pub shared: Shared,
}

/// Loads nearest to the wanted shares that still balance, N.
///
/// Balance comes first: two supports have no choice, more can be shared evenly only as far as force
/// and moment allow.
///
/// # Errors
/// [`ShareError`] where nothing can balance.
pub fn wanted_loads(
    springs: &[Spring],
    shimming: &[Shimming],
    weight_n: f64,
    x_m: f64,
) -> Result<Vec<f64>, ShareError> {
    let all: f64 = shimming.iter().map(|s| s.wanted).sum();
    let nearest = springs
        .iter()
        .zip(shimming)
        .map(|(spring, shim)| Spring {
            // Least squares of the differences is the energy of unit springs set in by the target.
            gap_m: if all > 0.0 {
                -weight_n * shim.wanted / all
            } else {
                0.0
            },
            stiffness_n_per_m: 1.0,
            ..*spring
        })
        .collect();
    Ok(ElasticFoundation::new(nearest)?
        .share(weight_n, x_m, &[])?
        .load_n)
}

/// Heights to add, in whole steps of `step_m`, that bring the loads nearest to the wanted ones; the
/// two outermost supports stay as they are where they can, so that the hull keeps its trim.
///
/// `change_m` is what is added to each gap already (see [`ElasticFoundation::share`]).
///
/// # Errors
/// [`ShareError`] where nothing can balance.
pub fn advise(
    bed: &ElasticFoundation,
    shimming: &[Shimming],
    weight_n: f64,
    x_m: f64,
    change_m: &[f64],
    step_m: f64,
) -> Result<Advice, ShareError> {
    let springs = bed.springs();
    let loads = wanted_loads(springs, shimming, weight_n, x_m)?;
    let change = |i: usize| change_m.get(i).copied().unwrap_or(0.0);
    // How far the hull must come down at each support for it to bear its load.
    let down: Vec<f64> = (0..springs.len())
        .map(|i| springs[i].gap_m + change(i) + bed.given(&loads, i))
        .collect();
    let order = |a: &usize, b: &usize| springs[*a].x_m.total_cmp(&springs[*b].x_m);
    let ends = (0..springs.len())
        .min_by(order)
        .zip((0..springs.len()).max_by(order));
    let Some((aft, fore)) = ends else {
        return Err(ShareError::NoSupport);
    };
    let span = springs[fore].x_m - springs[aft].x_m;
    let turn = if span > 0.0 {
        (down[fore] - down[aft]) / span
    } else {
        0.0
    };
    let mut add: Vec<f64> = (0..springs.len())
        .map(|i| down[i] - down[aft] - turn * (springs[i].x_m - springs[aft].x_m))
        .collect();
    // What cannot be taken out is added everywhere else instead.
    let lacking = add
        .iter()
        .zip(shimming)
        .map(|(a, s)| -a - s.removable_m)
        .fold(0.0, f64::max);
    for a in &mut add {
        *a = ((*a + lacking) / step_m).round() * step_m;
    }
    let then: Vec<f64> = (0..springs.len()).map(|i| change(i) - add[i]).collect();
    Ok(Advice {
        shared: bed.share(weight_n, x_m, &then)?,
        add_m: add,
    })
}

/// How far `loads` miss the wanted ones at most, N.
pub fn misses(loads: &[f64], wanted: &[f64]) -> f64 {
    loads
        .iter()
        .zip(wanted)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max)
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn bed(gaps: [f64; 3]) -> ElasticFoundation {
        let spring = |(i, gap_m): (usize, f64)| Spring {
            x_m: 2.0 * i as f64,
            half_length_m: 0.1,
            gap_m,
            stiffness_n_per_m: 1.0e6,
        };
        ElasticFoundation::new(gaps.into_iter().enumerate().map(spring).collect()).unwrap()
    }

    fn shimming(wanted: [f64; 3]) -> Vec<Shimming> {
        wanted
            .map(|wanted| Shimming {
                wanted,
                removable_m: 0.0,
            })
            .to_vec()
    }

    #[test]
    fn an_idle_middle_gets_the_shim_that_makes_it_carry_a_third() {
        let bed = bed([0.0, 0.024, 0.0]);
        let even = shimming([1.0; 3]);
        let before = bed.share(9000.0, 2.0, &[]).unwrap();
        assert_eq!(before.load_n[1], 0.0);
        let advice = advise(&bed, &even, 9000.0, 2.0, &[], 0.001).unwrap();
        assert_eq!(advice.add_m.len(), 3);
        assert!((advice.add_m[1] - 0.024).abs() < 1e-12, "{advice:?}");
        assert!(
            advice
                .shared
                .load_n
                .iter()
                .all(|p| (p - 3000.0).abs() < 1e-6)
        );
    }

    #[test]
    fn shares_as_asked_and_what_cannot_be_taken_out_is_added_elsewhere() {
        let bed = bed([0.0; 3]);
        // Half the load in the middle: it must stand 1.5 mm higher than the others by stiffness.
        let asked = shimming([1.0, 2.0, 1.0]);
        let advice = advise(&bed, &asked, 12_000.0, 2.0, &[], 0.0005).unwrap();
        assert!((advice.add_m[1] - 0.003).abs() < 1e-12, "{advice:?}");
        assert!((advice.shared.load_n[1] - 6000.0).abs() < 1e-6);
        let spared = shimming([1.0, 0.0, 1.0]);
        let advice = advise(&bed, &spared, 12_000.0, 2.0, &[], 0.0005).unwrap();
        assert!(
            advice.add_m[1].abs() < 1e-12 && advice.add_m[0] > 0.005,
            "{advice:?}"
        );
        assert!(advice.shared.load_n[1] < 1e-6);
    }

    #[test]
    fn two_supports_have_no_choice() {
        let springs = [0.0, 3.0].map(|x_m| Spring {
            x_m,
            half_length_m: 0.1,
            gap_m: 0.0,
            stiffness_n_per_m: 1.0e6,
        });
        let even = [Shimming {
            wanted: 1.0,
            removable_m: 0.0,
        }; 2];
        let loads = wanted_loads(&springs, &even, 300.0, 1.0).unwrap();
        assert!((loads[0] - 200.0).abs() < 1e-9 && (loads[1] - 100.0).abs() < 1e-9);
    }
}
