//! A table as Apache Parquet, for programs that work on many plans' tables at once.

use std::io::Write;
use std::mem;
use std::sync::Arc;

use parquet::basic::{LogicalType, Repetition, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::Type;

use super::columns::{Column, Kind, Table, Value};

/// Rows held before they are written together: enough for readers to skip well, few enough (a few megabytes) that
/// memory does not grow with the batch.
const ROWS_A_GROUP: usize = 16_384;

/// A table that is being written.
pub struct ParquetTable<W: Write + Send> {
    columns: &'static [Column],
    held: Vec<Vec<Value>>,
    out: SerializedFileWriter<W>,
}

impl<W: Write + Send> ParquetTable<W> {
    /// Starts the table.
    ///
    /// # Errors
    /// Why it could not be written.
    pub fn new(table: Table, out: W) -> Result<Self, String> {
        let columns = table.columns();
        let fields = columns.iter().map(field).collect::<Result<_, _>>();
        let schema = fields.and_then(|fields| {
            Type::group_type_builder(table.name())
                .with_fields(fields)
                .build()
        });
        let properties = WriterProperties::builder()
            .set_created_by(format!("eavewright {}", env!("CARGO_PKG_VERSION")))
            .build();
        let out = schema.and_then(|schema| {
            SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties))
        });
        Ok(Self {
            columns,
            held: Vec::new(),
            out: out.map_err(told)?,
        })
    }

    /// Adds one row.
    ///
    /// # Errors
    /// Why it could not be written.
    pub fn add(&mut self, row: &[Value]) -> Result<(), String> {
        self.held.push(row.to_vec());
        if self.held.len() >= ROWS_A_GROUP {
            self.write_group().map_err(told)?;
        }
        Ok(())
    }

    /// Ends the table and hands back what it was written into.
    ///
    /// # Errors
    /// Why it could not be written.
    pub fn finish(mut self) -> Result<W, String> {
        if !self.held.is_empty() {
            self.write_group().map_err(told)?;
        }
        self.out.into_inner().map_err(told)
    }

    fn write_group(&mut self) -> Result<(), ParquetError> {
        let rows = mem::take(&mut self.held);
        let mut group = self.out.next_row_group()?;
        for (n, column) in self.columns.iter().enumerate() {
            let cells = rows.iter().map(|row| &row[n]);
            match column.kind {
                Kind::Text => write_column::<ByteArrayType, _>(&mut group, cells.map(text))?,
                Kind::Number => write_column::<DoubleType, _>(&mut group, cells.map(number))?,
                Kind::Count => write_column::<Int64Type, _>(&mut group, cells.map(count))?,
            }
        }
        group.close()?;
        Ok(())
    }
}

fn told(error: ParquetError) -> String {
    error.to_string()
}

fn field(column: &Column) -> Result<Arc<Type>, ParquetError> {
    let (physical, logical) = match column.kind {
        Kind::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        Kind::Number => (Physical::DOUBLE, None),
        Kind::Count => (Physical::INT64, None),
    };
    Type::primitive_type_builder(column.name, physical)
        .with_logical_type(logical)
        .with_repetition(Repetition::OPTIONAL)
        .build()
        .map(Arc::new)
}

/// Writes the values that are there, and for every row whether it has one: definition level 1, else 0.
fn write_column<T: DataType, W: Write + Send>(
    group: &mut SerializedRowGroupWriter<'_, W>,
    cells: impl Iterator<Item = Option<T::T>>,
) -> Result<(), ParquetError> {
    let mut values = Vec::new();
    let mut there = Vec::new();
    for cell in cells {
        there.push(i16::from(cell.is_some()));
        values.extend(cell);
    }
    if let Some(mut column) = group.next_column()? {
        column
            .typed::<T>()
            .write_batch(&values, Some(&there), None)?;
        column.close()?;
    }
    Ok(())
}

fn text(value: &Value) -> Option<ByteArray> {
    match value {
        Value::Text(text) => text.as_deref().map(ByteArray::from),
        Value::Number(_) | Value::Count(_) => None,
    }
}

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => *number,
        Value::Text(_) | Value::Count(_) => None,
    }
}

fn count(value: &Value) -> Option<i64> {
    match value {
        Value::Count(count) => *count,
        Value::Text(_) | Value::Number(_) => None,
    }
}
