//! Findings as a list of what needs doing.

use crate::findings::Finding;
use crate::findings::Weight;
use crate::model::id::SiteId;
use crate::picture::Picture;
use crate::web::reader::Reader;
use crate::web::words::Phrase;

/// As many stand open; the rest are one tap away.
const OPEN: usize = 4;

#[derive(Default)]
pub struct Tasks {
    pub open: Vec<Task>,
    pub folded: Vec<Task>,
    /// past what a page should hold
    pub more: usize,
    pub now: usize,
}

pub struct Task {
    pub weight: Weight,
    pub site: SiteId,
    /// none on the site's own page
    pub name: Option<String>,
    pub what: Phrase,
    pub todo: Phrase,
}

impl Task {
    #[must_use]
    pub fn is_now(&self) -> bool {
        self.weight == Weight::DoNow
    }

    #[must_use]
    pub fn is_overdue(&self) -> bool {
        self.weight == Weight::Overdue
    }

    #[must_use]
    pub fn is_mind(&self) -> bool {
        self.weight == Weight::Mind
    }
}

/// Most that a page lists at all.
const MOST: usize = 40;

/// The findings, most pressing first as they come. With `names`, each says at which site.
#[must_use]
pub fn tasks(reader: &Reader, picture: &Picture, findings: &[Finding], names: bool) -> Tasks {
    let task = |finding: &Finding| Task {
        weight: finding.weight,
        site: finding.site,
        name: names.then(|| picture.set_up.sites.get(&finding.site).map(|kept| kept.thing.name.to_string())).flatten(),
        what: reader.say(&finding.what),
        todo: reader.say(&finding.todo),
    };
    let mut shown = findings.iter().take(MOST).map(task);
    Tasks {
        open: shown.by_ref().take(OPEN).collect(),
        folded: shown.collect(),
        more: findings.len().saturating_sub(MOST),
        now: findings.iter().filter(|finding| finding.weight == Weight::DoNow).count(),
    }
}
