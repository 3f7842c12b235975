//! Laws of standing vessels, and arbitrary figures.
