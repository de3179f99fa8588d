//! The catalogue of shingle formats: the one that ships, and the user's own in the same shape.

use serde::Deserialize;

use crate::Finding;
use crate::units::number::decimal;

use super::format::{FormatSource, ShingleFormat};

const SHIPPED: &str = include_str!("formats.toml");
const INCHES_PER_MM: f64 = 1.0 / 25.4;
/// No shingle is longer or higher than this, in inches; no bundle has more pieces, no shingle more tabs or nails, and nobody
/// carries a bundle that is heavier: common practice, no source, with room to spare. What is more is a slip.
const LARGEST_IN: f64 = 48.0;
const MOST_PIECES: u32 = 500;
const MOST_TABS: u32 = 20;
const MOST_NAILS: u32 = 20;
const HEAVIEST_LB: f64 = 200.0;
/// Avoirdupois pounds in a kilogram, by definition of the pound as 0.453 592 37 kg (1959).
const POUNDS_PER_KG: f64 = 1.0 / 0.453_592_37;

/// The formats that ship with the program, in the order of the catalogue. All of them are common practice without a
/// source and carry no product's name.
///
/// ```
/// let formats = eavewright::courses::formats::shipped();
/// let strip = formats.iter().find(|f| f.name == "36x12").unwrap();
/// assert!((strip.pieces_per_square() - 80.0).abs() < 1e-9);
/// ```
pub fn shipped() -> Vec<ShingleFormat> {
    // The catalogue is part of the program, and a test reads it: there is no user to tell about it here.
    parse(SHIPPED).unwrap_or_default()
}

/// Reads a catalogue: TOML with one `[[format]]` table a format, as the shipped one.
pub fn parse(text: &str) -> Result<Vec<ShingleFormat>, Finding> {
    let catalogue: Catalogue = toml::from_str(text).map_err(|e| {
        Finding::error("format-catalogue", format!("the formats cannot be read: {e}")).remedy(
            "give each format a [[format]] table with name, width, height, exposure, pieces_per_bundle and source",
        )
    })?;
    Ok(catalogue.format)
}

/// The format of a name, from a job's own formats first, then from the shipped ones; or a finding that lists what
/// there is.
pub fn by_name(name: &str, own: &[ShingleFormat]) -> Result<ShingleFormat, Finding> {
    let all: Vec<ShingleFormat> = own.iter().cloned().chain(shipped()).collect();
    let found = all
        .iter()
        .find(|f| f.name.eq_ignore_ascii_case(name.trim()));
    found.cloned().ok_or_else(|| {
        let names: Vec<&str> = all.iter().map(|f| f.name.as_str()).collect();
        Finding::error(
            "format-unknown",
            format!("there is no shingle format called \"{name}\""),
        )
        .remedy(format!(
            "choose one of {}, or add a format of your own to the job file",
            names.join(", ")
        ))
    })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Catalogue {
    #[serde(default)]
    format: Vec<ShingleFormat>,
}

/// The unit that an entry is written in.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
enum Unit {
    #[default]
    #[serde(rename = "in")]
    Inches,
    #[serde(rename = "mm")]
    Millimetres,
}

/// A format as it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Entry {
    name: String,
    #[serde(default)]
    description: String,
    #[serde(default)]
    unit: Unit,
    width: f64,
    height: f64,
    exposure: f64,
    pieces_per_bundle: u32,
    /// Pounds, or kilograms where the lengths are in millimetres.
    bundle_weight: Option<f64>,
    nails_per_piece: Option<u32>,
    nails_per_piece_high_wind: Option<u32>,
    nail_line: Option<f64>,
    nail_zone: Option<f64>,
    #[serde(default)]
    tabs: u32,
    #[serde(default)]
    plain_edge: bool,
    #[serde(default = "yes")]
    sealed: bool,
    source: String,
}

fn yes() -> bool {
    true
}

impl TryFrom<Entry> for ShingleFormat {
    type Error = String;

    fn try_from(entry: Entry) -> Result<Self, String> {
        let (length, weight) = match entry.unit {
            Unit::Inches => (1.0, 1.0),
            Unit::Millimetres => (INCHES_PER_MM, POUNDS_PER_KG),
        };
        let name = entry.name.trim().to_owned();
        let refuse = |what: &str| Err(format!("the format \"{name}\" {what}"));
        if name.is_empty() || name.contains(',') {
            return refuse("needs a name without a comma");
        }
        let sizes = [entry.width, entry.height, entry.exposure];
        if !sizes.iter().all(|s| s.is_finite() && *s > 0.0) {
            return refuse("needs a width, a height and an exposure above 0");
        }
        let largest_in = entry.width.max(entry.height) * length;
        if largest_in > LARGEST_IN + 1e-9 {
            return Err(format!(
                "the format \"{name}\" is {} in large, and {LARGEST_IN} in is the most that a shingle is: say `unit = \"mm\"` where its sizes are in millimetres",
                decimal(largest_in, 1)
            ));
        }
        if entry.exposure > entry.height {
            return refuse("has an exposure greater than its height");
        }
        let headlap = entry.height - 2.0 * entry.exposure;
        // What is less is nothing at the three places told.
        if headlap < -5e-4 {
            return Err(format!(
                "the format \"{name}\" shows more than half its height: its headlap, height less twice the exposure, would be {} {}, and water would reach the deck between the joints",
                decimal(headlap, 3),
                match entry.unit {
                    Unit::Inches => "in",
                    Unit::Millimetres => "mm",
                }
            ));
        }
        if entry.pieces_per_bundle == 0 {
            return refuse("needs at least one piece in a bundle");
        }
        if entry.pieces_per_bundle > MOST_PIECES || entry.tabs > MOST_TABS {
            return Err(format!(
                "the format \"{name}\" has more than {MOST_PIECES} pieces in a bundle, or more than {MOST_TABS} tabs"
            ));
        }
        let bundle_weight = entry.bundle_weight.unwrap_or(0.0);
        if !(bundle_weight.is_finite() && bundle_weight >= 0.0) {
            return refuse("has a bundle weight that is no weight");
        }
        if bundle_weight * weight > HEAVIEST_LB {
            return Err(format!(
                "the format \"{name}\" has a bundle heavier than {HEAVIEST_LB} pounds, which nobody carries"
            ));
        }
        let nails = entry.nails_per_piece.unwrap_or(4);
        let high_wind = entry.nails_per_piece_high_wind.unwrap_or(nails.max(6));
        if nails == 0 || high_wind < nails || high_wind > MOST_NAILS {
            return Err(format!(
                "the format \"{name}\" needs nails in every piece, no fewer in a high wind, and {MOST_NAILS} at most"
            ));
        }
        // Where the line is not given: just above the exposure, so that no nail shows.
        let nail_line = entry.nail_line.unwrap_or(entry.exposure + 0.5 / length);
        if !(nail_line.is_finite() && nail_line > 0.0 && nail_line < entry.height) {
            return refuse("has a nail line outside of its height");
        }
        let nail_zone = entry.nail_zone.unwrap_or(0.0);
        if !(nail_zone.is_finite() && nail_zone >= 0.0) {
            return refuse("has a nail zone that is no height");
        }
        Ok(Self {
            name,
            description: entry.description,
            width_in: entry.width * length,
            height_in: entry.height * length,
            exposure_in: entry.exposure * length,
            pieces_per_bundle: entry.pieces_per_bundle,
            bundle_weight_lb: bundle_weight * weight,
            nails_per_piece: nails,
            nails_per_piece_high_wind: high_wind,
            nail_line_in: nail_line * length,
            nail_zone_in: nail_zone * length,
            tabs: entry.tabs,
            plain_edge: entry.plain_edge,
            sealed: entry.sealed,
            metric: matches!(entry.unit, Unit::Millimetres),
            source: FormatSource(entry.source),
        })
    }
}
