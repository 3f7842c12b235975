//! What a site's train of treatment and its pump do at a moment: reckoned from the set-up, the entries that renewed a
//! medium or a lamp, and the water that stands in the vessel the pump draws on.

mod pump;
mod train;

pub use pump::Found;
pub use pump::Known;
pub use pump::PumpNow;
pub use pump::SwitchNow;
pub use pump::pump;
pub use train::StageNow;
pub use train::TrainNow;
pub use train::in_use;
pub use train::kind;
pub use train::left;
pub use train::train;
