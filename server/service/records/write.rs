//! Writing the files: of one moment, a part at a time, so that a ledger of any length takes no more memory than a page
//! of it.

use std::collections::HashMap;
use std::io::Write;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::PoisonError;

use rawzip::ZipArchiveWriter;
use serde_json::Map;
use serde_json::Value;
use tokio::sync::mpsc;
use uuid::Uuid;

use crate::model::choice::Choice;
use crate::model::entry::Kind;
use crate::model::entry::fields::Field;
use crate::model::setup::SetUp;
use crate::model::setup::Thing;
use crate::service::App;
use crate::service::Caller;
use crate::service::Error;
use crate::service::authorise::Deed;
use crate::service::records::ARCHIVE;
use crate::service::records::ENTRIES;
use crate::service::records::OF_ENTRY;
use crate::service::records::SHEETS;
use crate::service::records::Sheet;
use crate::service::records::cells;
use crate::service::records::entry_fields;
use crate::service::records::flat;
use crate::service::records::headings;
use crate::service::records::names;
use crate::store;
use crate::store::Line;
use crate::store::Reader;
use crate::store::Snapshot;

/// Lines of the ledger that are read at once.
const LINES: i64 = 2000;
/// Rows of a noun that travel together.
const ROWS: usize = 500;
/// Parts that may wait to be taken.
const WAITING: usize = 2;
/// In front, so that spreadsheets read the file as UTF-8.
const MARK: &[u8] = "\u{feff}".as_bytes();

/// A file on its way out, part after part. An error ends it: what came before is then no whole file.
#[derive(Debug)]
pub struct Exported {
    pub parts: mpsc::Receiver<Result<Vec<u8>, Error>>,
}

/// What stands in a run of files.
enum Piece {
    Begin(String),
    Part(Vec<u8>),
    End,
}

type Pieces = mpsc::Receiver<Result<Piece, store::Error>>;
type Out = mpsc::Sender<Result<Piece, store::Error>>;

/// Which files are asked for.
#[derive(Clone, Copy)]
enum Which {
    All,
    Sheet(Sheet),
    Entries(Option<Kind>),
}

impl Which {
    /// By the name of the file: `sites.csv`, `entries.csv`, `entries-reading.csv`, or the archive of all.
    fn named(file: &str) -> Option<Self> {
        if file == ARCHIVE {
            return Some(Self::All);
        }
        let name = file.strip_suffix(".csv")?;
        if name == ENTRIES {
            return Some(Self::Entries(None));
        }
        let kind = name.strip_prefix(ENTRIES).and_then(|rest| rest.strip_prefix('-')).and_then(Kind::from_key);
        let sheet = || SHEETS.into_iter().find(|sheet| sheet.file == name).map(Self::Sheet);
        kind.map(|kind| Self::Entries(Some(kind))).or_else(sheet)
    }
}

impl App {
    /// A file of what is kept, by its name.
    ///
    /// # Errors
    /// Only the coordinator takes everything out; there is no such file.
    pub async fn export(&self, caller: &Caller, file: &str) -> Result<Exported, Error> {
        caller.may(Deed::Coordinate, None)?;
        let which = Which::named(file).ok_or(Error::NotFound("file"))?;
        let pieces = pieces(self.store.reader().snapshot().await?, which);
        let (out, parts) = mpsc::channel(WAITING);
        tokio::spawn(async move {
            let done = match which {
                Which::All => zipped(pieces, &out).await,
                Which::Sheet(_) | Which::Entries(_) => alone(pieces, &out).await,
            };
            if let Err(error) = done {
                // Nobody may be there any more to be told.
                let _ = out.send(Err(error)).await;
            }
        });
        Ok(Exported { parts })
    }
}

/// Writes every file into a folder; each name with its bytes.
///
/// # Errors
/// The store cannot be read, or a file not be written.
pub async fn to_folder(
    reader: &Reader,
    mut file: impl FnMut(&str) -> std::io::Result<std::fs::File>,
) -> anyhow::Result<()> {
    let mut pieces = pieces(reader.snapshot().await?, Which::All);
    let mut open = None;
    while let Some(piece) = pieces.recv().await {
        match piece? {
            Piece::Begin(name) => open = Some(std::io::BufWriter::new(file(&name)?)),
            Piece::Part(part) => open.iter_mut().try_for_each(|open| open.write_all(&part))?,
            Piece::End => {
                if let Some(done) = open.take() {
                    done.into_inner().map_err(std::io::IntoInnerError::into_error)?.sync_all()?;
                }
            }
        }
    }
    Ok(())
}

async fn alone(mut pieces: Pieces, out: &mpsc::Sender<Result<Vec<u8>, Error>>) -> Result<(), Error> {
    while let Some(piece) = pieces.recv().await {
        if let Piece::Part(part) = piece?
            && out.send(Ok(part)).await.is_err()
        {
            break;
        }
    }
    Ok(())
}

/// What an archive was written to so far, until it is sent on.
#[derive(Clone, Default)]
struct Written(Arc<Mutex<Vec<u8>>>);

impl Written {
    fn take(&self) -> Vec<u8> {
        core::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

impl Write for Written {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// One archive of the files, not packed: what can be read back by anything.
async fn zipped(mut pieces: Pieces, out: &mpsc::Sender<Result<Vec<u8>, Error>>) -> Result<(), Error> {
    let broken = |error: rawzip::Error| Error::Internal(error.into());
    let written = Written::default();
    let mut archive = ZipArchiveWriter::new(written.clone());
    while let Some(piece) = pieces.recv().await {
        let Piece::Begin(name) = piece? else { continue };
        let (entry, config) = archive.new_file(name.as_str()).start().map_err(broken)?;
        let mut file = config.wrap(entry);
        while let Some(piece) = pieces.recv().await {
            let Piece::Part(part) = piece? else { break };
            file.write_all(&part).map_err(|error| Error::Internal(error.into()))?;
            if out.send(Ok(written.take())).await.is_err() {
                return Ok(());
            }
        }
        let (entry, sums) = file.finish().map_err(broken)?;
        entry.finish(sums).map_err(broken)?;
    }
    archive.finish().map_err(broken)?;
    // Whoever asked may have gone.
    let _ = out.send(Ok(written.take())).await;
    Ok(())
}

fn pieces(snapshot: Snapshot, which: Which) -> Pieces {
    let (out, pieces) = mpsc::channel(WAITING);
    tokio::spawn(async move {
        if let Err(Stop::Broken(error)) = produce(snapshot, which, &out).await {
            // Nobody may be there any more to be told.
            let _ = out.send(Err(error)).await;
        }
    });
    pieces
}

/// Why no more is written.
enum Stop {
    /// nobody takes it any more
    Gone,
    Broken(store::Error),
}

impl From<store::Error> for Stop {
    fn from(error: store::Error) -> Self {
        Self::Broken(error)
    }
}

impl From<csv::Error> for Stop {
    fn from(error: csv::Error) -> Self {
        Self::Broken(store::Error::Unreadable(error.to_string()))
    }
}

impl From<serde_json::Error> for Stop {
    fn from(error: serde_json::Error) -> Self {
        Self::Broken(store::Error::Unreadable(error.to_string()))
    }
}

async fn send(out: &Out, piece: Piece) -> Result<(), Stop> {
    out.send(Ok(piece)).await.map_err(|_| Stop::Gone)
}

async fn produce(mut snapshot: Snapshot, which: Which, out: &Out) -> Result<(), Stop> {
    let set_up = snapshot.set_up().await?;
    let names = names(&set_up);
    for sheet in SHEETS {
        if matches!(which, Which::All) || matches!(which, Which::Sheet(asked) if asked.noun == sheet.noun) {
            write_sheet(&sheet, &set_up, &names, out).await?;
        }
    }
    match which {
        Which::All => write_entries(&mut snapshot, None, &names, out).await,
        Which::Entries(kind) => write_entries(&mut snapshot, kind, &names, out).await,
        Which::Sheet(_) => Ok(()),
    }
}

type Lines = csv::Writer<Vec<u8>>;

fn lines() -> Lines {
    csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new())
}

/// What was written so far, as a part.
fn part(lines: Lines) -> Result<Piece, Stop> {
    lines.into_inner().map(Piece::Part).map_err(|error| Stop::Broken(store::Error::Unreadable(error.to_string())))
}

async fn write_sheet(sheet: &Sheet, set_up: &SetUp, names: &HashMap<Uuid, String>, out: &Out) -> Result<(), Stop> {
    send(out, Piece::Begin(format!("{}.csv", sheet.file))).await?;
    send(out, Piece::Part(MARK.to_vec())).await?;
    let mut writer = lines();
    writer.write_record(headings(sheet))?;
    send(out, part(writer)?).await?;
    let things: Vec<Thing> = set_up.things().map(|kept| kept.0).filter(|thing| thing.noun() == sheet.noun).collect();
    for some in things.chunks(ROWS) {
        let mut writer = lines();
        for thing in some {
            writer.write_record(row(sheet, thing, names)?)?;
        }
        send(out, part(writer)?).await?;
    }
    send(out, Piece::End).await
}

fn row(sheet: &Sheet, thing: &Thing, names: &HashMap<Uuid, String>) -> Result<Vec<String>, Stop> {
    let fields = serde_json::to_value(thing)?;
    let mut cells = Vec::new();
    if fields.get("id").is_none() {
        cells.push(thing.id().to_string());
    }
    for place in flat(sheet.columns) {
        let within = place.of.map_or(Some(&fields), |of| fields.get(of));
        let value = within.and_then(|within| within.get(place.key)).unwrap_or(&Value::Null);
        cells.push(cells::write(place.cell, value));
        if place.is_named() {
            let name = |id: &Value| id.as_str().and_then(|id| Uuid::try_parse(id).ok()).and_then(|id| names.get(&id));
            let all: Vec<&str> = match value {
                Value::Array(ids) => ids.iter().filter_map(name).map(String::as_str).collect(),
                one => name(one).map(String::as_str).into_iter().collect(),
            };
            cells.push(cells::words(&all.join(", ")));
        }
    }
    Ok(cells)
}

/// The headings of a file of the ledger that has those fields.
pub(super) fn entry_headings(fields: &[&Field]) -> Vec<String> {
    OF_ENTRY.into_iter().chain(fields.iter().map(|field| field.key)).map(str::to_owned).collect()
}

async fn write_entries(
    snapshot: &mut Snapshot,
    kind: Option<Kind>,
    names: &HashMap<Uuid, String>,
    out: &Out,
) -> Result<(), Stop> {
    let fields = kind.map_or_else(entry_fields, |kind| kind.fields().iter().collect());
    let file = kind.map_or_else(|| ENTRIES.to_owned(), |kind| format!("{ENTRIES}-{}", kind.key()));
    send(out, Piece::Begin(format!("{file}.csv"))).await?;
    send(out, Piece::Part(MARK.to_vec())).await?;
    let mut writer = lines();
    writer.write_record(entry_headings(&fields))?;
    send(out, part(writer)?).await?;
    let mut after = 0;
    loop {
        let some = snapshot.lines(after, kind, LINES).await?;
        let Some(last) = some.last() else { break };
        after = last.seq;
        let mut writer = lines();
        for line in &some {
            write_line(&mut writer, line, &fields, names)?;
        }
        send(out, part(writer)?).await?;
    }
    send(out, Piece::End).await
}

fn write_line(writer: &mut Lines, line: &Line, fields: &[&Field], names: &HashMap<Uuid, String>) -> Result<(), Stop> {
    let mut buffer = Uuid::encode_buffer();
    writer.write_field(&*line.id.hyphenated().encode_lower(&mut buffer))?;
    writer.write_field(&line.kind)?;
    writer.write_field(line.at.to_string())?;
    writer.write_field(line.arrived.to_string())?;
    for id in [line.person, line.site, line.vessel] {
        match id {
            Some(id) => {
                writer.write_field(&*id.hyphenated().encode_lower(&mut buffer))?;
                writer.write_field(names.get(&id).map(|name| cells::words(name)).unwrap_or_default())?;
            }
            None => {
                writer.write_field("")?;
                writer.write_field("")?;
            }
        }
    }
    let said: Map<String, Value> = serde_json::from_str(&line.fields)?;
    for field in fields {
        match said.get(field.key) {
            Some(value) => writer.write_field(cells::write_field(value))?,
            None => writer.write_field("")?,
        }
    }
    writer.write_record(None::<&[u8]>)?;
    Ok(())
}
