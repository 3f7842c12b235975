//! Laws of water on its way, and arbitrary figures.
