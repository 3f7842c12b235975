//! What stands at a site: its vessels, banks and power, each with the way to its form.

use crate::model::choice::Choice;
use crate::model::id::SiteId;
use crate::picture::body::kind;
use crate::web::pages::set_up::form::Task;
use crate::web::pages::set_up::noun::Noun;

/// Everything of a site, list by list, in the order in which it is set up.
pub(super) struct Stands {
    pub site: String,
    pub lists: Vec<List>,
}

/// All of one noun at a site.
pub(super) struct List {
    pub title: &'static str,
    /// what goes here, while it is empty
    pub nothing: &'static str,
    pub add: &'static str,
    pub path: &'static str,
    pub things: Vec<Line>,
}

pub(super) struct Line {
    pub name: String,
    /// one word about it, an English key
    pub what: &'static str,
    pub href: String,
    pub in_use: bool,
}

impl Stands {
    pub(super) fn of(task: &Task) -> Self {
        let site = SiteId::from_uuid(task.id);
        let set_up = task.set_up();
        let now = task.now;
        let line = |noun: Noun, id: String, name: &dyn ToString, what, ended: Option<jiff::Timestamp>| Line {
            name: name.to_string(),
            what,
            href: format!("/set-up/{}/{id}", noun.path()),
            in_use: ended.is_none_or(|ended| ended > now),
        };
        let vessels = set_up.vessels.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let vessels = vessels
            .map(|t| line(Noun::Vessel, t.id.to_string(), &t.name, kind(t.shape).name(), t.ended))
            .collect::<Vec<_>>();
        let banks = set_up.banks.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let banks = banks.map(|t| line(Noun::Bank, t.id.to_string(), &t.name, "", None)).collect::<Vec<_>>();
        let loads = set_up.loads.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let loads = loads
            .map(|t| line(Noun::Load, t.id.to_string(), &t.name, if t.pump { "pump" } else { "" }, t.ended))
            .collect::<Vec<_>>();
        let generators = set_up.generators.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let generators = generators
            .map(|t| line(Noun::Generator, t.id.to_string(), &t.name, t.fuel.label(), t.ended))
            .collect::<Vec<_>>();
        let stores = set_up.fuel_stores.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let stores = stores
            .map(|t| line(Noun::FuelStore, t.id.to_string(), &t.name, t.fuel.label(), t.ended))
            .collect::<Vec<_>>();
        let batteries = set_up.batteries.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let batteries =
            batteries.map(|t| line(Noun::Battery, t.id.to_string(), &t.name, "", t.ended)).collect::<Vec<_>>();
        let stages = set_up.stages.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let stages =
            stages.map(|t| line(Noun::Stage, t.id.to_string(), &t.name, t.kind.label(), t.ended)).collect::<Vec<_>>();
        let pumps = set_up.pumps.values().map(|kept| &kept.thing).filter(|thing| thing.site == site);
        let pumps = pumps.map(|t| line(Noun::Pump, t.id.to_string(), &t.name, "", t.ended)).collect::<Vec<_>>();
        let list = |noun: Noun, title, nothing, add, mut things: Vec<Line>| {
            things.sort_by(|a, b| (!a.in_use, &a.name).cmp(&(!b.in_use, &b.name)));
            List { title, nothing, add, path: noun.path(), things }
        };
        Self {
            site: task.id.to_string(),
            lists: vec![
                list(
                    Noun::Vessel,
                    "Vessels",
                    "No vessel yet. Start with the biggest: its shape, its measures, where its tap is.",
                    "Add a vessel",
                    vessels,
                ),
                list(Noun::Bank, "Banks", "None: no vessels are joined by a manifold.", "Add a bank", banks),
                list(
                    Noun::Load,
                    "Loads",
                    "None: no pump, so water is drawn by gravity or by hand.",
                    "Add a load",
                    loads,
                ),
                list(Noun::Generator, "Generators", "None.", "Add a generator", generators),
                list(Noun::FuelStore, "Fuel stores", "None.", "Add a fuel store", stores),
                list(Noun::Battery, "Battery and panels", "None.", "Add a battery", batteries),
                list(
                    Noun::Pump,
                    "Pump and pipes",
                    "None: what arrives at the tap is not reckoned.",
                    "Add a pump",
                    pumps,
                ),
                list(
                    Noun::Stage,
                    "Treatment, source first",
                    "None: water that has to be treated first counts for nothing here.",
                    "Add a stage",
                    stages,
                ),
            ],
        }
    }
}
