//! The house: from an entry beside a tank to the neighbourhood's days of water.
