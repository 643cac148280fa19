//! Closed lists of coded words for bleeds: what was found and done, and the bands of risk scores.

use super::{CodeList, Word};

codes! {
    /// What was done at the first endoscopy to stop a bleed. Two or more kinds are `combined`.
    Hemostasis {
        Injection = "inject" "injection",
        Clip = "clip" "clip",
        ContactCoagulation = "coag_contact" "contact coagulation",
        PlasmaCoagulation = "coag_plasma" "argon plasma coagulation",
        BandLigation = "band" "band ligation",
        Glue = "glue" "glue injection",
        Powder = "powder" "hemostatic powder",
        ClipOverScope = "clip_over_scope" "clip over the scope",
        Tamponade = "tamponade" "balloon tamponade",
        Combined = "combined" "several kinds combined",
        OtherHemostasis = "other" "other treatment",
        NoHemostasis = "none" "no treatment",
    }

    /// What endoscopy found to bleed. Malignancy in the upper tract, a Mallory-Weiss tear and no
    /// lesion have points of their own in the Rockall score; all others are alike there.
    BleedFinding {
        PepticUlcer = "ulcer" "ulcer",
        Varices = "varices" "varices",
        Erosions = "erosions" "erosions or inflammation",
        MalloryWeiss = "mallory_weiss" "Mallory-Weiss tear",
        Angiodysplasia = "angiodysplasia" "angiodysplasia",
        Dieulafoy = "dieulafoy" "Dieulafoy lesion",
        Malignancy = "malignancy" "malignancy",
        Diverticulum = "diverticulum" "diverticulum",
        Hemorrhoids = "hemorrhoids" "hemorrhoids",
        AfterProcedure = "after_procedure" "site of a procedure",
        NoLesion = "no_lesion" "no lesion",
        OtherSource = "other" "other source",
    }

    /// Appearance of a peptic ulcer by Forrest JAH et al., Lancet 1974.
    #[expect(clippy::doc_markdown, reason = "IIa is a class, and no code")]
    Forrest {
        Spurting = "ia" "Ia, spurting",
        Oozing = "ib" "Ib, oozing",
        VisibleVessel = "iia" "IIa, visible vessel",
        AdherentClot = "iib" "IIb, adherent clot",
        FlatSpot = "iic" "IIc, flat pigmented spot",
        CleanBase = "iii" "III, clean base",
    }

    /// Stigmata of recent bleeding, as the Rockall score tells them apart.
    Stigmata {
        NoneOrDarkSpot = "none_or_dark_spot" "none or dark spot",
        BloodSeen = "blood" "blood in the upper tract",
        ClotSeen = "clot" "adherent clot",
        VesselSeen = "vessel" "visible or spurting vessel",
    }

    /// Treatment other than endoscopy after a bleed could not be stopped, or came back.
    Rescue {
        NoRescue = "none" "no rescue treatment",
        Embolization = "embolization" "embolization",
        Surgery = "surgery" "surgery",
        EmbolizationAndSurgery = "embolization_and_surgery" "embolization and surgery",
        Shunt = "shunt" "transjugular shunt",
        OtherRescue = "other" "other rescue treatment",
    }

    /// Other diseases, as the Rockall score tells them apart.
    Comorbidity {
        NoneMajor = "none" "none major",
        Major = "major" "cardiac failure, ischemic heart disease or another major disease",
        Severe = "severe" "renal failure, liver failure or disseminated malignancy",
    }

    /// Bands of the Glasgow-Blatchford score; up to 1 is very low risk (guidelines of ACG and ESGE,
    /// 2021). The other bands are those of this report. As in the other lists, a score that was
    /// not computed has the side of the limit on which both its bounds lie.
    GlasgowBlatchfordBand {
        UpToOne = "0_1" "0 to 1",
        TwoToSix = "2_6" "2 to 6",
        SevenToEleven = "7_11" "7 to 11",
        FromTwelve = "12_23" "12 to 23",
        CertainlyLow = "not_computed_low" "not computed, certainly 0 to 1",
        CertainlyHigh = "not_computed_high" "not computed, certainly 2 to 23",
        Open = "not_computed_open" "not computed, may be 0 to 1 or 2 to 23",
        GlasgowBlatchfordNotComputed = "not_computed" "not computed, under 18 years",
    }

    /// Bands of the complete Rockall score; the bands are those of this report.
    RockallBand {
        UpToTwo = "0_2" "0 to 2",
        ThreeToFour = "3_4" "3 to 4",
        FiveToSeven = "5_7" "5 to 7",
        FromEight = "8_11" "8 to 11",
        CertainlyLow = "not_computed_low" "not computed, certainly 0 to 2",
        CertainlyHigh = "not_computed_high" "not computed, certainly 3 to 11",
        Open = "not_computed_open" "not computed, may be 0 to 2 or 3 to 11",
        RockallNotComputed = "not_computed" "not computed, under 18 years",
    }

    /// Bands of AIMS65; 2 and more is higher risk (Saltzman JR et al., Gastrointest Endosc 2011).
    Aims65Band {
        Zero = "0" "0",
        One = "1" "1",
        Two = "2" "2",
        FromThree = "3_5" "3 to 5",
        CertainlyLow = "not_computed_low" "not computed, certainly 0 to 1",
        CertainlyHigh = "not_computed_high" "not computed, certainly 2 to 5",
        Open = "not_computed_open" "not computed, may be 0 to 1 or 2 to 5",
        Aims65NotComputed = "not_computed" "not computed, under 18 years",
    }

    /// Bands of the Oakland score; up to 8 supports care outside the hospital (Oakland K et al.,
    /// Lancet Gastroenterol Hepatol 2017). The other bands are those of this report.
    OaklandBand {
        UpToEight = "0_8" "0 to 8",
        NineToFourteen = "9_14" "9 to 14",
        FifteenToTwentyFour = "15_24" "15 to 24",
        FromTwentyFive = "25_35" "25 to 35",
        CertainlyLow = "not_computed_low" "not computed, certainly 0 to 8",
        CertainlyHigh = "not_computed_high" "not computed, certainly 9 to 35",
        Open = "not_computed_open" "not computed, may be 0 to 8 or 9 to 35",
        OaklandNotComputed = "not_computed" "not computed, under 18 years",
    }
}
