//! Who draws at a site, and what they need a day.

use keepwell_engine::demand::Line;
use keepwell_engine::quantity::Volume;

use crate::picture::standing::Standing;

pub struct Need {
    pub lines: Vec<Line>,
    pub lost: Option<Volume>,
    pub total: Volume,
    /// not all of it need be drinking water
    pub flush: Option<Volume>,
    /// infants, the sick, patients: they go first when water is shared
    pub priority: bool,
}

impl Need {
    #[must_use]
    pub fn of(standing: &Standing) -> Self {
        let demand = &standing.demand;
        Self {
            lines: demand.lines.clone(),
            lost: Some(demand.lost).filter(|lost| *lost > Volume::default()),
            total: demand.total(),
            flush: Some(demand.rationed.flush).filter(|flush| *flush > Volume::default()),
            priority: demand.priority,
        }
    }
}
