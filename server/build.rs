//! Two things are made before the house is compiled: an empty database with today's schema, against which every query
//! is checked, and the table of hashed, ready-compressed files that the binary carries.

use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::path::PathBuf;

use sha2::Digest;
use sqlx::Connection;
use sqlx::SqliteConnection;
use sqlx::migrate::Migrator;
use sqlx::sqlite::SqliteConnectOptions;

type Result<T> = std::result::Result<T, Box<dyn Error>>;

fn main() -> Result<()> {
    println!("cargo:rerun-if-changed=server/build.rs");
    println!("cargo:rerun-if-changed=migrations");
    println!("cargo:rerun-if-changed=static");
    let out = PathBuf::from(std::env::var("OUT_DIR")?);
    schema(&out)?;
    assets(Path::new("static"), &out)
}

/// Applies `migrations/` to a fresh file and hands its address to the query macros.
fn schema(out: &Path) -> Result<()> {
    let file = out.join("schema.db");
    for name in ["schema.db", "schema.db-wal", "schema.db-shm"] {
        match fs::remove_file(out.join(name)) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
            _ => {}
        }
    }
    let options = SqliteConnectOptions::new().filename(&file).create_if_missing(true);
    tokio::runtime::Builder::new_current_thread().build()?.block_on(async {
        let mut db = SqliteConnection::connect_with(&options).await?;
        let migrations = Path::new("migrations");
        if migrations.is_dir() {
            Migrator::new(migrations).await?.run(&mut db).await?;
        }
        db.close().await?;
        Ok::<_, Box<dyn Error>>(())
    })?;
    println!("cargo:rustc-env=DATABASE_URL=sqlite:{}", file.display());
    Ok(())
}

/// Copies `static/` under hashed names and writes `assets.rs`, the table of `server/web/assets.rs`.
/// Style sheets come last, since the addresses in them change with what they name.
fn assets(from: &Path, out: &Path) -> Result<()> {
    let folder = out.join("assets");
    fs::create_dir_all(&folder)?;
    let mut names = Vec::new();
    if from.is_dir() {
        list(from, from, &mut names)?;
    }
    names.sort_by_key(|name| (name.ends_with(".css"), name.clone()));
    let mut hashed = BTreeMap::new();
    let mut table = String::from("[\n");
    for (number, name) in names.iter().enumerate() {
        let mut bytes = fs::read(from.join(name))?;
        if name.ends_with(".css") {
            let text = String::from_utf8(bytes).map_err(|error| format!("static/{name}: {error}"))?;
            bytes = rewrite_addresses(name, &text, &hashed)?.into_bytes();
        }
        let mut hash = String::new();
        for byte in sha2::Sha256::digest(&bytes).iter().take(8) {
            write!(hash, "{byte:02x}")?;
        }
        let (stem, kind) = name.rsplit_once('.').ok_or_else(|| format!("static/{name} has no ending"))?;
        let path = format!("{stem}.{hash}.{kind}");
        let plain = folder.join(format!("{number}"));
        fs::write(&plain, &bytes)?;
        let brotli = smaller(&plain, "br", &bytes, brotli(&bytes)?)?;
        let gzip = smaller(&plain, "gz", &bytes, gzip(&bytes)?)?;
        let media = media_type(kind).ok_or_else(|| format!("static/{name}: no media type is known for .{kind}"))?;
        writeln!(
            table,
            "    Asset {{ name: {name:?}, path: {:?}, media: {media:?}, tag: {:?}, plain: include_bytes!({plain:?}), \
             brotli: {brotli}, gzip: {gzip} }},",
            format!("/static/{path}"),
            format!("\"{hash}\""),
        )?;
        hashed.insert(name.clone(), path);
    }
    table.push_str("]\n");
    fs::write(out.join("assets.rs"), table)?;
    Ok(())
}

/// Names below `root`, with `/` between folders; what begins with a dot is left out.
fn list(root: &Path, folder: &Path, names: &mut Vec<String>) -> Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.strip_prefix(root)?.to_str().ok_or("a file name in static/ is not UTF-8")?.replace('\\', "/");
        if name.rsplit('/').next().is_some_and(|last| last.starts_with('.')) {
            continue;
        }
        if path.is_dir() {
            list(root, &path, names)?;
        } else {
            names.push(name);
        }
    }
    Ok(())
}

/// Each `url(...)` of a style sheet that names one of our files gets that file's hashed name; one that names a file
/// that is not there stops the build.
fn rewrite_addresses(sheet: &str, text: &str, hashed: &BTreeMap<String, String>) -> Result<String> {
    let folder = sheet.rsplit_once('/').map_or("", |(folder, _)| folder);
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("url(") {
        let (before, after) = rest.split_at(at + 4);
        out.push_str(before);
        let end = after.find(')').ok_or_else(|| format!("static/{sheet}: url( without its closing bracket"))?;
        let given = after[..end].trim().trim_matches(['"', '\'']);
        if given.starts_with("data:") || given.starts_with('#') {
            out.push_str(&after[..end]);
        } else {
            let wanted = if folder.is_empty() { given.to_owned() } else { format!("{folder}/{given}") };
            let path = hashed.get(&wanted).ok_or_else(|| format!("static/{sheet}: there is no static/{wanted}"))?;
            write!(out, "\"/static/{path}\"")?;
        }
        rest = &after[end..];
    }
    out.push_str(rest);
    Ok(out)
}

fn brotli(bytes: &[u8]) -> Result<Vec<u8>> {
    let release = std::env::var("PROFILE")? == "release";
    let settings = brotli::enc::BrotliEncoderParams { quality: if release { 11 } else { 4 }, ..Default::default() };
    let mut out = Vec::new();
    brotli::BrotliCompress(&mut &bytes[..], &mut out, &settings)?;
    Ok(out)
}

fn gzip(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

/// The Rust for `Some(packed)`, or for `None` where packing gains less than a tenth (fonts, pictures).
fn smaller(plain: &Path, ending: &str, bytes: &[u8], packed: Vec<u8>) -> Result<String> {
    if packed.len() * 10 > bytes.len() * 9 {
        return Ok("None".to_owned());
    }
    let path = plain.with_extension(ending);
    fs::write(&path, packed)?;
    Ok(format!("Some(include_bytes!({path:?}))"))
}

fn media_type(kind: &str) -> Option<&'static str> {
    Some(match kind {
        "css" => "text/css; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "webp" => "image/webp",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "txt" => "text/plain; charset=utf-8",
        "csv" => "text/csv; charset=utf-8",
        "json" => "application/json",
        "webmanifest" => "application/manifest+json",
        _ => return None,
    })
}
