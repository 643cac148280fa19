//! A check of a cart: when it was due, when it was done, what it found.

use crate::domain::codes::CartFault;

/// One check that was due.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CartCheck {
    /// The site.
    pub site: String,
    /// The cart, by a code of the site.
    pub cart: String,
    /// When it was due.
    pub due: i64,
    /// When it was done; `None` where no check is recorded.
    pub checked: Option<i64>,
    /// Whether all was there and ready; `None` where that is not recorded.
    pub is_complete: Option<bool>,
    /// What was found, in the order of [`CartFault`], each once.
    pub faults: Vec<CartFault>,
}
