//! Vessels: what each shape holds at a depth, what can be drawn from it, and how joined ones share their water.
//!
//! A shape is one file: its dimensions as data, its formulas, its outline. [`Kind`] names it, [`Shape`] holds one with
//! its figures, and everything that is asked of a vessel is asked of [`Shape`], which checks depth and volume once for
//! all of them. To add a shape: a file beside the others, a variant in both, a line in `Kind::sheet`, `Shape::kind`
//! and `Shape::form`; `laws.rs` then tries it like the rest.

pub mod bank;
mod circle;
mod cuboid;
mod dip;
mod doubt;
mod error;
mod fittings;
mod form;
mod head;
mod heater;
mod kind;
#[cfg(test)]
mod laws;
mod lying;
mod rounded;
mod set;
mod sphere;
mod table;
mod upright;

pub use cuboid::Cuboid;
pub use dip::DipRow;
pub use dip::DipTable;
pub use dip::dip_table;
pub use doubt::Between;
pub use doubt::Doubted;
pub use doubt::DoubtedPart;
pub use doubt::lying_with_unknown_ends;
pub use doubt::upright_with_unknown_bottom;
pub use doubt::volume_with_doubt;
pub use error::ShapeError;
pub use fittings::Capacity;
pub use fittings::DrawPoint;
pub use fittings::Fittings;
pub use fittings::Way;
pub use fittings::capacity;
pub use fittings::heel;
pub use fittings::heel_by;
pub use fittings::lowest;
pub use fittings::usable;
pub use form::Dimension;
pub use head::Head;
pub use heater::Heater;
pub use kind::Kind;
pub use lying::Lying;
pub use rounded::Rounded;
pub use set::Set;
pub use sphere::Sphere;
pub use table::Table;
pub use upright::Upright;

use crate::quantity::Area;
use crate::quantity::Length;
use crate::quantity::Volume;
use crate::quantity::as_litres;
use crate::quantity::as_metres;
use crate::quantity::metres;
use form::Deep;
use form::Form;
use form::Given;

/// How much rounding is forgiven at the floor and at the rim.
const HAIR_METRES: f64 = 1e-9;
/// The same for a volume, as a part of the brim.
const HAIR_OF_BRIM: f64 = 1e-9;

/// A vessel's inside, with its measures.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// a cylinder standing on a flat or a shaped bottom
    Upright(Upright),
    /// a cylinder lying on its side, with flat or shaped ends
    Lying(Lying),
    /// a box with upright walls
    Box(Cuboid),
    /// a box with rounded edges
    Rounded(Rounded),
    /// a sphere
    Sphere(Sphere),
    /// a number of identical containers
    Set(Set),
    /// a water heater's tank
    Heater(Heater),
    /// whatever its owner measured
    Table(Table),
}

impl Shape {
    /// A shape from named figures, each in the unit of its [`Dimension`], and, for a [`Kind::Table`], its rows of
    /// metres and litres.
    ///
    /// # Errors
    /// [`ShapeError`] names the first figure or row that is missing, out of range, not a number, or goes down.
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_litres, metres};
    /// use keepwell_engine::vessel::{Kind, Shape};
    /// let figures = [("diameter_m", 2.413), ("height_m", 2.3)];
    /// let get = |key: &str| figures.iter().find(|figure| figure.0 == key).map(|figure| figure.1);
    /// let tank = Shape::from_dimensions(Kind::Upright, get, &[])?;
    /// // ENG-002: fluids 1.3.1 TANK gives 6.8595525 m³ at 1.5 m.
    /// assert!((as_litres(tank.volume_at(metres(1.5))?) - 6859.5525).abs() < 0.001);
    ///
    /// let error = Shape::from_dimensions(Kind::Upright, |_| Some(-1.0), &[]).unwrap_err();
    /// assert_eq!(error.to_string(), "diameter is -1 m; allowed is 0.01 to 100 m");
    /// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
    /// ```
    pub fn from_dimensions(
        kind: Kind,
        get: impl Fn(&str) -> Option<f64>,
        table: &[(f64, f64)],
    ) -> Result<Self, ShapeError> {
        if kind != Kind::Table && !table.is_empty() {
            return Err(ShapeError::NoTable { kind });
        }
        (kind.sheet().make)(&Given { get: &get, table })
    }

    /// Which kind it is.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        match self {
            Self::Upright(upright) => upright.kind(),
            Self::Lying(lying) => lying.kind(),
            Self::Box(_) => Kind::Box,
            Self::Rounded(_) => Kind::Rounded,
            Self::Sphere(_) => Kind::Sphere,
            Self::Set(_) => Kind::Set,
            Self::Heater(_) => Kind::Heater,
            Self::Table(_) => Kind::Table,
        }
    }

    fn form(&self) -> &dyn Form {
        match self {
            Self::Upright(form) => form,
            Self::Lying(form) => form,
            Self::Box(form) => form,
            Self::Rounded(form) => form,
            Self::Sphere(form) => form,
            Self::Set(form) => form,
            Self::Heater(form) => form,
            Self::Table(form) => form,
        }
    }

    /// Its figures by name, just as they were given.
    #[must_use]
    pub fn dimensions(&self) -> Vec<(&'static str, f64)> {
        let keys = self.kind().dimensions().iter().map(|dimension| dimension.key);
        keys.zip(self.form().figures()).collect()
    }

    /// The rows of a [`Kind::Table`], metres and litres; empty for the other kinds.
    #[must_use]
    pub fn table(&self) -> &[(f64, f64)] {
        match self {
            Self::Table(table) => table.rows(),
            _ => &[],
        }
    }

    /// All it holds, full to the rim.
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_litres, metres};
    /// use keepwell_engine::vessel::{Shape, Upright};
    /// // ENG-028: a steel tight-head drum, 22.5 by 33.5 inches inside by its vendor's sheet, 0.218273431 m³.
    /// let drum = Shape::Upright(Upright::new(metres(0.5715), metres(0.8509))?);
    /// assert!((as_litres(drum.brim()) - 218.273431).abs() < 1e-3);
    /// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
    /// ```
    #[must_use]
    pub fn brim(&self) -> Volume {
        self.form().brim()
    }

    /// From the lowest point inside to the rim; `None` where no depth is read (a set, a heater).
    #[must_use]
    pub fn height(&self) -> Option<Length> {
        self.form().deep().map(Deep::height)
    }

    /// What it holds at a depth over its lowest inside point.
    ///
    /// # Errors
    /// [`ShapeError`] below the floor, over the rim, for no number, and where no depth is read.
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_litres, metres};
    /// use keepwell_engine::vessel::{Lying, Shape};
    /// // ENG-010: fluids 1.3.1 TANK gives 0.108037335 m³ at 0.1 m.
    /// let tank = Shape::Lying(Lying::new(metres(1.2), metres(2.4))?);
    /// assert!((as_litres(tank.volume_at(metres(0.1))?) - 108.037335).abs() < 1e-4);
    /// let error = tank.volume_at(metres(1.3)).unwrap_err();
    /// assert_eq!(error.to_string(), "depth is 1.3 m; allowed is 0 to 1.2 m");
    /// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
    /// ```
    pub fn volume_at(&self, depth: Length) -> Result<Volume, ShapeError> {
        let deep = self.deep()?;
        Ok(deep.volume_at(within(deep, depth)?))
    }

    /// How deep this volume stands in it.
    ///
    /// # Errors
    /// [`ShapeError`] for less than nothing, more than the brim, no number, and where no depth is read.
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_metres, litres, metres};
    /// use keepwell_engine::vessel::{Lying, Shape};
    /// // ENG-030: fluids 1.3.1 TANK gives 0.287622278 m for half a cubic metre.
    /// let tank = Shape::Lying(Lying::new(metres(1.2), metres(2.4))?);
    /// assert!((as_metres(tank.depth_of(litres(500.0))?) - 0.287622278).abs() < 3e-6);
    /// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
    /// ```
    pub fn depth_of(&self, volume: Volume) -> Result<Length, ShapeError> {
        let deep = self.deep()?;
        deep.depth_of(self.held(volume)?)
    }

    /// The water's free surface at a depth: how much a hair of depth weighs in volume.
    ///
    /// # Errors
    /// As [`Shape::volume_at`].
    ///
    /// ```
    /// use keepwell_engine::quantity::{as_square_metres, metres};
    /// use keepwell_engine::vessel::{Lying, Shape};
    /// // ENG-037: 2.49415316 m² at 0.3 m, closed form.
    /// let tank = Shape::Lying(Lying::new(metres(1.2), metres(2.4))?);
    /// assert!((as_square_metres(tank.surface_at(metres(0.3))?) - 2.49415316).abs() < 3e-6);
    /// # Ok::<(), keepwell_engine::vessel::ShapeError>(())
    /// ```
    pub fn surface_at(&self, depth: Length) -> Result<Area, ShapeError> {
        let deep = self.deep()?;
        Ok(deep.surface_at(within(deep, depth)?))
    }

    /// The most [`Shape::volume_at`] can be wrong by the shape itself: nothing for a formula; for a table, what may
    /// hide between two rows.
    ///
    /// # Errors
    /// As [`Shape::volume_at`].
    pub fn doubt_at(&self, depth: Length) -> Result<Volume, ShapeError> {
        let deep = self.deep()?;
        Ok(deep.doubt_at(within(deep, depth)?))
    }

    /// The section as a closed polygon in metres, width and height, from the floor up, for drawing.
    ///
    /// Of a set it is one container's. Where only litres are known (a set, a heater) the proportions are usual ones,
    /// from common practice, no source; a table is drawn as if it were round.
    #[must_use]
    pub fn outline(&self) -> Vec<(f64, f64)> {
        self.form().outline()
    }

    /// One or more of every kind, for trying a rule on all of them.
    #[must_use]
    pub fn samples() -> Vec<Self> {
        Kind::ALL.into_iter().flat_map(samples_of).collect()
    }

    /// The depths, in metres, at which its surface bends or leaps.
    pub(crate) fn seams(&self) -> Vec<f64> {
        match self {
            Self::Upright(upright) => vec![upright.seam()],
            Self::Rounded(rounded) => vec![rounded.seam()],
            Self::Table(table) => table.rows().iter().map(|row| row.0).collect(),
            _ => Vec::new(),
        }
    }

    /// This volume, if it fits.
    pub(crate) fn held(&self, volume: Volume) -> Result<Volume, ShapeError> {
        let (none, brim) = (Volume::default(), self.brim());
        let hair = brim * HAIR_OF_BRIM;
        if (none - hair..=brim + hair).contains(&volume) {
            Ok(volume.max(none).min(brim))
        } else {
            Err(ShapeError::Volume { litres: as_litres(volume), brim: as_litres(brim) })
        }
    }

    fn deep(&self) -> Result<&dyn Deep, ShapeError> {
        self.form().deep().ok_or(ShapeError::NoDepth { kind: self.kind() })
    }
}

fn samples_of(kind: Kind) -> impl Iterator<Item = Shape> {
    kind.sheet().samples.iter().filter_map(move |sample| {
        let place = |key: &str| kind.dimensions().iter().position(|dimension| dimension.key == key);
        let get = |key: &str| sample.figures.get(place(key)?).copied();
        Shape::from_dimensions(kind, get, sample.table).ok()
    })
}

/// This depth, if it lies between floor and rim.
fn within(deep: &dyn Deep, depth: Length) -> Result<Length, ShapeError> {
    let (floor, rim) = (Length::default(), deep.height());
    let hair = metres(HAIR_METRES);
    if (floor - hair..=rim + hair).contains(&depth) {
        Ok(depth.max(floor).min(rim))
    } else {
        Err(ShapeError::Depth { depth: as_metres(depth), height: as_metres(rim) })
    }
}
