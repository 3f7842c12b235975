//! Products that give chlorine: what the label means, what age has left of it, and which are refused.

mod ageing;
mod label;

use core::fmt;

pub use ageing::Ageing;
pub use ageing::Bottle;
pub use ageing::loss_factor;
pub use ageing::usual_half_life;
pub use label::PercentKind;
pub use label::available_by_weight;
pub use label::label_strength;

use crate::quantity::MassConcentration;
use crate::quantity::as_grams_per_litre;
use crate::treatment::TreatmentError;
use crate::treatment::measures::AVAILABLE;
use crate::treatment::measures::STRENGTH;

/// Why a product is refused for water that people drink.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unfit {
    /// sodium dichloroisocyanurate, a pool product with stabiliser
    Dichlor,
    /// trichloroisocyanuric acid, a pool product with stabiliser
    Trichlor,
    /// scented bleach
    Scented,
    /// thick bleach, gel
    Thickened,
    /// bleach with a cleaner, algaecide or clarifier in it
    WithAdditives,
    /// nobody knows which kind or how strong
    Unknown,
}

impl Unfit {
    /// Every reason.
    pub const ALL: [Self; 6] =
        [Self::Dichlor, Self::Trichlor, Self::Scented, Self::Thickened, Self::WithAdditives, Self::Unknown];

    /// What it is and what to use in its place (English key).
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Dichlor => {
                "dichlor is a pool product with stabiliser; allowed is plain unscented bleach, or calcium hypochlorite sold for drinking water"
            }
            Self::Trichlor => {
                "trichlor is a pool product with stabiliser; allowed is plain unscented bleach, or calcium hypochlorite sold for drinking water"
            }
            Self::Scented => "the bleach is scented; allowed is plain unscented bleach",
            Self::Thickened => "the bleach is thickened; allowed is plain unscented bleach",
            Self::WithAdditives => {
                "the product holds a cleaner, algaecide or clarifier; allowed is plain unscented bleach"
            }
            Self::Unknown => {
                "the product's kind or strength is not known; allowed is a product with its strength on the label"
            }
        }
    }
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.words())
    }
}

/// What chlorine is dosed with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Product {
    /// plain bleach of this strength now, age counted in
    Liquid(MassConcentration),
    /// calcium hypochlorite of which this part is available chlorine (about 0.65, AWWA C652-11 4.2)
    Solid(f64),
    /// a product that is refused
    Refused(Unfit),
}

impl Product {
    /// Whether it may be dosed at all, its strength checked.
    ///
    /// # Errors
    /// [`TreatmentError::Unfit`] names why not; [`TreatmentError::OutOfRange`] for a strength that none has.
    pub fn check(self) -> Result<Self, TreatmentError> {
        match self {
            Self::Liquid(strength) => STRENGTH.check(as_grams_per_litre(strength)).map(|_| self).map_err(Into::into),
            Self::Solid(part) => AVAILABLE.check(part).map(|_| self).map_err(Into::into),
            Self::Refused(unfit) => Err(TreatmentError::Unfit(unfit)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::grams_per_litre;

    #[test]
    fn refused_products_say_what_to_use() {
        for unfit in Unfit::ALL {
            let refused = Product::Refused(unfit).check().unwrap_err();
            assert!(refused.to_string().contains("allowed is"), "{refused}");
        }
        assert!(Product::Liquid(grams_per_litre(60.0)).check().is_ok() && Product::Solid(0.65).check().is_ok());
    }
}
