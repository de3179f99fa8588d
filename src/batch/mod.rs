//! Many plans at once, as far as it is pure: what a plan is called, whose share it is, what its finished record says,
//! and the tables that are gathered from the records. Reads the machine-readable takeoff like any script would, so
//! that a table says the same whether its plans were taken off just now or in an earlier run.

mod as_csv;
mod as_parquet;
mod columns;
mod key;
mod name;
mod record;
mod rows;
mod shard;

pub use as_csv::CsvTable;
pub use as_parquet::ParquetTable;
pub use columns::{Column, Kind, Table, Value};
pub use key::content_key;
pub use name::{file_stem, plan_name, without_ending};
pub use record::{Header, Outcome, Record};
pub use rows::{Rows, reasons, rows};
pub use shard::Shard;
