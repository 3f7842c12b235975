//! Passwords and tokens.
