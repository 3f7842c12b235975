//! Neighbourhoods of any size, always the same for the same size: sites with people, vessels and years of entries.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use jiff::SignedDuration;
use jiff::Timestamp;
use keepwell::model::choice::Choice;
use keepwell::model::entry::Act;
use keepwell::model::entry::Entry;
use keepwell::model::entry::draw::Draw;
use keepwell::model::entry::fill::Fill;
use keepwell::model::entry::fill::Measured;
use keepwell::model::entry::inspection::Inspection;
use keepwell::model::entry::notice::Notice;
use keepwell::model::entry::notice::NoticeKind;
use keepwell::model::entry::reading::Method;
use keepwell::model::entry::reading::Reading;
use keepwell::model::entry::test::Test;
use keepwell::model::entry::void::Void;
use keepwell::model::id::EntryId;
use keepwell::model::id::Id;
use keepwell::model::id::SiteId;
use keepwell::model::id::SourceId;
use keepwell::model::id::VesselId;
use keepwell::model::name::Name;
use keepwell::model::neighbourhood::Neighbourhood;
use keepwell::model::neighbourhood::Units;
use keepwell::model::person::Person;
use keepwell::model::person::Role;
use keepwell::model::setup::Thing;
use keepwell::model::site::Category;
use keepwell::model::site::People;
use keepwell::model::site::Site;
use keepwell::model::site::SiteKind;
use keepwell::model::source::Disinfectant;
use keepwell::model::source::Source;
use keepwell::model::source::SourceKind;
use keepwell::model::vessel::Draw as DrawPoint;
use keepwell::model::vessel::DrawWay;
use keepwell::model::vessel::Material;
use keepwell::model::vessel::Policy;
use keepwell::model::vessel::ShapeKind;
use keepwell::model::vessel::StandsOn;
use keepwell::model::vessel::Vessel;
use keepwell::store::FILE;
use keepwell::store::Store;
use rand::RngExt;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;
use uuid::Uuid;

/// How far back the vessels stand.
const YEARS: i64 = 5;

/// A neighbourhood without entries yet.
pub struct Scene {
    pub now: Timestamp,
    pub person: Person,
    pub source: SourceId,
    /// with the site each stands at
    pub vessels: Vec<(SiteId, VesselId)>,
    pub things: Vec<Thing>,
    random: Pcg64Mcg,
}

impl Scene {
    pub fn of(sites: u32, vessels_each: impl Fn(u32) -> u32) -> anyhow::Result<Self> {
        let now: Timestamp = "2026-03-14T09:30:00Z".parse()?;
        let since = now - SignedDuration::from_hours(24 * 366 * YEARS);
        let mut random = Pcg64Mcg::seed_from_u64(14);
        let source = SourceId::from_uuid(uuid(&mut random, since));
        let person = Person {
            id: Id::from_uuid(uuid(&mut random, since)),
            name: name("Maren")?,
            role: Role::Coordinator,
            sites: Vec::new(),
            ended: None,
        };
        let mut things = vec![
            Thing::Neighbourhood(Neighbourhood {
                name: name("Alder Reach")?,
                zone: "Europe/Dublin".to_owned(),
                units: Units::Metric,
                language: "en".to_owned(),
                ration: "basic".to_owned(),
                target_days: 14.0,
                upkeep: keepwell::model::upkeep::Intervals::default(),
                sds_g: None,
                sd1_g: None,
                prices: keepwell::model::prices::Prices::default(),
            }),
            Thing::Person(person.clone()),
            Thing::Source(Source {
                id: source,
                name: name("Town mains")?,
                kind: SourceKind::Mains,
                disinfectant: Disinfectant::FreeChlorine,
                notes: String::new(),
            }),
        ];
        let mut vessels = Vec::new();
        for number in 0..sites {
            let site = SiteId::from_uuid(uuid(&mut random, since));
            things.push(Thing::Site(a_site(site, source, number, random.random_range(1..12))?));
            for tank in 0..vessels_each(number) {
                let id = VesselId::from_uuid(uuid(&mut random, since));
                vessels.push((site, id));
                things.push(Thing::Vessel(a_vessel(id, site, tank, random.random_range(0.6..2.4), since)?));
            }
        }
        Ok(Self { now, person, source, vessels, things, random })
    }

    /// Keeps the set-up in a data folder.
    pub async fn keep(&self, folder: &Path) -> anyhow::Result<Store> {
        let store = Store::open(folder).await?;
        store.write(None, self.now, self.things.iter().map(|thing| (thing.clone(), None)).collect()).await?;
        Ok(store)
    }

    /// `count` entries over the years, of which vessel `choose` says; in order of arrival, some of them late.
    pub fn entries(
        &mut self,
        count: usize,
        mut choose: impl FnMut(&mut Pcg64Mcg, usize) -> usize,
    ) -> anyhow::Result<Vec<Entry>> {
        let span = i64::from(u16::MAX) * 40 * 60;
        let step = f64::from(u32::try_from(span)?) / f64::from(u32::try_from(count.max(1))?);
        let mut entries: Vec<Entry> = Vec::with_capacity(count);
        for number in 0..count {
            let ago = span as f64 - step * f64::from(u32::try_from(number)?);
            let arrived = self.now - SignedDuration::from_secs_f64(ago.max(0.0));
            let late = self.random.random_range(0..20) == 0;
            let behind = if late { self.random.random_range(3_600..400_000) } else { self.random.random_range(0..300) };
            let at = arrived - SignedDuration::from_secs(behind);
            let id = EntryId::from_uuid(uuid(&mut self.random, at));
            let by = Some(self.person.id);
            if number % 5_000 == 4_999 {
                let kind = NoticeKind::Boil;
                let notice = Notice { source: self.source, kind, by: "the waterworks".to_owned(), note: None };
                let act = if number % 10_000 == 9_999 { Act::Lifted(notice) } else { Act::Notice(notice) };
                entries.push(Entry { id, site: None, vessel: None, at, arrived, by, act });
                continue;
            }
            let vessel = choose(&mut self.random, self.vessels.len());
            let (mut site, mut vessel) = (Some(self.vessels[vessel].0), Some(self.vessels[vessel].1));
            let mut act = an_act(&mut self.random, self.source);
            if number % 500 == 499 {
                let wrong = &entries[number - self.random.random_range(1..400)];
                (site, vessel) = (wrong.site, wrong.vessel);
                act = Act::Void(Void { entry: wrong.id, reason: "read off the wrong scale".to_owned() });
            }
            entries.push(Entry { id, site, vessel, at, arrived, by, act });
        }
        Ok(entries)
    }
}

/// What is done to a tank, mostly: looked at and drawn from.
pub fn an_act(random: &mut Pcg64Mcg, source: SourceId) -> Act {
    let litres = |random: &mut Pcg64Mcg, most: u32| Some(f64::from(random.random_range(10..most)) / 2.0);
    match random.random_range(0..100) {
        0..35 => Act::Reading(Reading {
            depth_m: Some(f64::from(random.random_range(100..1_400_u32)) / 1_000.0),
            ..Reading::by(Method::Dipstick)
        }),
        35..80 => Act::Draw(Draw {
            litres: litres(random, 160),
            to_outlet: false,
            measured: Some(Measured::Bucket),
            lot: None,
            note: Some("for the kitchen".to_owned()),
        }),
        80..92 => Act::Fill(Fill {
            litres: litres(random, 800),
            to_top: false,
            measured: Some(Measured::Meter),
            source,
            boiled: false,
            printed: None,
            lot: None,
            note: None,
        }),
        92..97 => {
            Act::Test(Test { free_mg_l: Some(f64::from(random.random_range(0..12_u32)) / 10.0), ..Test::default() })
        }
        _ => Act::Inspection(Inspection { of: None, in_order: true, note: None }),
    }
}

/// The same rows as the store would write, straight to SQLite, in one commit.
pub fn write(folder: &Path, entries: &[Entry]) -> anyhow::Result<()> {
    let mut raw = Raw::open(folder)?;
    raw.connection.pragma_update(None, "synchronous", "OFF")?;
    let rows = entries.iter().map(Row::of).collect::<anyhow::Result<Vec<_>>>()?;
    raw.insert(&rows)
}

/// An entry as SQLite keeps it, worked out beforehand so that a floor pays for SQLite alone.
pub struct Row {
    id: Uuid,
    hash: [u8; 32],
    kind: &'static str,
    site: Option<Uuid>,
    vessel: Option<Uuid>,
    at: i64,
    arrived: i64,
    person: Option<Uuid>,
    fields: String,
}

impl Row {
    pub fn of(entry: &Entry) -> anyhow::Result<Self> {
        Ok(Self {
            id: entry.id.uuid(),
            hash: entry.hash()?,
            kind: entry.act.kind().key(),
            site: entry.site.map(|site| site.uuid()),
            vessel: entry.vessel.map(|vessel| vessel.uuid()),
            at: entry.at.as_microsecond(),
            arrived: entry.arrived.as_microsecond(),
            person: entry.by.map(|person| person.uuid()),
            fields: serde_json::to_string(&entry.act.to_json()?)?,
        })
    }
}

/// SQLite without the house: the same file, schema, journal and durability.
pub struct Raw {
    connection: rusqlite::Connection,
}

impl Raw {
    pub fn open(folder: &Path) -> anyhow::Result<Self> {
        let connection = rusqlite::Connection::open(folder.join(FILE))?;
        connection.pragma_update(None, "journal_mode", "WAL")?;
        connection.pragma_update(None, "synchronous", "FULL")?;
        connection.pragma_update(None, "foreign_keys", true)?;
        Ok(Self { connection })
    }

    /// All in one commit.
    pub fn insert(&mut self, rows: &[Row]) -> anyhow::Result<()> {
        let transaction = self.connection.transaction()?;
        {
            let mut statement = transaction.prepare_cached(
                "INSERT INTO entries (id, hash, kind, site, vessel, at_us, arrived_us, person, fields)
                 VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)",
            )?;
            let blob = |id: &Option<Uuid>| id.map(|id| id.into_bytes());
            for row in rows {
                let (id, site, vessel, person) =
                    (row.id.into_bytes(), blob(&row.site), blob(&row.vessel), blob(&row.person));
                statement.execute(rusqlite::params![
                    id,
                    row.hash,
                    row.kind,
                    site,
                    vessel,
                    row.at,
                    row.arrived,
                    person,
                    row.fields
                ])?;
            }
        }
        Ok(transaction.commit()?)
    }

    /// Steps through every row and column as they lie, in order of arrival; the bytes of fields seen.
    pub fn read(&self) -> anyhow::Result<usize> {
        let mut statement = self.connection.prepare(
            "SELECT seq, id, kind, site, vessel, at_us, arrived_us, person, fields FROM entries ORDER BY seq",
        )?;
        let mut rows = statement.query([])?;
        let mut seen = 0;
        while let Some(row) = rows.next()? {
            for column in 0..9 {
                std::hint::black_box(row.get_ref(column)?);
            }
            seen += row.get_ref(8)?.as_bytes()?.len();
        }
        Ok(seen)
    }
}

/// Entries as they are handed to the picture.
pub fn shared(entries: Vec<Entry>) -> Vec<Arc<Entry>> {
    entries.into_iter().map(Arc::new).collect()
}

/// A UUIDv7 of that time (RFC 9562), from the scene's own numbers.
pub fn uuid(random: &mut Pcg64Mcg, at: Timestamp) -> Uuid {
    let millis = u64::try_from(at.as_millisecond()).unwrap_or_default();
    uuid::Builder::from_unix_timestamp_millis(millis, &random.random()).into_uuid()
}

fn name(text: &str) -> anyhow::Result<Name> {
    Name::new(text).map_err(|problem| anyhow::anyhow!("{}", problem.key))
}

fn a_site(id: SiteId, source: SourceId, number: u32, people: u32) -> anyhow::Result<Site> {
    Ok(Site {
        id,
        name: name(&format!("{} Weir Lane", number + 1))?,
        kind: SiteKind::Household,
        people: vec![People { category: Category::Adult, count: people }],
        cannot_collect: 0,
        animals: Vec::new(),
        sources: vec![source],
        address: format!("{} Weir Lane, Alder Reach", number + 1),
        latitude: None,
        longitude: None,
        elevation_m: None,
        access: "Round the back, by the blue gate.".to_owned(),
        contact: String::new(),
        phone: String::new(),
        notes: String::new(),
        pump_hours_a_day: Site::TAP_ON_DEMAND_HOURS,
        keep_l: 0.0,
        handed_out_loss: 0.0,
        ended: None,
    })
}

fn a_vessel(id: VesselId, site: SiteId, number: u32, across: f64, since: Timestamp) -> anyhow::Result<Vessel> {
    let dimensions = BTreeMap::from([("diameter_m".to_owned(), across), ("height_m".to_owned(), 1.5)]);
    Ok(Vessel {
        id,
        site,
        name: name(&format!("Tank {}", number + 1))?,
        shape: ShapeKind::UprightCylinder,
        dimensions,
        strapping: Vec::new(),
        full_m: Some(1.45),
        draws: vec![DrawPoint { way: DrawWay::Gravity, height_m: 0.1 }],
        material: Material::Polyethylene,
        food_grade: true,
        closed: true,
        opaque: true,
        stands_on: StandsOn::Slab,
        anchored: true,
        empty_kg: None,
        floor_m: 0.0,
        bank: None,
        source: None,
        policy: Policy::default(),
        outage_only: false,
        daily_use: false,
        may_freeze: false,
        since,
        ended: None,
        notes: String::new(),
    })
}
