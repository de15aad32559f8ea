//! Bringing in a hull as a platform does that is always done at once.

use std::sync::Arc;

use keelstead_files::Silent;
use keelstead_files::given::Given;
use keelstead_workbench::action::Request;
use keelstead_workbench::intake::IntakeAction;
use keelstead_workbench::message::RigChoice;
use keelstead_workbench::task::{Files, carry_out};
use keelstead_workbench::{Action, Session};

/// Does what a platform does with requests: carries tasks out at once, shelves nothing.
pub fn answer(session: &mut Session, requests: Vec<Request>) -> Vec<Request> {
    let mut left = Vec::new();
    let mut waiting = requests;
    while let Some(request) = waiting.pop() {
        match request {
            Request::Carry(task) => {
                let name = task.name();
                let outcome = carry_out(*task, keelstead_demo_data::FILES, &Silent);
                waiting.extend(session.finished(&name, outcome));
            }
            other => left.push(other),
        }
    }
    left
}

pub fn act(session: &mut Session, action: IntakeAction) -> Vec<Request> {
    let requests = session.perform(Action::Intake(action));
    answer(session, requests)
}

pub fn hand_over(session: &mut Session, name: &str, bytes: Vec<u8>) {
    let requests = session.handed_over(Files::Given(vec![Given::new(name, bytes)]));
    answer(session, requests);
}

/// The rigs that a job can begin on.
pub fn rigs() -> Vec<RigChoice> {
    vec![RigChoice {
        name: "Yard trailer 10".into(),
        rig: Arc::new(super::rig()),
        files: vec![super::in_memory("rigs/yard.json")],
    }]
}

/// An open boat as an OBJ: `scale` to a metre, the bow along +x, z up. Fine forward and with a wide
/// transom, so that the bow is told; open above, so that up is.
pub fn boat(scale: f64) -> Vec<u8> {
    let stations = 21;
    let mut text = String::from("o hull\n");
    let half =
        |x: f64| 1.2 * (1.0 - (x / 8.0).powi(2)).max(0.0).sqrt() * (0.7 + 0.3 * (1.0 - x / 8.0));
    for i in 0..stations {
        let x = 8.0 * f64::from(i) / f64::from(stations - 1);
        let keel = 0.5 * (x / 8.0).powi(3);
        for (y, z) in [
            (-half(x), 1.5),
            (-0.8 * half(x), 0.5 + 0.5 * keel),
            (0.0, keel),
            (0.8 * half(x), 0.5 + 0.5 * keel),
            (half(x), 1.5),
        ] {
            text += &format!("v {} {} {}\n", x * scale, y * scale, z * scale);
        }
    }
    for i in 0..stations - 1 {
        for j in 1..5 {
            let a = 5 * i + j;
            text += &format!("f {} {} {} {}\n", a, a + 5, a + 6, a + 1);
        }
    }
    // The transom.
    text += "f 1 2 3\nf 3 4 5\nf 1 3 5\n";
    text.into_bytes()
}
