//! A notice in force on a supply that the site fills from. Raised by the entry, cleared by its lifting.

use crate::findings::Finding;
use crate::findings::Scene;
use crate::findings::Weight;
use crate::model::choice::Choice;
use crate::model::message::Arg;
use crate::model::message::Message;

pub(super) fn look(scene: &Scene<'_>, found: &mut Vec<Finding>) {
    for source in &scene.site.site.sources {
        let Some(supply) = scene.picture.sources.all.get(source) else { continue };
        for notice in &supply.notices {
            let what = Message::new("{supply}: {notice}, says {by}")
                .with("supply", Arg::text(supply.source.name.as_str()))
                .with("notice", Arg::Word(notice.kind.label()))
                .with("by", Arg::text(notice.by.as_str()));
            let todo = Message::new(
                "Keep the inlets of full tanks shut. What is filled now is marked. The authority's word stands over ours.",
            );
            found.push(Finding { since: Some(notice.since), ..scene.finding("notice", Weight::DoNow, what, todo) });
        }
    }
}
