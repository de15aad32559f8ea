//! Families with a chine.

use super::{Below, KeelPlan, NO_KEEL, Plan, Row, Spread, Steering, Strip};
use crate::family::Family;

const SPREAD: Spread = Spread {
    depth: 0.18,
    keel_depth: 0.25,
    breadth: [0.08, 0.18, 0.20],
    bottom: [0.05, 0.12],
    sheer: [0.06, 0.12],
    fullness: 0.07,
    rake: [0.03, 0.04],
};

/// Bottom up to the chine, topsides up to the sheer.
fn two_strakes() -> Vec<Strip> {
    vec![
        Strip {
            rows: (0, 2),
            cells: 14,
        },
        Strip {
            rows: (2, 4),
            cells: 10,
        },
    ]
}

pub(super) fn planing() -> Plan {
    // 9 m long, 2.9 m broad, 14 degrees of deadrise at the transom.
    let rows: Vec<Row> = vec![
        [
            [0.08, 1.35, 2.65, 3.95, 5.25, 6.60, 7.85, 8.30],
            [0.0; 8],
            [0.00, 0.00, 0.00, 0.00, 0.01, 0.06, 0.24, 0.72],
        ],
        [
            [0.07, 1.35, 2.65, 3.95, 5.25, 6.62, 8.00, 8.45],
            [0.64, 0.65, 0.66, 0.66, 0.62, 0.50, 0.16, 0.0],
            [0.17, 0.17, 0.18, 0.19, 0.24, 0.36, 0.62, 0.98],
        ],
        [
            [0.06, 1.35, 2.65, 3.95, 5.25, 6.66, 8.25, 8.60],
            [1.24, 1.27, 1.29, 1.30, 1.27, 1.08, 0.30, 0.0],
            [0.33, 0.33, 0.35, 0.39, 0.48, 0.66, 0.96, 1.20],
        ],
        [
            [0.03, 1.35, 2.65, 3.95, 5.25, 6.72, 8.70, 8.84],
            [1.30, 1.34, 1.38, 1.41, 1.41, 1.28, 0.36, 0.0],
            [0.72, 0.74, 0.78, 0.84, 0.93, 1.08, 1.32, 1.50],
        ],
        [
            [0.00, 1.35, 2.65, 3.95, 5.25, 6.80, 9.00, 9.00],
            [1.32, 1.37, 1.42, 1.46, 1.49, 1.42, 0.42, 0.0],
            [1.12, 1.16, 1.22, 1.30, 1.40, 1.52, 1.68, 1.80],
        ],
    ];
    Plan {
        family: Family::Planing,
        rows,
        strips: two_strakes(),
        flat_rows: 0,
        pointed: false,
        waterline_m: 0.52,
        below: Below::Nothing,
        keel: NO_KEEL,
        steering: Steering::None,
        rudder: [0.0; 2],
        twin: None,
        camber: 0.05,
        spread: SPREAD,
    }
}

pub(super) fn skeg_workboat() -> Plan {
    let rows: Vec<Row> = vec![
        [
            [-1.84, -0.20, 1.40, 3.00, 4.60, 6.20, 7.85, 8.30],
            [0.0; 8],
            [0.84, 0.73, 0.62, 0.51, 0.43, 0.42, 0.58, 1.00],
        ],
        [
            [-1.85, -0.20, 1.40, 3.00, 4.60, 6.24, 8.12, 8.53],
            [0.74, 0.84, 0.92, 0.95, 0.88, 0.66, 0.17, 0.0],
            [0.92, 0.82, 0.73, 0.66, 0.64, 0.73, 0.98, 1.38],
        ],
        [
            [-1.86, -0.20, 1.40, 3.00, 4.60, 6.30, 8.45, 8.74],
            [1.46, 1.62, 1.76, 1.82, 1.74, 1.42, 0.30, 0.0],
            [1.04, 1.00, 0.96, 0.94, 0.99, 1.16, 1.50, 1.88],
        ],
        [
            [-1.89, -0.20, 1.40, 3.00, 4.62, 6.36, 8.86, 8.96],
            [1.54, 1.71, 1.85, 1.91, 1.85, 1.58, 0.34, 0.0],
            [1.50, 1.48, 1.46, 1.48, 1.56, 1.75, 2.05, 2.36],
        ],
        [
            [-1.92, -0.20, 1.40, 3.00, 4.64, 6.42, 9.05, 9.05],
            [1.56, 1.74, 1.89, 1.96, 1.95, 1.82, 0.40, 0.0],
            [1.92, 1.90, 1.90, 1.95, 2.07, 2.29, 2.55, 2.83],
        ],
    ];
    Plan {
        family: Family::SkegWorkboat,
        rows,
        strips: two_strakes(),
        flat_rows: 0,
        pointed: false,
        waterline_m: 1.15,
        below: Below::Long,
        keel: KeelPlan {
            start: 0.175,
            length: 0.42,
            forefoot: 0.62,
            root: [-0.01, 0.24],
            width: 0.036,
        },
        steering: Steering::Spade,
        rudder: [0.078, 0.09],
        twin: None,
        camber: 0.05,
        spread: SPREAD,
    }
}

pub(super) fn skiff() -> Plan {
    // 5 m long, 1.6 m broad, flat from side to side.
    let rows: Vec<Row> = vec![
        [
            [0.12, 0.75, 1.45, 2.15, 2.85, 3.60, 4.35, 4.68],
            [0.0; 8],
            [0.12, 0.06, 0.01, 0.00, 0.00, 0.03, 0.12, 0.22],
        ],
        [
            [0.12, 0.75, 1.45, 2.15, 2.85, 3.60, 4.37, 4.70],
            [0.46, 0.54, 0.59, 0.62, 0.58, 0.46, 0.14, 0.0],
            [0.12, 0.06, 0.01, 0.00, 0.00, 0.03, 0.12, 0.24],
        ],
        [
            [0.06, 0.72, 1.44, 2.15, 2.86, 3.64, 4.60, 4.84],
            [0.53, 0.63, 0.69, 0.72, 0.69, 0.57, 0.17, 0.0],
            [0.31, 0.28, 0.25, 0.25, 0.26, 0.30, 0.39, 0.49],
        ],
        [
            [0.00, 0.70, 1.43, 2.15, 2.87, 3.68, 5.00, 5.00],
            [0.60, 0.71, 0.78, 0.82, 0.80, 0.68, 0.20, 0.0],
            [0.50, 0.49, 0.49, 0.50, 0.52, 0.57, 0.66, 0.74],
        ],
    ];
    Plan {
        family: Family::Skiff,
        rows,
        strips: vec![
            Strip {
                rows: (0, 1),
                cells: 8,
            },
            Strip {
                rows: (1, 3),
                cells: 10,
            },
        ],
        flat_rows: 1,
        pointed: false,
        waterline_m: 0.14,
        below: Below::Nothing,
        keel: NO_KEEL,
        steering: Steering::None,
        rudder: [0.0; 2],
        twin: None,
        camber: 0.02,
        spread: SPREAD,
    }
}
