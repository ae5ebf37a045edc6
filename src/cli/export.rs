//! `export`: the whole book taken elsewhere, into a new folder.

use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use serde_json::{Value, json};

use super::{Choices, Environment, Fault};
use crate::book::seal;
use crate::desk::Desk;
use crate::desk::paper::KeptTrace;
use crate::report::data::{CsvTable, JsonBook, TraceColumns, parquet};
use crate::report::json::SCHEMA;
use crate::store::WalkError;
use crate::trace::{Channel, ChannelUnit};

const FORMS: [&str; 4] = ["csv", "json", "parquet", "raw"];

const ABOUT: &str = "\
This folder is a proofmark book taken elsewhere. Version of its form: schema 1.

manifest.json  what is here: rows of every table, rows of every trace, SHA-256 of every file, the book's head seal
csv/           every table of the book, UTF-8, comma separated (RFC 4180), SI units, the unit in each column's name;
               an empty cell is nothing (in book.json nothing is null and an empty text is \"\"); bytes are hexadecimal
               digits. A text cell that a spreadsheet could take for a formula (it begins with = + - @, a tab, a line
               end, their full-width forms, or an apostrophe) has one apostrophe put in front; take it off to get the
               text back. Numbers stay numbers.
book.json      the same tables as one document: {\"schema\":1,\"book\":{...},\"columns\":{TABLE:[{name,type}]},
               \"tables\":{TABLE:[{column:value}]}}; text is exact
traces/        every trace as Parquet, each file with the same columns: entry, firing (entry numbers), casing, time_s,
               thrust_n or thrust_v, pressure_pa or pressure_v, as read (no tare taken off)
raw/           the bytes of every trace as they were read, under their SHA-256

The table \"entry\" is the ledger; body is the sealed JSON. Tables named KIND_entry hold the same values in columns,
joined by entry = entry.number. An entry whose id is in entry.strikes of another was crossed out by it.
";

pub(super) fn command() -> Command {
    Command::new("export")
        .about("The whole book as plain CSV, JSON and Parquet, into a new folder")
        .arg(
            Arg::new("out")
                .long("out")
                .required(true)
                .value_name("FOLDER")
                .value_parser(value_parser!(PathBuf))
                .help("A folder that is not there yet, or is empty"),
        )
        .arg(
            Arg::new("only")
                .long("only")
                .value_name("FORM")
                .action(ArgAction::Append)
                .value_parser(FORMS)
                .help("Only this form; may be repeated. All of them when left out"),
        )
}

/// What goes wrong on the way out.
enum Out {
    Fault(Fault),
    Io(PathBuf, std::io::Error),
}

impl From<Fault> for Out {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}
impl From<crate::store::StoreError> for Out {
    fn from(error: crate::store::StoreError) -> Self {
        Self::Fault(error.into())
    }
}
impl From<Out> for Fault {
    fn from(out: Out) -> Self {
        match out {
            Out::Fault(fault) => fault,
            Out::Io(path, error) => {
                Self::input("out", format!("{} cannot be written: {error}", path.display()))
            }
        }
    }
}

/// A single file goes to the standard output under the name `-`; a folder of files has no place there.
pub(super) fn a_folder(out: &Path) -> Result<(), Fault> {
    if out == Path::new("-") {
        return Err(Fault::input("out", "these are several files: name a folder, not the standard output"));
    }
    Ok(())
}

pub(super) fn export(
    matches: &ArgMatches,
    choices: &Choices,
    environment: &mut Environment<'_>,
) -> Result<(), Fault> {
    let Some(out) = matches.get_one::<PathBuf>("out") else {
        return Err(Fault::input("out", "name a folder"));
    };
    a_folder(out)?;
    let only: Vec<&str> =
        matches.get_many::<String>("only").into_iter().flatten().map(String::as_str).collect();
    let wanted = |form: &str| only.is_empty() || only.contains(&form);
    let desk = choices.read(environment)?;
    let filled = std::fs::read_dir(out).is_ok_and(|mut entries| entries.next().is_some());
    if filled || out.is_file() {
        return Err(Fault::input("out", format!("{} is there already; name a new folder", out.display())));
    }
    // Built beside its place and moved there whole.
    let mut name = out.as_os_str().to_owned();
    name.push(format!(".{}.partial", std::process::id()));
    let partial = PathBuf::from(name);
    let built = desk.book().at_one_moment(|| build(&desk, &partial, &wanted))?;
    let finish = |manifest| {
        if out.is_dir() {
            std::fs::remove_dir(out).map_err(|error| Out::Io(out.clone(), error))?;
        }
        std::fs::rename(&partial, out).map_err(|error| Out::Io(out.clone(), error))?;
        Ok::<Value, Out>(manifest)
    };
    let manifest = match built.and_then(finish) {
        Ok(manifest) => manifest,
        Err(error) => {
            let _ = std::fs::remove_dir_all(&partial);
            return Err(error.into());
        }
    };
    let words = || {
        let rows: u64 = manifest["tables"]
            .as_object()
            .map_or(0, |tables| tables.values().filter_map(Value::as_u64).sum());
        let tables = manifest["tables"].as_object().map_or(0, serde_json::Map::len);
        let traces = manifest["traces"].as_array().map_or(0, Vec::len);
        let mut said = format!(
            "{} of {} and {} are in {}\n",
            crate::quantity::counted(rows, "row"),
            crate::quantity::counted(tables, "table"),
            crate::quantity::counted(traces, "trace"),
            out.display()
        );
        for trace in manifest["traces"].as_array().into_iter().flatten() {
            if let Some(why) = trace["not_read"].as_str() {
                said.push_str(&format!(
                    "entry {} is only in raw/: {}\n",
                    trace["entry"],
                    crate::report::text::clean(why)
                ));
            }
        }
        said
    };
    super::look::print(|| manifest.clone(), words, choices, environment)
}

fn build(desk: &Desk, folder: &Path, wanted: &dyn Fn(&str) -> bool) -> Result<Value, Out> {
    let make =
        |path: &Path| std::fs::create_dir_all(path).map_err(|error| Out::Io(path.to_path_buf(), error));
    make(folder)?;
    let tables = desk.book().tables()?;
    let book = json!({
        "program": concat!("proofmark ", env!("CARGO_PKG_VERSION")),
        "book_schema": crate::store::SCHEMA_VERSION,
        "origin": desk.book().origin().to_string(),
        "head_seal": desk.book().head_seal()?,
        "exported_at": seal::moment(desk.now()),
    });
    let mut rows = serde_json::Map::new();
    let open = |path: &Path| {
        File::create(path).map(BufWriter::new).map_err(|error| Out::Io(path.to_path_buf(), error))
    };
    let json_path = folder.join("book.json");
    let mut document = if wanted("json") {
        Some(
            JsonBook::begin(open(&json_path)?, &book, &tables)
                .map_err(|error| Out::Io(json_path.clone(), error))?,
        )
    } else {
        None
    };
    if wanted("csv") {
        make(&folder.join("csv"))?;
    }
    for table in &tables {
        let path = folder.join("csv").join(format!("{}.csv", table.name));
        let io = |error| Out::Io(path.clone(), error);
        let mut sheet =
            if wanted("csv") { Some(CsvTable::begin(open(&path)?, table).map_err(io)?) } else { None };
        if let Some(document) = &mut document {
            document.table(table).map_err(|error| Out::Io(json_path.clone(), error))?;
        }
        let count = desk
            .book()
            .walk(table, |values| {
                if let Some(sheet) = &mut sheet {
                    sheet.row(values).map_err(io)?;
                }
                if let Some(document) = &mut document {
                    document.row(table, values).map_err(|error| Out::Io(json_path.clone(), error))?;
                }
                Ok(())
            })
            .map_err(|error| match error {
                WalkError::Store(error) => Out::from(error),
                WalkError::Taker(error) => error,
            })?;
        if let Some(sheet) = sheet {
            finished(sheet.end().map_err(io)?, &path)?;
        }
        rows.insert(table.name.clone(), count.into());
    }
    if let Some(document) = document {
        finished(document.end().map_err(|error| Out::Io(json_path.clone(), error))?, &json_path)?;
    }
    let traces = traces(desk, folder, wanted)?;
    put(&folder.join("README.txt"), ABOUT.as_bytes())?;
    let manifest = json!({
        "schema": SCHEMA, "book": book, "tables": rows, "traces": traces, "files": hashes(folder)?,
    });
    put(
        &folder.join("manifest.json"),
        format!("{}\n", crate::report::json::escaped(&format!("{manifest:#}"))).as_bytes(),
    )?;
    Ok(manifest)
}

fn finished(mut file: BufWriter<File>, path: &Path) -> Result<(), Out> {
    use std::io::Write;
    file.flush().and_then(|()| file.get_ref().sync_all()).map_err(|error| Out::Io(path.to_path_buf(), error))
}

fn put(path: &Path, bytes: &[u8]) -> Result<(), Out> {
    std::fs::write(path, bytes).map_err(|error| Out::Io(path.to_path_buf(), error))
}

fn traces(desk: &Desk, folder: &Path, wanted: &dyn Fn(&str) -> bool) -> Result<Vec<Value>, Out> {
    let mut said = Vec::new();
    let (columns, raw) = (folder.join("traces"), folder.join("raw"));
    desk.each_trace(|trace: KeptTrace| {
        let make = |path: &Path| std::fs::create_dir_all(path).map_err(|error| Out::Io(path.to_path_buf(), error));
        let mut about = json!({
            "entry": trace.number, "firing": trace.firing, "casing": trace.casing, "file": trace.file, "sha256": trace.sha256,
        });
        if wanted("raw")
            && let Some(bytes) = &trace.raw
        {
            make(&raw)?;
            put(&raw.join(seal::sha256(bytes)), bytes)?;
        }
        match &trace.record {
            Ok(record) if wanted("parquet") => {
                make(&columns)?;
                let name = format!("trace-{:06}.parquet", trace.number);
                let channel = |channel: &Option<Channel>, unit: ChannelUnit| {
                    channel.as_ref().filter(|it| it.unit == unit).map(|it| it.values.clone())
                };
                let table = TraceColumns {
                    entry: trace.number,
                    firing: trace.firing.unwrap_or_default(),
                    casing: trace.casing.clone(),
                    thrust_n: channel(&record.thrust, ChannelUnit::N),
                    thrust_v: channel(&record.thrust, ChannelUnit::V),
                    pressure_pa: channel(&record.pressure, ChannelUnit::Pa),
                    pressure_v: channel(&record.pressure, ChannelUnit::V),
                    time_s: record.time_s.clone(),
                };
                let bytes = parquet(&table)
                    .map_err(|error| Out::Fault(Fault::input("out", format!("{name}: {error}"))))?;
                put(&columns.join(&name), &bytes)?;
                about["rows"] = record.time_s.len().into();
                about["parquet"] = format!("traces/{name}").into();
            }
            Ok(record) => about["rows"] = record.time_s.len().into(),
            Err(why) => about["not_read"] = why.clone().into(),
        }
        said.push(about);
        Ok::<(), Out>(())
    })?;
    Ok(said)
}

/// SHA-256 of every file written, by its path in the folder.
fn hashes(folder: &Path) -> Result<Value, Out> {
    let mut found = serde_json::Map::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(at) = open.pop() {
        let io = |error| Out::Io(at.clone(), error);
        for entry in std::fs::read_dir(&at).map_err(io)? {
            let path = entry.map_err(io)?.path();
            if path.is_dir() {
                open.push(path);
                continue;
            }
            let bytes = std::fs::read(&path).map_err(io)?;
            let name = path.strip_prefix(folder).unwrap_or(&path).to_string_lossy().replace('\\', "/");
            found.insert(name, seal::sha256(&bytes).into());
        }
    }
    Ok(Value::Object(found))
}
