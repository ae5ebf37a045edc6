//! A trace as Parquet: every file the same columns, so that `traces/*.parquet` reads as one table.

use std::sync::Arc;

use parquet::basic::{Compression, GzipLevel};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::parser::parse_message_type;

/// Rows a group holds: a reader may take one group at a time.
const GROUP: usize = 1 << 20;

const SCHEMA: &str = "
    message trace {
        REQUIRED INT64 entry;
        REQUIRED INT64 firing;
        REQUIRED BINARY casing (UTF8);
        REQUIRED DOUBLE time_s;
        OPTIONAL DOUBLE thrust_n;
        OPTIONAL DOUBLE thrust_v;
        OPTIONAL DOUBLE pressure_pa;
        OPTIONAL DOUBLE pressure_v;
    }";

/// One trace as columns; every one as long as `time_s`. What is not a number is written as nothing.
#[derive(Clone, Debug, Default)]
pub struct TraceColumns {
    /// The entry of the trace.
    pub entry: i64,
    /// The entry of the firing.
    pub firing: i64,
    /// The casing.
    pub casing: String,
    /// Seconds as the file counts them.
    pub time_s: Vec<f64>,
    /// Newton, as read: the tare is not taken off.
    pub thrust_n: Option<Vec<f64>>,
    /// Volt, where nobody gave a calibration.
    pub thrust_v: Option<Vec<f64>>,
    /// Pascals above the atmosphere, as read.
    pub pressure_pa: Option<Vec<f64>>,
    /// Volt, where nobody gave a calibration.
    pub pressure_v: Option<Vec<f64>>,
}

/// The bytes of a Parquet file.
///
/// # Errors
/// The columns are of different lengths.
pub fn parquet(trace: &TraceColumns) -> Result<Vec<u8>, ParquetError> {
    let properties = WriterProperties::builder()
        .set_compression(Compression::GZIP(GzipLevel::default()))
        .set_created_by(concat!("proofmark ", env!("CARGO_PKG_VERSION")).to_owned())
        .build();
    let schema = Arc::new(parse_message_type(SCHEMA)?);
    let mut bytes = Vec::new();
    let mut writer = SerializedFileWriter::new(&mut bytes, schema, Arc::new(properties))?;
    let rows = trace.time_s.len();
    let mut from = 0;
    while from < rows || from == 0 {
        let to = (from + GROUP).min(rows);
        let count = to - from;
        let mut group = writer.next_row_group()?;
        for number in [trace.entry, trace.firing] {
            if let Some(mut column) = group.next_column()? {
                column.typed::<Int64Type>().write_batch(&vec![number; count], None, None)?;
                column.close()?;
            }
        }
        if let Some(mut column) = group.next_column()? {
            let casing = ByteArray::from(trace.casing.as_str());
            column.typed::<ByteArrayType>().write_batch(&vec![casing; count], None, None)?;
            column.close()?;
        }
        if let Some(mut column) = group.next_column()? {
            column.typed::<DoubleType>().write_batch(&trace.time_s[from..to], None, None)?;
            column.close()?;
        }
        for values in [&trace.thrust_n, &trace.thrust_v, &trace.pressure_pa, &trace.pressure_v] {
            let Some(mut column) = group.next_column()? else { continue };
            let part = values.as_ref().and_then(|values| values.get(from..to)).unwrap_or(&[]);
            let known: Vec<f64> = part.iter().copied().filter(|it| it.is_finite()).collect();
            let mut levels: Vec<i16> = part.iter().map(|it| i16::from(it.is_finite())).collect();
            levels.resize(count, 0);
            column.typed::<DoubleType>().write_batch(&known, Some(&levels), None)?;
            column.close()?;
        }
        group.close()?;
        from = to.max(1);
    }
    writer.close()?;
    Ok(bytes)
}
