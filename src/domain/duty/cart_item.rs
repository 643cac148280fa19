//! What a cart carries to get an object out or to stop a bleed, item by item.

use crate::domain::codes::{Device, Hemostasis};

/// One kind of item that a cart may carry.
///
/// Made by [`CartItem::of_device`], [`CartItem::of_hemostasis`] and [`CartItem::named`], which know
/// what is an item at all. They stand in the order of the lists: devices, aids, treatments.
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

impl CartItem {
    /// The cap: one item, whether an object is sucked into it or it only keeps the view free.
    pub const CAP: CartItem = CartItem::Device(Device::CapSuction);

    /// Every item, in the order in which reports list them.
    pub fn all() -> impl Iterator<Item = CartItem> {
        let devices = Device::ALL.iter().copied();
        let treatments = Hemostasis::ALL.iter().copied();
        devices
            .filter_map(CartItem::of_device)
            .chain([CartItem::Overtube, CartItem::Hood])
            .chain(treatments.filter_map(CartItem::of_hemostasis))
    }

    /// The item that a pass of a device takes from the cart; `None` for what takes none: pushing,
    /// suction by the scope alone, and rigid endoscopy, which has a tray of its own.
    pub fn of_device(device: Device) -> Option<CartItem> {
        match device {
            Device::PushTechnique | Device::Suction | Device::RigidScope => None,
            Device::ForcepsRat
            | Device::ForcepsAlligator
            | Device::ForcepsCombo
            | Device::ForcepsBiopsy
            | Device::ForcepsOther
            | Device::Prong
            | Device::Snare
            | Device::Net
            | Device::Basket
            | Device::Balloon
            | Device::CapSuction
            | Device::MagnetProbe => Some(CartItem::Device(device)),
        }
    }

    /// The item that a treatment of a bleed takes from the cart; `None` where no treatment was
    /// given, and where the record does not say which: several combined, or another one.
    pub fn of_hemostasis(treatment: Hemostasis) -> Option<CartItem> {
        treatment_code(treatment).map(|_| CartItem::Hemostasis(treatment))
    }

    /// The stable code that stands in plans and tables: that of the device, `overtube`, `hood`, or
    /// that of the treatment behind `bleed_`.
    pub fn code(self) -> &'static str {
        match self {
            CartItem::Device(device) => device.code(),
            CartItem::Overtube => "overtube",
            CartItem::Hood => "hood",
            // A treatment that is no item has the code of none.
            CartItem::Hemostasis(treatment) => treatment_code(treatment).unwrap_or_default(),
        }
    }

    /// The words that a reader sees.
    pub fn label(self) -> &'static str {
        match self {
            CartItem::CAP => "cap",
            CartItem::Device(device) => device.label(),
            CartItem::Overtube => "overtube",
            CartItem::Hood => "protector hood",
            CartItem::Hemostasis(Hemostasis::Injection) => "injection needle",
            CartItem::Hemostasis(Hemostasis::Clip) => "hemostatic clip",
            CartItem::Hemostasis(Hemostasis::Glue) => "glue for injection",
            CartItem::Hemostasis(treatment) => treatment.label(),
        }
    }

    /// The item with a code; `None` when there is none.
    pub fn named(code: &str) -> Option<CartItem> {
        CartItem::all().find(|item| item.code() == code)
    }
}

/// `None` for what is no item. The prefix keeps treatments apart from devices, now and later: a
/// band or a clip may come to be a device too.
fn treatment_code(treatment: Hemostasis) -> Option<&'static str> {
    match treatment {
        Hemostasis::Injection => Some("bleed_inject"),
        Hemostasis::Clip => Some("bleed_clip"),
        Hemostasis::ContactCoagulation => Some("bleed_coag_contact"),
        Hemostasis::PlasmaCoagulation => Some("bleed_coag_plasma"),
        Hemostasis::BandLigation => Some("bleed_band"),
        Hemostasis::Glue => Some("bleed_glue"),
        Hemostasis::Powder => Some("bleed_powder"),
        Hemostasis::ClipOverScope => Some("bleed_clip_over_scope"),
        Hemostasis::Tamponade => Some("bleed_tamponade"),
        Hemostasis::Combined | Hemostasis::OtherHemostasis | Hemostasis::NoHemostasis => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_item_has_a_code_and_a_label_of_its_own_and_is_found_by_its_code() {
        let items: Vec<_> = CartItem::all().collect();
        // 15 devices less three, two aids, 12 treatments less three.
        assert_eq!(items.len(), 12 + 2 + 9);
        assert!(items.is_sorted(), "the order of lists is that of maps");
        let codes: BTreeSet<_> = items.iter().map(|item| item.code()).collect();
        let labels: BTreeSet<_> = items.iter().map(|item| item.label()).collect();
        assert_eq!((codes.len(), labels.len()), (items.len(), items.len()));
        for item in items {
            assert_eq!(CartItem::named(item.code()), Some(item));
        }
    }

    #[test]
    fn what_takes_nothing_from_the_cart_is_no_item() {
        for code in ["push", "suction", "rigid", "bleed_combined", "bleed_other"] {
            assert_eq!(CartItem::named(code), None, "{code}");
        }
        assert_eq!(CartItem::named("bleed_none"), None);
        assert_eq!(CartItem::named("clip"), None, "a treatment has its prefix");
        assert_eq!(CartItem::named(""), None);
        assert_eq!(CartItem::of_device(Device::PushTechnique), None);
        assert_eq!(CartItem::of_hemostasis(Hemostasis::NoHemostasis), None);
    }

    #[test]
    fn the_code_of_a_treatment_is_that_of_the_records_behind_a_prefix() {
        for treatment in Hemostasis::ALL {
            if let Some(item) = CartItem::of_hemostasis(*treatment) {
                assert_eq!(item.code(), format!("bleed_{}", treatment.code()));
            }
        }
        assert_eq!(CartItem::named("cap"), Some(CartItem::CAP));
        assert_eq!(CartItem::of_device(Device::CapSuction), Some(CartItem::CAP));
    }
}
