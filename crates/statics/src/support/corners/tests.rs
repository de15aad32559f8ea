use proptest::prelude::*;

use super::*;
use crate::support::share::Spring;

fn bed(springs: &[(f64, f64, f64)]) -> ElasticFoundation {
    let spring = |&(x_m, gap_m, stiffness_n_per_m): &(f64, f64, f64)| Spring {
        x_m,
        half_length_m: 0.1,
        gap_m,
        stiffness_n_per_m,
    };
    ElasticFoundation::new(springs.iter().map(spring).collect()).unwrap()
}

fn case(bed: &ElasticFoundation, weight_n: f64, x_m: f64) -> Case {
    Case {
        weight_n,
        x_m,
        height_m: 0.0,
        bearing_moves_m: 0.0,
        gaps_m: bed.springs().iter().map(|s| s.gap_m).collect(),
    }
}

#[test]
fn three_springs_move_their_loads_by_the_self_stress() {
    // By hand: equal springs k at -2, 0, 2 under W at the middle share W/3 each. Heights +e, -e, +e leave the sinkage of
    // the mean, and the middle loses k (e + e/3 ...): with s = W/3k + e/3, P1 = k(s + e) and P2 = k(s - e).
    let k = 1.0e6;
    let bed = bed(&[(-2.0, 0.0, k), (0.0, 0.0, k), (2.0, 0.0, k)]);
    let (weight, e) = (30_000.0, 0.002);
    let swept = sweep(&bed, &[(case(&bed, weight, 0.0), None)], &[e; 3]);
    let sink = weight / (3.0 * k) - e / 3.0;
    let (least, most) = swept.range_n[1];
    assert!((least - k * (sink - e)).abs() < 1e-6, "{least}");
    assert!((most - (weight - 2.0 * (weight / (3.0 * k) + e / 3.0 - e) * k)).abs() < 1e-6);
    let end = k * (sink + e);
    assert!(
        (swept.range_n[0].1 - end).abs() < 1e-6,
        "{:?}",
        swept.range_n
    );
    assert!(!swept.tips);
}

#[test]
fn two_springs_share_by_statics_whatever_their_heights_and_the_hull_turns() {
    let bed = bed(&[(-1.0, 0.0, 1.0e9), (1.0, 0.0, 1.0e9)]);
    let swept = sweep(&bed, &[(case(&bed, 1000.0, 0.5), None)], &[0.005; 2]);
    for (range, load) in swept.range_n.iter().zip([250.0, 750.0]) {
        assert!((range.0 - load).abs() < 1e-6 && (range.1 - load).abs() < 1e-6);
    }
    // 10 mm over 2 m, and a point 6 m ahead of the forward one rises by 5 + 6 x 5 mm.
    let least = swept
        .sinkages
        .iter()
        .map(|s| s.at(7.0))
        .fold(f64::MAX, f64::min);
    assert!((least + 0.035).abs() < 1e-5, "{least}");
}

#[test]
fn where_she_tips_the_last_support_carries_all_and_it_is_said() {
    let bed = bed(&[(0.0, 0.0, 1.0e6), (2.0, 0.0, 1.0e6)]);
    let cases = [case(&bed, 900.0, 1.0), case(&bed, 1000.0, 2.1)];
    let swept = sweep(&bed, &cases.map(|case| (case, None)), &[0.0; 2]);
    assert!(swept.tips);
    assert_eq!(swept.range_n[1].1, 1000.0);
    assert_eq!(swept.range_n[0].0, 0.0);
}

#[test]
fn the_outline_holds_all_points() {
    let at = |a: f64, b: f64| Sinkage {
        at_coupling_m: a,
        bow_down_rad: b,
    };
    let square = [at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)];
    let mut all = square.to_vec();
    all.extend([at(0.5, 0.5), at(0.5, 0.0), at(0.2, 0.9), at(1.0, 1.0)]);
    let mut found = outline(&all);
    assert_eq!(found.len(), 4, "{found:?}");
    found.retain(|p| !square.contains(p));
    assert!(found.is_empty());
    assert_eq!(outline(&square[..2]).len(), 2);
    assert!(outline(&[]).is_empty());
}

fn springs(count: std::ops::RangeInclusive<usize>) -> impl Strategy<Value = Vec<(f64, f64, f64)>> {
    let row = (0.4..2.5_f64, 0.0..0.008_f64, 6.0..8.0_f64);
    prop::collection::vec(row, count).prop_map(|rows| {
        let mut x = 0.0;
        let at = |(step, gap, power): (f64, f64, f64)| {
            x += step;
            (x, gap, 10.0_f64.powf(power))
        };
        rows.into_iter().map(at).collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The quick answer is the solver's own.
    #[test]
    fn what_is_remembered_of_a_set_is_what_solving_anew_finds(
        springs in springs(2..=6), along in 0.1..0.9_f64, weight in 1.0e3..2.0e5_f64,
        moves in prop::collection::vec(prop::collection::vec(-0.006..0.006_f64, 6), 12),
    ) {
        let bed = bed(&springs);
        let (aft, fore) = bed.ends();
        let mut sharing = Sharing::new(&bed);
        for off in moves {
            let mut case = case(&bed, weight, aft + along * (fore - aft));
            for (gap, off) in case.gaps_m.iter_mut().zip(&off) {
                *gap += off;
            }
            let found = sharing.share(&case).unwrap();
            let anew = bed.share(case.weight_n, case.x_m, &off[..springs.len()]).unwrap();
            for (a, b) in found.load_n.iter().zip(&anew.load_n) {
                prop_assert!((a - b).abs() < 1e-6 * weight, "{:?} {:?}", found, anew);
            }
            prop_assert!((found.sinkage.at(3.0) - (anew.sink_m + 3.0 * anew.turn_rad)).abs() < 1e-9);
        }
    }

    /// Up to three supports no load inside the box of deviations is worse than at its corners, and no sinkage by more than a
    /// twentieth of its range.
    #[test]
    fn inside_is_no_worse_than_the_corners_for_three(
        springs in springs(2..=3), along in 0.1..0.9_f64, weight in 1.0e4..2.0e5_f64,
        inside in prop::collection::vec(prop::collection::vec(-1.0..1.0_f64, 3), 40),
    ) {
        let bed = bed(&springs);
        let (aft, fore) = bed.ends();
        let case = case(&bed, weight, aft + along * (fore - aft));
        let off_m = 0.004;
        let swept = sweep(&bed, &[(case.clone(), None)], &vec![off_m; springs.len()]);
        for signs in inside {
            let change: Vec<f64> = signs.iter().take(springs.len()).map(|s| s * off_m).collect();
            let shared = bed.share(case.weight_n, case.x_m, &change).unwrap();
            for (load, (least, most)) in shared.load_n.iter().zip(&swept.range_n) {
                prop_assert!(*load >= least - 1e-6 * weight && *load <= most + 1e-6 * weight);
            }
            for x in [aft - 6.0, aft, fore, fore + 6.0] {
                let sunk = shared.sink_m + x * shared.turn_rad;
                let ends = swept.sinkages.iter().map(|s| s.at(x));
                let (low, high) = ends.fold((f64::MAX, f64::MIN), |(l, h), s| (l.min(s), h.max(s)));
                // A support that is taken up and then takes over turns the way she goes: by less than what they give.
                let past = 0.02 * (high - low);
                prop_assert!(sunk >= low - past && sunk <= high + past, "{} {} {}", sunk, low, high);
            }
        }
    }

    /// The climb finds what trying every combination finds.
    #[test]
    fn the_climb_comes_to_the_worst_of_all_combinations(
        springs in springs(5..=7), along in 0.1..0.9_f64, weight in 1.0e4..2.0e5_f64,
    ) {
        let bed = bed(&springs);
        let (aft, fore) = bed.ends();
        let case = case(&bed, weight, aft + along * (fore - aft));
        let heights = vec![0.003; springs.len()];
        let every = sweep(&bed, &[(case.clone(), None)], &heights);
        let mut climbed = Sweep {
            sharing: Sharing::new(&bed),
            on_the_road: Sharing::new(&bed),
            heights_m: &heights,
            swept: Swept {
                range_n: vec![(f64::INFINITY, f64::NEG_INFINITY); springs.len()],
                sinkages: Vec::new(),
                more: Vec::new(),
                turned: vec![Vec::new(); springs.len()],
                sets: BTreeSet::new(),
                tips: false,
                within_m: f64::INFINITY,
            },
        };
        climbed.climb(&(case.clone(), None), &(0..springs.len()).collect::<Vec<_>>());
        for (a, b) in every.range_n.iter().zip(&climbed.swept.range_n) {
            prop_assert!((a.0 - b.0).abs() < 1e-6 * weight && (a.1 - b.1).abs() < 1e-6 * weight);
        }
        for x in [aft - 6.0, fore + 6.0] {
            let most = |of: &Swept| of.sinkages.iter().map(|s| s.at(x)).fold(f64::MIN, f64::max);
            prop_assert!((most(&every) - most(&climbed.swept)).abs() < 1e-6);
        }
    }
}
