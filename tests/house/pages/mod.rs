//! Pages as a visitor meets them.

mod sign_in;
