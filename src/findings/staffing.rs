//! What a nurse manager asks: when calls come, what they ask of the teams, how often two meet, what
//! other arrangements would do, and what the cart must carry. Each part is a module of its own.

pub mod coverage;
