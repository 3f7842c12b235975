//! What a person may lift.

use super::DistributionError;
use super::measures::MULTIPLIER;
use super::measures::REACH;
use super::measures::TARE;
use super::measures::TURN;
use crate::quantity::Length;
use crate::quantity::Mass;
use crate::quantity::Unit;
use crate::quantity::as_kilograms;
use crate::quantity::as_metres;
use crate::quantity::kilograms;
use crate::working::Figure;
use crate::working::Reckoned;
use crate::working::Working;

/// A lift as the revised NIOSH equation sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lift {
    /// hands in front of the ankles
    pub reach: Length,
    /// hands over the floor at the start
    pub height: Length,
    /// how far up or down
    pub travel: Length,
    /// how far the body is turned, degrees
    pub turn: f64,
    /// for how often and how long, 0 to 1: NIOSH 94-110 table 5
    pub frequency: f64,
    /// for the grip, 0 to 1: NIOSH 94-110 table 7
    pub coupling: f64,
}

impl Lift {
    /// The mass most people may lift so: RWL = 23 kg · HM · VM · DM · AM · FM · CM.
    ///
    /// | | |
    /// |---|---|
    /// | HM | 25/H, H in cm, at least 25; 0 beyond 63 |
    /// | VM | 1 − 0.003 abs(V − 75), V in cm; 0 beyond 175 |
    /// | DM | 0.82 + 4.5/D, D in cm, at least 25; 0 beyond 175 |
    /// | AM | 1 − 0.0032 A, A in degrees; 0 beyond 135 (from memory) |
    /// | FM, CM | from its tables 5 and 7, 0 to 1 |
    /// | source | NIOSH 94-110, applications manual for the revised lifting equation, 1994, revised 2021 |
    ///
    /// # Errors
    /// [`DistributionError`] for a figure out of range.
    ///
    /// ```
    /// use keepwell_engine::distribution::Lift;
    /// use keepwell_engine::quantity::{as_kilograms, metres};
    /// // ENG-141: 13.7063593 kg; a full can of 20 L is one and a half times that.
    /// let lift = Lift {
    ///     reach: metres(0.3), height: metres(0.35), travel: metres(0.5), turn: 0.0, frequency: 0.94, coupling: 0.95,
    /// };
    /// assert!((as_kilograms(lift.limit()?.value) - 13.7063593).abs() < 1e-6);
    /// # Ok::<(), keepwell_engine::distribution::DistributionError>(())
    /// ```
    pub fn limit(&self) -> Result<Reckoned<Mass>, DistributionError> {
        const LOAD: f64 = 23.0;
        const HAIR: f64 = 1e-9;
        let centimetres = |length: Length| REACH.check(as_metres(length)).map(|metres| metres * 100.0);
        let (reach, height, travel) = (centimetres(self.reach)?, centimetres(self.height)?, centimetres(self.travel)?);
        let turn = TURN.check(self.turn)?;
        let frequency = MULTIPLIER.check(self.frequency)?;
        let coupling = MULTIPLIER.check(self.coupling)?;
        let up_to = |value: f64, most: f64, multiplier: f64| if value > most + HAIR { 0.0 } else { multiplier };
        let h = up_to(reach, 63.0, 25.0 / reach.max(25.0));
        let v = up_to(height, 175.0, 1.0 - 0.003 * (height - 75.0).abs());
        let d = up_to(travel, 175.0, (0.82 + 4.5 / travel.max(25.0)).min(1.0));
        let a = up_to(turn, 135.0, 1.0 - 0.0032 * turn);
        let limit = LOAD * h * v * d * a * frequency * coupling;
        Ok(Working::new("Mass most people may lift so", "23 kg · HM · VM · DM · AM · FM · CM")
            .input("hands in front of the ankles", "H", Figure::exact(reach / 100.0, Unit::Metre), "given")
            .input("hands over the floor", "V", Figure::exact(height / 100.0, Unit::Metre), "given")
            .input("travel", "D", Figure::exact(travel / 100.0, Unit::Metre), "given")
            .input("turn", "A", Figure::exact(turn, Unit::Degree), "given")
            .input("for how often", "FM", Figure::exact(frequency, Unit::Count), "NIOSH 94-110, table 5")
            .input("for the grip", "CM", Figure::exact(coupling, Unit::Count), "NIOSH 94-110, table 7")
            .step("for the reach", "25/H", Figure::exact(h, Unit::Count))
            .step("for the height", "1 − 0.003 · |V − 75|", Figure::exact(v, Unit::Count))
            .step("for the travel", "0.82 + 4.5/D", Figure::exact(d, Unit::Count))
            .step("for the turn", "1 − 0.0032 · A", Figure::exact(a, Unit::Count))
            .step("limit", "23 kg · HM · VM · DM · AM · FM · CM", Figure::exact(limit, Unit::Kilogram))
            .without("Carrying over distance: 15 kg is the usual figure (ISO 11228-1, from memory)")
            .source("NIOSH 94-110, 1994, revised 2021")
            .gives(kilograms(limit)))
    }

    /// A mass over that limit; over 1 the lift is too much for many. Where the limit is 0, nothing may be lifted so.
    ///
    /// # Errors
    /// [`DistributionError`] for a figure out of range, or a limit of 0.
    pub fn index(&self, mass: Mass) -> Result<f64, DistributionError> {
        let limit = as_kilograms(self.limit()?.value);
        let mass = TARE.check(as_kilograms(mass))?;
        if limit <= 0.0 {
            return Err(DistributionError::TooHeavy { container: mass, payload: 0.0 });
        }
        Ok(mass / limit)
    }
}
