//! Rows as a Parquet file: one optional column each (INT64, DOUBLE, UTF-8), row groups of bounded size, zstd.

use crate::study::table::{Cell, Column, ColumnKind, Row};
use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical, ZstdLevel};
use parquet::data_type::{ByteArray, ByteArrayType, DataType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::types::Type;
use std::io::{self, Write};
use std::sync::Arc;

/// Most cells held before a row group is written.
const GROUP_CELLS: usize = 1 << 20;

/// A Parquet file under construction.
pub struct ParquetRows<W: Write + Send> {
    writer: SerializedFileWriter<W>,
    columns: Vec<Column>,
    rows: Vec<Row>,
    group_rows: usize,
}

impl<W: Write + Send> std::fmt::Debug for ParquetRows<W> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("ParquetRows").field("columns", &self.columns).field("held", &self.rows.len()).finish()
    }
}

fn io_error(error: ParquetError) -> io::Error {
    io::Error::other(error)
}

impl<W: Write + Send> ParquetRows<W> {
    /// Begins a file with these columns.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn new(out: W, columns: &[Column]) -> io::Result<ParquetRows<W>> {
        let fields = columns.iter().map(|column| {
            let (physical, logical) = match column.kind {
                ColumnKind::Count => (Physical::INT64, None),
                ColumnKind::Number => (Physical::DOUBLE, None),
                ColumnKind::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
            };
            Type::primitive_type_builder(&column.name, physical)
                .with_repetition(Repetition::OPTIONAL)
                .with_logical_type(logical)
                .build()
                .map(Arc::new)
        });
        let fields = fields.collect::<Result<Vec<_>, _>>().map_err(io_error)?;
        let schema = Type::group_type_builder("rows").with_fields(fields).build().map_err(io_error)?;
        let properties = WriterProperties::builder()
            .set_created_by(format!("brusharm {}", env!("CARGO_PKG_VERSION")))
            .set_compression(Compression::ZSTD(ZstdLevel::default()))
            .build();
        let writer =
            SerializedFileWriter::new(out, Arc::new(schema), Arc::new(properties)).map_err(io_error)?;
        let group_rows = (GROUP_CELLS / columns.len().max(1)).clamp(1000, 122_880);
        Ok(ParquetRows { writer, columns: columns.to_vec(), rows: Vec::new(), group_rows })
    }

    /// Adds a row.
    ///
    /// # Errors
    /// When a row group cannot be written.
    pub fn add(&mut self, row: &Row) -> io::Result<()> {
        self.rows.push(row.clone());
        if self.rows.len() >= self.group_rows { self.write_group() } else { Ok(()) }
    }

    fn write_group(&mut self) -> io::Result<()> {
        if self.rows.is_empty() {
            return Ok(());
        }
        let mut group = self.writer.next_row_group().map_err(io_error)?;
        for (i, column) in self.columns.iter().enumerate() {
            let cells = self.rows.iter().map(|row| row.get(i).unwrap_or(&Cell::Missing));
            match column.kind {
                ColumnKind::Count => write_column::<Int64Type, _>(&mut group, cells, |cell| match cell {
                    Cell::Count(count) => i64::try_from(*count).ok(),
                    _ => None,
                }),
                ColumnKind::Number => write_column::<DoubleType, _>(&mut group, cells, Cell::as_number),
                ColumnKind::Text => write_column::<ByteArrayType, _>(&mut group, cells, |cell| {
                    cell.as_text().map(ByteArray::from)
                }),
            }
            .map_err(io_error)?;
        }
        group.close().map_err(io_error)?;
        self.rows.clear();
        Ok(())
    }

    /// Writes what is left and the end of the file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn finish(mut self) -> io::Result<()> {
        self.write_group()?;
        self.writer.close().map_err(io_error)?;
        Ok(())
    }
}

fn write_column<'r, D: DataType, W: Write + Send>(
    group: &mut SerializedRowGroupWriter<'_, W>,
    cells: impl Iterator<Item = &'r Cell>,
    value: impl Fn(&Cell) -> Option<D::T>,
) -> Result<(), ParquetError> {
    let values: Vec<Option<D::T>> = cells.map(value).collect();
    let levels: Vec<i16> = values.iter().map(|v| i16::from(v.is_some())).collect();
    let present: Vec<D::T> = values.into_iter().flatten().collect();
    if let Some(mut column) = group.next_column()? {
        column.typed::<D>().write_batch(&present, Some(&levels), None)?;
        column.close()?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use parquet::file::reader::{FileReader, SerializedFileReader};
    use parquet::record::Field;

    #[test]
    fn verif_rows_come_back_from_several_groups() {
        let columns = [Column::count("row"), Column::text("vehicle"), Column::number("tail_gap_m")];
        let row = |n: u64| {
            let gap = if n.is_multiple_of(5) { None } else { Some(n as f64 / 7.0) };
            vec![
                Cell::Count(n),
                Cell::text(if n.is_multiple_of(3) { "" } else { "sedan «x»" }),
                Cell::number(gap),
            ]
        };
        let mut file = Vec::new();
        let mut rows = ParquetRows::new(&mut file, &columns).unwrap();
        rows.group_rows = 1000;
        (0..2500).for_each(|n| rows.add(&row(n)).unwrap());
        rows.finish().unwrap();
        let reader = SerializedFileReader::new(bytes_of(file)).unwrap();
        assert_eq!(reader.metadata().num_row_groups(), 3);
        let mut count = 0;
        for (n, found) in (0..).zip(reader.get_row_iter(None).unwrap()) {
            let found: Vec<Field> =
                found.unwrap().into_columns().into_iter().map(|(_, field)| field).collect();
            let expected: Vec<Field> = row(n)
                .into_iter()
                .map(|cell| match cell {
                    Cell::Missing => Field::Null,
                    Cell::Count(v) => Field::Long(v as i64),
                    Cell::Number(v) => Field::Double(v),
                    Cell::Text(text) => Field::Str(text),
                })
                .collect();
            assert_eq!(found, expected);
            count += 1;
        }
        assert_eq!(count, 2500);
    }

    fn bytes_of(file: Vec<u8>) -> std::fs::File {
        use std::io::Seek;
        let mut temporary = tempfile::tempfile().unwrap();
        temporary.write_all(&file).unwrap();
        temporary.rewind().unwrap();
        temporary
    }
}
