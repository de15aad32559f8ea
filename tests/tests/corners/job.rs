//! A hull on a rig as a load arranges it.

use keelstead::check::check;
use keelstead::findings::Findings;
use keelstead_boat::hull::Hull;
use keelstead_demo_data::FILES;
use keelstead_files::source::Memory;
use keelstead_files::{Silent, open_job};
use keelstead_load::load::Load;
use keelstead_load::rig::Rig;

/// A hull on a rig as a load arranges it.
#[derive(Clone)]
pub struct Job {
    pub name: String,
    pub hull: Hull,
    pub rig: Rig,
    pub load: Load,
}

impl Job {
    pub fn check(&self) -> Findings {
        check(&self.hull, &self.rig, &self.load)
    }

    /// The demo job of this name.
    pub fn demo(name: &str) -> Self {
        let files = FILES.iter().map(|(p, b)| ((*p).to_owned(), b.to_vec()));
        let source = Memory::new(files);
        let open = open_job(&source, &format!("jobs/{name}.json"), &Silent).unwrap();
        Self {
            name: name.to_owned(),
            hull: open.hull,
            rig: open.rig,
            load: open.job.load,
        }
    }
}

/// Every demo job.
pub fn demo_jobs() -> Vec<Job> {
    let jobs = FILES.iter().filter_map(|(path, _)| {
        let name = path.strip_prefix("jobs/")?.strip_suffix(".json")?;
        Some(Job::demo(name))
    });
    jobs.collect()
}
