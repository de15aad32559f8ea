//! Work spread over all cores with the feature `parallel`, and done in turn without it.

/// What `work` makes of each of `all`, in their order.
#[cfg(feature = "parallel")]
pub fn each<T: Sync, R: Send>(all: &[T], work: impl Fn(&T) -> Vec<R> + Sync + Send) -> Vec<R> {
    use rayon::prelude::*;
    all.par_iter().flat_map_iter(work).collect()
}

/// What `work` makes of each of `all`, in their order.
#[cfg(not(feature = "parallel"))]
pub fn each<T, R>(all: &[T], work: impl Fn(&T) -> Vec<R>) -> Vec<R> {
    all.iter().flat_map(work).collect()
}

/// Two things done side by side.
#[cfg(feature = "parallel")]
pub fn both<A: Send, B: Send>(
    a: impl FnOnce() -> A + Send,
    b: impl FnOnce() -> B + Send,
) -> (A, B) {
    rayon::join(a, b)
}

/// Two things done one after the other.
#[cfg(not(feature = "parallel"))]
pub fn both<A, B>(a: impl FnOnce() -> A, b: impl FnOnce() -> B) -> (A, B) {
    (a(), b())
}
