//! The germs that the tables are about, and how a table is read.

use core::fmt;

use super::SAME;
use crate::treatment::TreatmentError;

/// What the tables are about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Germ {
    /// Giardia cysts
    Giardia,
    /// viruses
    Virus,
    /// Cryptosporidium oocysts
    Cryptosporidium,
}

impl Germ {
    /// Every one.
    pub const ALL: [Self; 3] = [Self::Giardia, Self::Virus, Self::Cryptosporidium];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Giardia => "giardia",
            Self::Virus => "virus",
            Self::Cryptosporidium => "cryptosporidium",
        }
    }

    /// In words (English key).
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Giardia => "Giardia",
            Self::Virus => "viruses",
            Self::Cryptosporidium => "Cryptosporidium",
        }
    }

    /// The germ with this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|germ| germ.key() == key)
    }
}

impl fmt::Display for Germ {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.key())
    }
}

/// How a figure is read off the Giardia table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Method {
    /// the colder table, the next higher pH and chlorine: never the nearest
    Lookup,
    /// linear between the printed figures
    Interpolated,
    /// the regression that the manual prints
    Regression,
}

impl Method {
    /// Every method.
    pub const ALL: [Self; 3] = [Self::Lookup, Self::Interpolated, Self::Regression];

    /// The word in files and addresses.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Lookup => "lookup",
            Self::Interpolated => "interpolated",
            Self::Regression => "regression",
        }
    }

    /// The method with this key.
    #[must_use]
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|method| method.key() == key)
    }
}

/// The columns of the virus table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum VirusLog {
    /// 99 %
    Two,
    /// 99.9 %
    Three,
    /// 99.99 %
    Four,
}

impl VirusLog {
    /// The column for so many powers of ten.
    ///
    /// # Errors
    /// [`TreatmentError::NoColumn`] when there is none.
    pub fn new(log: f64) -> Result<Self, TreatmentError> {
        let columns = [(2.0, Self::Two), (3.0, Self::Three), (4.0, Self::Four)];
        let found = columns.into_iter().find(|column| (column.0 - log).abs() < SAME);
        found.map(|column| column.1).ok_or(TreatmentError::NoColumn { log, columns: "2, 3, 4" })
    }
}
