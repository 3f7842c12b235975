//! What happens by the clock. A job does only what a person could ask for; what it needs of other rooms it is handed.

pub mod status;
