//! The nouns: what is kept about the neighbourhood, what an entry says, and ids. Constructors check; nothing inside
//! checks again. Knows the engine's quantities, and neither SQL nor HTTP.

pub mod battery;
pub mod carry;
pub mod choice;
pub mod column;
pub mod entry;
pub mod id;
pub mod message;
pub mod name;
pub mod neighbourhood;
pub mod outage;
pub mod person;
pub mod power;
pub mod prices;
pub mod product;
pub mod setup;
pub mod site;
pub mod source;
pub mod token;
pub mod upkeep;
pub mod vessel;
pub mod works;
