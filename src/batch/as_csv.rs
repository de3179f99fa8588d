//! A table as comma-separated values, quoted as RFC 4180 quotes them, lines ended by a line feed alone: numbers at full
//! precision with a decimal point wherever the program runs, a missing value empty.

use std::io::Write;

use super::columns::{Table, Value};

/// A table that is being written.
pub struct CsvTable<W: Write> {
    out: csv::Writer<W>,
}

impl<W: Write> CsvTable<W> {
    /// Writes the heading.
    ///
    /// # Errors
    /// Why it could not be written.
    pub fn new(table: Table, out: W) -> Result<Self, String> {
        let mut out = csv::Writer::from_writer(out);
        out.write_record(table.columns().iter().map(|c| c.name))
            .map_err(|e| e.to_string())?;
        Ok(Self { out })
    }

    /// Writes one row.
    ///
    /// # Errors
    /// Why it could not be written.
    pub fn add(&mut self, row: &[Value]) -> Result<(), String> {
        self.out
            .write_record(row.iter().map(cell))
            .map_err(|e| e.to_string())
    }

    /// Ends the table and hands back what it was written into.
    ///
    /// # Errors
    /// Why it could not be written.
    pub fn finish(self) -> Result<W, String> {
        self.out.into_inner().map_err(|e| e.to_string())
    }
}

fn cell(value: &Value) -> String {
    match value {
        Value::Text(text) => text.clone().unwrap_or_default(),
        Value::Number(number) => number.map(|n| n.to_string()).unwrap_or_default(),
        Value::Count(count) => count.map(|n| n.to_string()).unwrap_or_default(),
    }
}
