//! The tables over all plans, gathered from their records in the order of their names.

use std::io::{BufWriter, Write as _};
use std::path::{Path, PathBuf};

use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

use eavewright::batch::{CsvTable, ParquetTable, Rows, Table, rows};

use super::super::Failure;
use super::super::bounded::Bounded;
use super::super::output;
use super::find::{Found, Plan};
use super::store::{RECORD, Store, unwritable};

/// Records read together, by all cores: what is in memory at a time.
const RECORDS_AT_ONCE: usize = 256;

type File = BufWriter<Bounded<tempfile::NamedTempFile>>;

struct Pair {
    table: Table,
    csv: (PathBuf, CsvTable<File>),
    parquet: (PathBuf, ParquetTable<File>),
}

/// Writes all tables, each whole or not at all, and says which.
pub(super) fn tables(found: &Found, store: &Store) -> Result<Vec<String>, Failure> {
    let mut pairs = Vec::new();
    for table in Table::ALL {
        let csv = store.table(table.name(), "csv");
        let parquet = store.table(table.name(), "parquet");
        let csv_out = file(&csv)?;
        let parquet_out = file(&parquet)?;
        pairs.push(Pair {
            table,
            csv: (
                csv.clone(),
                CsvTable::new(table, csv_out).map_err(|e| failed(&csv, &e))?,
            ),
            parquet: (
                parquet.clone(),
                ParquetTable::new(table, parquet_out).map_err(|e| failed(&parquet, &e))?,
            ),
        });
    }
    for plans in found.plans.chunks(RECORDS_AT_ONCE) {
        let read: Result<Vec<Rows>, Failure> =
            plans.par_iter().map(|plan| read(plan, store)).collect();
        for of_plan in read? {
            for pair in &mut pairs {
                add(pair, &of_plan)?;
            }
        }
    }
    finish(pairs)
}

fn read(plan: &Plan, store: &Store) -> Result<Rows, Failure> {
    let path = store.path(plan, RECORD);
    let read = (store.record(plan).map_err(|e| e.to_string())).and_then(|text| rows(&text));
    read.map_err(|why| {
        let told = format!(
            "The record {} cannot be read: {why}. Delete it and give the same command again.",
            path.display()
        );
        Failure::usage("record-unreadable", told)
    })
}

fn add(pair: &mut Pair, of_plan: &Rows) -> Result<(), Failure> {
    for row in of_plan.of(pair.table) {
        pair.csv.1.add(row).map_err(|e| failed(&pair.csv.0, &e))?;
        (pair.parquet.1.add(row)).map_err(|e| failed(&pair.parquet.0, &e))?;
    }
    Ok(())
}

/// All tables are complete beside their places before the first is put into its place.
fn finish(pairs: Vec<Pair>) -> Result<Vec<String>, Failure> {
    let mut complete = Vec::new();
    for Pair { csv, parquet, .. } in pairs {
        let out = csv.1.finish().map_err(|e| failed(&csv.0, &e))?;
        complete.push((csv.0, out));
        let out = parquet.1.finish().map_err(|e| failed(&parquet.0, &e))?;
        complete.push((parquet.0, out));
    }
    let mut staged = Vec::new();
    for (path, mut out) in complete {
        let flushed = out
            .flush()
            .and_then(|()| out.get_ref().file().as_file().sync_all());
        flushed.map_err(|e| unwritable(&path, &e))?;
        let file = out.into_inner().map_err(|e| unwritable(&path, e.error()))?;
        staged.push((path, file.into_file()));
    }
    let mut names = Vec::new();
    for (path, file) in staged {
        output::put(file, &path).map_err(|e| unwritable(&path, &e))?;
        names.push(path.display().to_string());
    }
    Ok(names)
}

fn file(path: &Path) -> Result<File, Failure> {
    output::beside(path)
        .map(|file| BufWriter::new(Bounded::new(file)))
        .map_err(|e| unwritable(path, &e))
}

fn failed(path: &Path, why: &str) -> Failure {
    unwritable(path, &std::io::Error::other(why.to_owned()))
}
