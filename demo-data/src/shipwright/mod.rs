//! What boats have that hull families do not: [`house`] makes cabins and wheelhouses. Sides, foils and
//! shells come from [`keelstead_boat::loft`].

pub mod house;

#[cfg(test)]
mod tests;
