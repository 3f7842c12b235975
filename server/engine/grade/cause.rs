//! The causes: what each means, what to do about it, what takes it away and what never does.

use super::Grade;

/// Why water is not, or not only, counted as drinking water. In the order in which they are listed everywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cause {
    /// longer in store than this vessel's interval, or the printed day has come. Boiled water: after one day
    Overdue,
    /// the policy asks for a chlorine floor, and a test was under it
    Residual,
    /// the lid or a screen was left or found open, or the vessel cannot be closed. Opening it for a moment to dip or test is not this
    Open,
    /// over 30 days in a see-through vessel in daylight: algae grow. Not for bottles sealed as bought
    Light,
    /// rain, river, an untested well, a carrier you do not know, even a little of it
    Doubtful,
    /// mains water came in while a boil notice was in force
    Boil,
    /// pool or non-potable water, a chemical doubt, or a vessel not made for food
    Chemical,
    /// mains water came in under that notice: chemicals or toxins are feared
    DoNotDrink,
    /// a shock dose, a disinfecting solution standing in it, or any reading over 4.0 mg/L
    Shock,
    /// mains water came in under that notice: even touching it may harm
    DoNotUse,
    /// flood water reached it
    Flooded,
    /// a sample found coliforms
    Coliform,
    /// fuel, solvent or another chemical got into the vessel or its pipes
    FuelContact,
}

/// What a page says of one cause. The words are English keys.
struct Sheet {
    key: &'static str,
    grade: Grade,
    name: &'static str,
    meaning: &'static str,
    todo: &'static str,
    lifted_by: &'static str,
    never: &'static str,
    source: &'static str,
}

impl Cause {
    /// Every cause, in their order.
    pub const ALL: [Self; 13] = [
        Self::Overdue,
        Self::Residual,
        Self::Open,
        Self::Light,
        Self::Doubtful,
        Self::Boil,
        Self::Chemical,
        Self::DoNotDrink,
        Self::Shock,
        Self::DoNotUse,
        Self::Flooded,
        Self::Coliform,
        Self::FuelContact,
    ];

    /// The short word it goes by in files.
    #[must_use]
    pub const fn key(self) -> &'static str {
        self.sheet().key
    }

    /// What a page calls it (English key).
    #[must_use]
    pub const fn name(self) -> &'static str {
        self.sheet().name
    }

    /// What happened (English key).
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        self.sheet().meaning
    }

    /// What to do next (English key).
    #[must_use]
    pub const fn todo(self) -> &'static str {
        self.sheet().todo
    }

    /// What takes it away (English key).
    #[must_use]
    pub const fn lifted_by(self) -> &'static str {
        self.sheet().lifted_by
    }

    /// What never takes it away (English key).
    #[must_use]
    pub const fn never(self) -> &'static str {
        self.sheet().never
    }

    /// Where the rule is published; "common practice, no source" where it is not (English key).
    #[must_use]
    pub const fn source(self) -> &'static str {
        self.sheet().source
    }

    /// What the water is counted as, at best, while this stands.
    ///
    /// ```
    /// use keepwell_engine::grade::{Cause, Grade};
    /// assert_eq!(Cause::Boil.grade(), Grade::Treat);
    /// assert_eq!(Cause::DoNotDrink.grade(), Grade::Utility); // boiling does not help: CDC
    /// ```
    #[must_use]
    pub const fn grade(self) -> Grade {
        self.sheet().grade
    }

    const fn sheet(self) -> &'static Sheet {
        match self {
            Self::Overdue => &OVERDUE,
            Self::Residual => &RESIDUAL,
            Self::Open => &OPEN,
            Self::Light => &LIGHT,
            Self::Doubtful => &DOUBTFUL,
            Self::Boil => &BOIL,
            Self::Chemical => &CHEMICAL,
            Self::DoNotDrink => &DO_NOT_DRINK,
            Self::Shock => &SHOCK,
            Self::DoNotUse => &DO_NOT_USE,
            Self::Flooded => &FLOODED,
            Self::Coliform => &COLIFORM,
            Self::FuelContact => &FUEL_CONTACT,
        }
    }
}

const OVERDUE: Sheet = Sheet {
    key: "overdue",
    grade: Grade::Treat,
    name: "Past its date",
    meaning: "Longer in store than this vessel's interval, or the printed day has come. Boiled water: after one day",
    todo: "Use it up through the outlet and refill; or dose, wait 30 minutes, test",
    lifted_by: "A fresh fill. Or a good residual, which vouches for 90 days (or what the policy says), until a lower reading or until water is added",
    never: "A dose without a test; a top-up",
    source: "Six months, printed date: CDC 2017, FEMA. 90 days, one day for boiled: common practice, no source",
};

const RESIDUAL: Sheet = Sheet {
    key: "residual",
    grade: Grade::Treat,
    name: "Residual too low",
    meaning: "The policy asks for a chlorine floor, and a test was under it",
    todo: "Dose, wait 30 minutes, test; or refill",
    lifted_by: "A good residual; a fresh fill",
    never: "A dose without a test; a top-up; a test without coliforms",
    source: "0.2 mg/L at the point of use: WHO",
};

const OPEN: Sheet = Sheet {
    key: "open",
    grade: Grade::Treat,
    name: "Open",
    meaning: "The lid or a screen was left or found open, or the vessel cannot be closed. Opening it for a moment to dip or test is not this",
    todo: "Look for what fell in; empty it, heel and all; close; refill",
    lifted_by: "Emptied, then filled with the lid on",
    never: "Closing the lid; chlorine; a test; drawing to the outlet. A vessel without a lid never counts for drinking",
    source: "Tightly closed: CDC. Emptying: common practice, no source",
};

const LIGHT: Sheet = Sheet {
    key: "light",
    grade: Grade::Treat,
    name: "In the light",
    meaning: "Over 30 days in a see-through vessel in daylight: algae grow. Not for bottles sealed as bought",
    todo: "Refill, and cover it or move it into the dark",
    lifted_by: "A fresh fill",
    never: "Chlorine; a top-up; moving it into the dark afterwards",
    source: "Out of direct sun: CDC. 30 days: common practice, no source",
};

const DOUBTFUL: Sheet = Sheet {
    key: "doubtful",
    grade: Grade::Treat,
    name: "Doubtful source",
    meaning: "Rain, river, an untested well, a carrier you do not know, even a little of it",
    todo: "Boil it at use. Afterwards empty, wash and disinfect the vessel",
    lifted_by: "Emptied, disinfected, then filled",
    never: "Chlorine; a test without coliforms; emptying alone",
    source: "Boil first: EPA. Clean container before filling: CDC",
};

const BOIL: Sheet = Sheet {
    key: "boil",
    grade: Grade::Treat,
    name: "Boil notice",
    meaning: "Mains water came in while a boil notice was in force",
    todo: "Boil it as the notice says. Once lifted: run each cold tap 5 minutes, empty the vessel, refill",
    lifted_by: "Emptied, then filled with water not under notice",
    never: "The notice being lifted; chlorine in any amount; a test without coliforms; a filter; drawing to the outlet",
    source: "Flush, drain and refill: CDC. Chlorine does not stop Cryptosporidium: Shields et al. 2008",
};

const CHEMICAL: Sheet = Sheet {
    key: "chemical",
    grade: Grade::Utility,
    name: "Chemical doubt",
    meaning: "Pool or non-potable water, a chemical doubt, or a vessel not made for food",
    todo: "Use it for flushing. Empty, wash and disinfect the vessel",
    lifted_by: "Emptied, disinfected, then filled. Never, if the vessel itself is not food-grade",
    never: "Boiling, bleach, ultraviolet light, any test here",
    source: "Boiling and bleach take out no chemical: EPA. Food-grade vessels only: WHO technical note 3",
};

const DO_NOT_DRINK: Sheet = Sheet {
    key: "do_not_drink",
    grade: Grade::Utility,
    name: "Do-not-drink notice",
    meaning: "Mains water came in under that notice: chemicals or toxins are feared",
    todo: "Ask what it may be used for. Once lifted: run the taps, empty, refill",
    lifted_by: "Emptied, then filled with water not under notice",
    never: "Boiling (it can make it worse), bleach, filters, any test here; the notice being lifted",
    source: "Boiling does not help: CDC. Emptying: common practice, no source",
};

const SHOCK: Sheet = Sheet {
    key: "shock",
    grade: Grade::Hold,
    name: "Too strong",
    meaning: "A shock dose, a disinfecting solution standing in it, or any reading over 4.0 mg/L",
    todo: "Let it stand, or empty and refill; test again after 30 minutes or more",
    lifted_by: "A test 30 minutes or more after the last dose or fill that reads 4.0 mg/L or less; or emptied, then filled",
    never: "Time without a test; an earlier test; thinning it with fresh water, untested",
    source: "4.0 mg/L: 40 CFR 141.65. 30 minutes: EPA, WHO",
};

const DO_NOT_USE: Sheet = Sheet {
    key: "do_not_use",
    grade: Grade::Hold,
    name: "Do-not-use notice",
    meaning: "Mains water came in under that notice: even touching it may harm",
    todo: "Leave it. Ask the authority how to empty it. Once lifted: empty, disinfect, refill",
    lifted_by: "Emptied, disinfected, then filled with water not under notice",
    never: "The notice being lifted; boiling, bleach, tests; emptying alone",
    source: "No use at all: US utilities. Disinfecting after: common practice, no source",
};

const FLOODED: Sheet = Sheet {
    key: "flooded",
    grade: Grade::Hold,
    name: "Flooded",
    meaning: "Flood water reached it",
    todo: "Empty, clean out, disinfect, fill, then have a sample tested",
    lifted_by: "All four, in that order; the sample 30 minutes or more after filling and with no shock chlorine left",
    never: "Bleach in the dirty water; a second sample of the same water; a clean sample before the disinfecting",
    source: "Empty, scrub, refill, chlorinate, empty, refill: CDC, disinfection of cisterns. Sample before use: AWWA C652. None in 100 mL: WHO",
};

const COLIFORM: Sheet = Sheet {
    key: "coliform",
    grade: Grade::Hold,
    name: "Coliforms found",
    meaning: "A sample found coliforms",
    todo: "Empty, clean out, disinfect, fill, then have a sample tested",
    lifted_by: "All four, in that order; the sample 30 minutes or more after filling and with no shock chlorine left",
    never: "Bleach in the dirty water; a second sample of the same water; a clean sample before the disinfecting",
    source: "Empty, scrub, refill, chlorinate, empty, refill: CDC, disinfection of cisterns. Sample before use: AWWA C652. None in 100 mL: WHO",
};

const FUEL_CONTACT: Sheet = Sheet {
    key: "fuel_contact",
    grade: Grade::Hold,
    name: "Fuel or chemical contact",
    meaning: "Fuel, solvent or another chemical got into the vessel or its pipes",
    todo: "Stop using it, mark it, call the authority. Usually the vessel is replaced",
    lifted_by: "No entry. Only a person with the authority's word can void it, with the reason",
    never: "Emptying, detergent, bleach, time, the smell being gone",
    source: "Never tanks that held fuel or chemicals: WHO technical note 3. (CDC allows emptying and refilling twice; asking first is ours: common practice, no source)",
};
