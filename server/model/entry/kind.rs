//! The kinds of entry: what each is called, what it is about, what its fields are.

use crate::model::choice::Choice;
use crate::model::entry::coupling;
use crate::model::entry::discard;
use crate::model::entry::disinfection;
use crate::model::entry::dose;
use crate::model::entry::draw;
use crate::model::entry::fields::Field;
use crate::model::entry::fill;
use crate::model::entry::fuel;
use crate::model::entry::generator_run;
use crate::model::entry::given_out;
use crate::model::entry::inlet;
use crate::model::entry::inspection;
use crate::model::entry::mains;
use crate::model::entry::note;
use crate::model::entry::notice;
use crate::model::entry::reading;
use crate::model::entry::service;
use crate::model::entry::test;
use crate::model::entry::transfer;
use crate::model::entry::void;
use crate::model::entry::wrong;

/// The kinds of entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    Reading,
    Fill,
    Draw,
    Transfer,
    Discard,
    GivenOut,
    Dose,
    Disinfection,
    Test,
    Coupling,
    Service,
    Inspection,
    Inlet,
    Fuel,
    GeneratorRun,
    Mains,
    Notice,
    Lifted,
    Wrong,
    Note,
    Void,
}

impl Choice for Kind {
    const LIST: &'static [(Self, &'static str, &'static str)] = &[
        (Self::Reading, "reading", "level read"),
        (Self::Fill, "fill", "filled"),
        (Self::Draw, "draw", "drawn"),
        (Self::Transfer, "transfer", "moved to another vessel"),
        (Self::Discard, "discard", "poured away"),
        (Self::GivenOut, "given_out", "given out"),
        (Self::Dose, "dose", "dosed"),
        (Self::Disinfection, "disinfection", "disinfected"),
        (Self::Test, "test", "tested"),
        (Self::Coupling, "coupling", "bank opened or shut"),
        (Self::Service, "service", "serviced"),
        (Self::Inspection, "inspection", "looked over"),
        (Self::Inlet, "inlet", "inlet shut or opened"),
        (Self::Fuel, "fuel", "fuel"),
        (Self::GeneratorRun, "generator_run", "generator ran"),
        (Self::Mains, "mains", "state of the supply"),
        (Self::Notice, "notice", "notice on a supply"),
        (Self::Lifted, "lifted", "notice lifted"),
        (Self::Wrong, "wrong", "something wrong"),
        (Self::Note, "note", "note"),
        (Self::Void, "void", "voided"),
    ];
}

/// What an entry of a kind is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum About {
    /// one vessel
    Vessel,
    /// a site, and a vessel there if it is named
    Site,
    /// a supply of the neighbourhood
    Source,
    /// another entry
    Entry,
}

impl Kind {
    /// What the kind's own fields are.
    #[must_use]
    pub const fn fields(self) -> &'static [Field] {
        match self {
            Self::Reading => reading::FIELDS,
            Self::Fill => fill::FIELDS,
            Self::Draw => draw::FIELDS,
            Self::Transfer => transfer::FIELDS,
            Self::Discard => discard::FIELDS,
            Self::GivenOut => given_out::FIELDS,
            Self::Dose => dose::FIELDS,
            Self::Disinfection => disinfection::FIELDS,
            Self::Test => test::FIELDS,
            Self::Coupling => coupling::FIELDS,
            Self::Service => service::FIELDS,
            Self::Inspection => inspection::FIELDS,
            Self::Inlet => inlet::FIELDS,
            Self::Fuel => fuel::FIELDS,
            Self::GeneratorRun => generator_run::FIELDS,
            Self::Mains => mains::FIELDS,
            Self::Notice => notice::FIELDS,
            Self::Lifted => notice::FIELDS,
            Self::Wrong => wrong::FIELDS,
            Self::Note => note::FIELDS,
            Self::Void => void::FIELDS,
        }
    }

    #[must_use]
    pub const fn about(self) -> About {
        match self {
            Self::Reading
            | Self::Fill
            | Self::Draw
            | Self::Transfer
            | Self::Discard
            | Self::Dose
            | Self::Disinfection
            | Self::Test => About::Vessel,
            Self::GivenOut
            | Self::Coupling
            | Self::Service
            | Self::Inspection
            | Self::Inlet
            | Self::Fuel
            | Self::GeneratorRun
            | Self::Wrong
            | Self::Note => About::Site,
            Self::Mains | Self::Notice | Self::Lifted => About::Source,
            Self::Void => About::Entry,
        }
    }
}
