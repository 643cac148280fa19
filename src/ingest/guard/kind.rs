//! The kinds of identifiers that a de-identified export must not hold. Knows their words, not how
//! they are found.
//!
//! The list is that of the Safe Harbor method, 45 CFR 164.514(b)(2)(i)(A) to (R), as far as a table
//! of text can hold it: (P) biometric identifiers and (Q) full-face images are no text. Of the dates
//! of (C) only the date of birth is here, since the times of a case are what the export is for.

macro_rules! identifier_kinds {
    ($($(#[$doc:meta])* $variant:ident = $code:literal $label:literal;)+) => {
        /// A kind of identifier of a person.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum IdentifierKind { $($(#[$doc])* $variant,)+ }

        impl IdentifierKind {
            /// Every kind.
            pub const ALL: &'static [IdentifierKind] = &[$(IdentifierKind::$variant,)+];

            /// The stable code that stands in data files.
            pub const fn code(self) -> &'static str {
                match self { $(IdentifierKind::$variant => $code,)+ }
            }

            /// The words that a reader sees.
            pub const fn label(self) -> &'static str {
                match self { $(IdentifierKind::$variant => $label,)+ }
            }
        }
    };
}

identifier_kinds! {
    /// (A): of patients, relatives, employers; of staff too, since the report ranks no person.
    PersonName = "person_name" "name of a person";
    /// (H), and (R) for numbers of a visit or an encounter.
    RecordNumber = "record_number" "record number";
    /// (G), and its equivalents in other countries.
    NationalNumber = "national_number" "national number of a person";
    /// (C)
    BirthDate = "birth_date" "date of birth";
    /// (D) telephone and (E) fax.
    Phone = "phone" "phone number";
    /// (F)
    Email = "email" "e-mail address";
    /// (B): street, city, county.
    PostalAddress = "postal_address" "postal address";
    /// (B): zip code and its equivalents.
    PostalCode = "postal_code" "postal code";
    /// (R): no one knows what stands in it.
    FreeText = "free_text" "free text";
    /// (N)
    WebAddress = "web_address" "web address";
    /// (O)
    IpAddress = "ip_address" "network address";
    /// (I) health plan and (J) account.
    AccountOrPlanNumber = "account_or_plan_number" "number of an account or a health plan";
    /// (M)
    DeviceSerial = "device_serial" "serial number of a device";
    /// (K) certificate and license, (L) vehicle.
    LicenseOrVehicle = "license_or_vehicle" "number of a license or a vehicle";
}
