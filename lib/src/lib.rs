#![doc = "Ovalpeg."]
pub mod units;
pub mod numeric;
pub mod geometry;
pub mod rules;
pub mod frame;
