//! One duty as a page shows it.

use keepwell_engine::moment::Moment;
use keepwell_engine::quantity::Time;
use keepwell_engine::quantity::as_days;
use keepwell_engine::quantity::days;
use keepwell_engine::upkeep::Duty;
use keepwell_engine::upkeep::Source;
use keepwell_engine::upkeep::State;

use crate::model::choice::Choice;
use crate::model::entry::inspection::Looked;
use crate::model::id::SiteId;
use crate::picture::SitePicture;
use crate::picture::upkeep::Dated;
use crate::picture::upkeep::Of;
use crate::picture::upkeep::Task;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::words::Phrase;

/// As many stand on a site's page; the rest are one tap away.
const SHORT: usize = 5;

pub struct Line {
    pub state: State,
    pub duty: &'static str,
    /// the thing and its page; none for the site itself
    pub thing: Option<(String, String)>,
    pub site: (SiteId, String),
    pub done: Option<Moment>,
    pub due: Option<Moment>,
    /// "every 30 days"
    pub every: Phrase,
    pub why: Phrase,
    /// where it is done
    pub href: String,
    pub deed: &'static str,
}

impl Line {
    pub fn of(reader: &Reader, site: &SitePicture, task: &Task) -> Self {
        Self {
            state: task.reckoned.state,
            duty: task.duty.name(),
            thing: match task.of {
                Of::Vessel(id) => Some((format!("/vessels/{id}"), task.name.clone())),
                Of::Generator(_) | Of::FuelStore(_) => Some((format!("/sites/{}", site.site.id), task.name.clone())),
                Of::Site => None,
            },
            site: (site.site.id, site.site.name.to_string()),
            done: task.reckoned.done,
            due: task.reckoned.due,
            every: every(reader, task.reckoned.interval),
            why: why(reader, task),
            href: href(site, task),
            deed: deed(task.duty),
        }
    }

    #[must_use]
    pub fn is_overdue(&self) -> bool {
        self.state == State::Overdue
    }
}

fn every(reader: &Reader, interval: Time) -> Phrase {
    shown::words(reader, "every {days}").with("days", whole_days(reader, interval))
}

/// "30 days"; a part of a day matters to nobody here.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked: 1 to 3,650 days")]
fn whole_days(reader: &Reader, span: Time) -> Phrase {
    reader.plural("{n} day", "{n} days", as_days(span).round() as u64)
}

/// Where the interval comes from.
fn why(reader: &Reader, task: &Task) -> Phrase {
    match task.dated {
        Some(Dated::Printed) => return shown::words(reader, "the date printed on it"),
        Some(Dated::Tested) => return shown::words(reader, "a good residual vouches for it"),
        None => {}
    }
    let source = match task.duty.source() {
        Source::Published(text) => shown::words(reader, text),
        Source::Guidance(text) => {
            shown::words(reader, "guidance agrees, no standard: {text}").with("text", shown::words(reader, text))
        }
        Source::Practice => shown::words(reader, "common practice, no source"),
    };
    let changed = task.duty.usual_days().is_some_and(|usual| (usual - as_days(task.reckoned.interval)).abs() > 0.5);
    let usual = task.duty.usual_days().map(days).filter(|_| changed);
    match usual {
        Some(usual) => shown::words(reader, "chosen here; usual is {days}, {source}")
            .with("days", whole_days(reader, usual))
            .with("source", source),
        None => source,
    }
}

/// The form that logs it, with what is known already filled in.
fn href(site: &SitePicture, task: &Task) -> String {
    let at_site = |kind: &str| format!("/log/sites/{}/{kind}", site.site.id);
    let looked = |looked: Looked| format!("{}?of={}", at_site("inspection"), looked.key());
    match (task.duty, task.of) {
        (Duty::Rotation, Of::Vessel(id)) => format!("/upkeep/rotation/{id}"),
        (Duty::Test, Of::Vessel(id)) => format!("/log/vessels/{id}/test"),
        (Duty::Dip, Of::Vessel(id)) => format!("/log/vessels/{id}/reading"),
        (Duty::Fuel, Of::FuelStore(id)) => format!("/upkeep/fuel/{id}"),
        (Duty::GeneratorRun, Of::Generator(id)) => format!("{}?generator={id}", at_site("generator_run")),
        (Duty::PumpRun, _) => looked(Looked::Pump),
        (Duty::Couplings, _) => looked(Looked::Couplings),
        (Duty::Round, _) => looked(Looked::Round),
        _ => format!("/log/sites/{}", site.site.id),
    }
}

const fn deed(duty: Duty) -> &'static str {
    match duty {
        Duty::Rotation => "Renewed it",
        Duty::Test => "Tested it",
        Duty::Dip => "Read it",
        Duty::Fuel => "Turned it over",
        Duty::GeneratorRun | Duty::PumpRun => "It ran",
        Duty::Couplings | Duty::Round => "Looked",
    }
}

/// What of a site's upkeep stands on its own page.
pub struct Short {
    pub lines: Vec<Line>,
    pub more: usize,
    pub in_order: usize,
}

impl Short {
    #[must_use]
    pub fn of(reader: &Reader, tasks: &[(std::sync::Arc<SitePicture>, Task)]) -> Self {
        let open = || tasks.iter().filter(|(_, task)| task.reckoned.state != State::InOrder);
        let count = open().count();
        Self {
            lines: open().take(SHORT).map(|(site, task)| Line::of(reader, site, task)).collect(),
            more: count.saturating_sub(SHORT),
            in_order: tasks.len() - count,
        }
    }
}
