//! Work on all cores.

/// The same in the same order, on as many threads as there are cores.
pub fn in_parallel<T: Sync, U: Send>(items: &[T], work: impl Fn(&T) -> U + Sync) -> Vec<U> {
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let share = items.len().div_ceil(threads).max(1);
    std::thread::scope(|scope| {
        let work = &work;
        let runs: Vec<_> = items
            .chunks(share)
            .map(|run| scope.spawn(move || run.iter().map(work).collect::<Vec<U>>()))
            .collect();
        let done = runs.into_iter().flat_map(|run| run.join().unwrap());
        done.collect()
    })
}
