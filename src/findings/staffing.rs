//! What a nurse manager asks: when calls come, what they ask of the teams, how often two meet, what
//! other arrangements would do, and what the cart must carry. Each part is a module of its own.

pub mod cart_floor;
pub mod checks;
pub mod kit;
pub mod stock;
pub mod demand;
#[cfg(test)]
pub(crate) mod invented_calls;
pub mod load;
pub mod overlap;
mod sites;

pub use sites::Share;
