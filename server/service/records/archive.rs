//! The archive of all files, opened: what was taken away as one file comes back as one.

use std::borrow::Cow;
use std::io::Read;

use rawzip::CompressionMethod;
use rawzip::ZipArchive;

use crate::model::message::Arg;
use crate::model::message::Message;
use crate::service::import::Fault;
use crate::service::import::File;

/// How every archive begins that holds anything.
const BEGINS: &[u8] = b"PK\x03\x04";

/// Files by their names.
pub type Brought<'a> = Vec<(String, Cow<'a, [u8]>)>;

/// The files that were brought, with those within an archive in its stead.
///
/// # Errors
/// An archive that is damaged, or packed in another way than ours.
pub fn opened<'a>(files: &[File<'a>]) -> Result<Brought<'a>, Vec<Fault>> {
    let mut all = Vec::with_capacity(files.len());
    for file in files {
        if file.bytes.starts_with(BEGINS) {
            let within = within(file.bytes).map_err(|message| vec![whole(file.name, message)])?;
            all.extend(within.into_iter().map(|(name, bytes)| (name, Cow::Owned(bytes))));
        } else {
            all.push((file.name.to_owned(), Cow::Borrowed(file.bytes)));
        }
    }
    Ok(all)
}

fn within(bytes: &[u8]) -> Result<Vec<(String, Vec<u8>)>, Message> {
    let archive = ZipArchive::from_slice(bytes).map_err(damaged)?;
    let mut files = Vec::new();
    let mut entries = archive.entries();
    while let Some(entry) = entries.next_entry().map_err(damaged)? {
        if entry.is_dir() {
            continue;
        }
        if entry.compression_method() != CompressionMethod::STORE {
            let words = "This archive was packed by another program. Unpack it, and bring the files in it.";
            return Err(Message::new(words));
        }
        let name = entry.file_path().try_normalize().map_err(damaged)?.as_ref().to_owned();
        let there = archive.get_entry(entry.wayfinder()).map_err(damaged)?;
        let mut file = Vec::new();
        there.verifying_reader(there.data()).read_to_end(&mut file).map_err(damaged)?;
        files.push((name, file));
    }
    Ok(files)
}

fn damaged(why: impl ToString) -> Message {
    Message::new("This archive is damaged: {why}").with("why", Arg::text(why.to_string()))
}

fn whole(file: &str, message: Message) -> Fault {
    Fault { file: file.to_owned(), line: 1, column: String::new(), value: String::new(), message }
}
