//! What a cart carries to get an object out or to stop a bleed, item by item.

use crate::domain::codes::{Device, Hemostasis};

/// One kind of item that a cart may carry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CartItem {
    /// A retrieval device that goes down the scope. Pushing, suction by the scope alone and rigid
    /// endoscopy are no items of a cart.
    Device(Device),
    /// An overtube.
    Overtube,
    /// A protector hood.
    Hood,
    /// What a treatment of a bleed needs.
    Hemostasis(Hemostasis),
}
