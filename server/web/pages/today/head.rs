//! The head of the page: what is asked, for whom, the hour, the state of the supplies and what notices are in force.

use crate::model::choice::Choice;
use crate::model::entry::mains::Supply;
use crate::model::source::SourceKind;
use crate::picture::Picture;
use crate::picture::today::Today;
use crate::web::pages::today::ration_words;
use crate::web::reader::Reader;
use crate::web::shown;
use crate::web::words::Phrase;

pub struct Head {
    /// the mains are off: then the question is no longer "if"
    pub off: bool,
    /// "at Basic, 15 L a person a day, for 280 people at 14 sites"
    pub asked: Phrase,
    pub now: String,
    pub supplies: Vec<Phrase>,
    pub notices: Vec<Phrase>,
}

impl Head {
    #[must_use]
    pub fn of(reader: &Reader, picture: &Picture, today: &Today) -> Self {
        let people: u64 = today.sites.iter().map(|site| site.standing.demand.people).sum();
        let sites = u64::try_from(today.sites.len()).unwrap_or(u64::MAX);
        let asked = shown::words(reader, "{ration}, for {people} at {sites}")
            .with("ration", ration_words(reader, today))
            .with("people", shown::people(reader, people))
            .with("sites", reader.plural("{n} site", "{n} sites", sites));
        let (off, supplies) = supplies(reader, picture);
        Self { off, asked, now: shown::moment(reader, &today.now), supplies, notices: notices(reader, picture) }
    }
}

/// Whether the mains are off, and what is known of them: of each that is not simply running, by name.
pub fn supplies(reader: &Reader, picture: &Picture) -> (bool, Vec<Phrase>) {
    let mains = || picture.sources.all.values().filter(|source| source.source.kind == SourceKind::Mains);
    let mut off = false;
    let mut words = Vec::new();
    for source in mains() {
        let Some((state, since)) = source.supply.filter(|(state, _)| *state != Supply::On) else { continue };
        off |= state == Supply::Off;
        words.push(
            shown::words(reader, "<b>{supply}: {state}</b> since {when}")
                .with("supply", source.source.name.as_str())
                .with("state", shown::words(reader, state.label()))
                .with("when", shown::moment(reader, &since)),
        );
    }
    if words.is_empty() && mains().next().is_some() {
        let told = mains().any(|source| source.supply.is_some());
        words.push(shown::words(reader, if told { "Mains running" } else { "Nobody has said that the mains are off" }));
    }
    (off, words)
}

/// The notices in force.
pub fn notices(reader: &Reader, picture: &Picture) -> Vec<Phrase> {
    let mut words = Vec::new();
    for source in picture.sources.all.values() {
        for notice in &source.notices {
            words.push(
                shown::words(reader, "{supply}: {notice}, says {by}, since {date}")
                    .with("supply", source.source.name.as_str())
                    .with("notice", shown::words(reader, notice.kind.label()))
                    .with("by", notice.by.as_str())
                    .with("date", shown::date(reader, &notice.since)),
            );
        }
    }
    words
}
