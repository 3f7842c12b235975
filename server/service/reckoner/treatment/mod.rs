//! Disinfection: how much, how strong, how long, and what it is credited with.

mod bleach;
mod chart;
mod contact;
mod dose;
mod light;
mod product;
mod residual;
mod shock;
mod train;

use crate::service::reckoner::Calculation;

pub(super) fn all() -> Vec<Calculation> {
    vec![
        dose::dose(),
        dose::made(),
        chart::chart(),
        bleach::strength(),
        shock::shock(),
        residual::after(),
        residual::rate(),
        residual::mixed(),
        contact::time(),
        contact::needed(),
        contact::credit(),
        light::lamp(),
        light::water(),
        train::train(),
        chart::boil(),
    ]
}
