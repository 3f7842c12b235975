//! What chlorine is dosed with, and what its label may mean: the lists that whoever doses chooses from.

use keepwell_engine::treatment::PercentKind;
use keepwell_engine::treatment::Unfit;

use crate::model::choice::Choice;

/// What is poured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Poured {
    Bleach,
    Granules,
    Unfit(Unfit),
}

impl Choice for Poured {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Bleach, "bleach", "plain, unscented bleach"),
        (Self::Granules, "granules", "calcium hypochlorite, sold for drinking water"),
        (Self::Unfit(Unfit::Scented), "scented", "scented bleach"),
        (Self::Unfit(Unfit::Thickened), "thickened", "thick bleach or gel"),
        (Self::Unfit(Unfit::WithAdditives), "with_additives", "bleach with a cleaner or algaecide in it"),
        (Self::Unfit(Unfit::Dichlor), "dichlor", "dichlor, for pools"),
        (Self::Unfit(Unfit::Trichlor), "trichlor", "trichlor, for pools"),
        (Self::Unfit(Unfit::Unknown), "unknown", "nobody knows"),
    ];
}

impl Choice for PercentKind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::HypochloriteByWeight, Self::HypochloriteByWeight.key(), Self::HypochloriteByWeight.name()),
        (Self::ChlorineByWeight, Self::ChlorineByWeight.key(), Self::ChlorineByWeight.name()),
        (Self::Trade, Self::Trade.key(), Self::Trade.name()),
        (Self::GramsPerLitre, Self::GramsPerLitre.key(), Self::GramsPerLitre.name()),
    ];
}
