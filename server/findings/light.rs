//! An ultraviolet lamp that goes dark with the mains. Raised while a lamp is in use where neither a generator nor
//! a battery is; cleared when one is set up, or the lamp is out of use.

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::message::Arg;
use crate::model::message::Message;
use crate::model::works::StageKind;
use crate::picture::cluster::moment;
use crate::picture::works;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    let in_use = |ended: Option<jiff::Timestamp>| ended.is_none_or(|ended| moment(ended) > scene.now);
    let site = scene.site;
    let mut ended =
        site.generators.iter().map(|thing| thing.ended).chain(site.batteries.iter().map(|thing| thing.ended));
    if ended.any(in_use) {
        return;
    }
    for stage in works::in_use(scene.site, scene.now).filter(|stage| stage.kind == StageKind::Ultraviolet) {
        let what = Message::new("{stage} goes dark with the power, and then treats nothing")
            .with("stage", Arg::text(stage.name.as_str()));
        let todo = Message::new("Set up what runs it when the power fails. Until then shut its valve and boil.");
        found.push(scene.finding("light", Weight::Mind, what, todo));
    }
}
