//! Shingle formats on one roof side by side: for a terminal, for a spreadsheet, for other programs.

use std::fmt::Write as _;

use serde::Serialize;

use super::typeset::wrap;
use super::{OutputUnits, json, number};
use crate::courses::{Compared, Comparison};
use crate::units::{Area, True};

/// The name and version of the layout.
const SCHEMA: &str = "eavewright.comparison/1";
/// Kilograms in an avoirdupois pound, by definition.
const KG_PER_LB: f64 = 0.453_592_37;

/// What a comparison leaves out, so that nobody looks for it there.
pub(crate) const LEFT_OUT: &str =
    "Starter, caps, breakage and spare bundles are no part of these figures.";

/// The comparison on a terminal of 80 columns.
pub fn comparison_table(comparison: &Comparison, units: OutputUnits) -> String {
    let mut out = String::new();
    let net = Area::<True>::square_feet(comparison.net_area_sqin / 144.0);
    let _ = writeln!(
        out,
        "{} {} net of roof to shingle = {} squares\n",
        units.area(net),
        units.area_sign(),
        number::decimal(net.to_squares(), 2)
    );
    shingles(comparison, &mut out);
    out.push('\n');
    work(comparison, units, &mut out);
    out.push('\n');
    for sentence in sentences(comparison) {
        wrap(&sentence, "", "", &mut out);
    }
    out
}

fn shingles(comparison: &Comparison, out: &mut String) {
    out.push_str(
        "format          a square   opened    bound  without  pieces bundles  waste   w/o\n\
         \x20                                            reuse    laid              %     %\n",
    );
    for c in &comparison.formats {
        let courses = &c.courses;
        let _ = writeln!(
            out,
            "{:<15}{:>9}{:>9}{:>9}{:>9}{:>8}{:>8}{:>7}{:>6}",
            courses.format.name,
            number::decimal(c.pieces_per_square, 2),
            number::count(courses.opened()),
            number::count(courses.bound()),
            number::count(courses.opened_without_reuse()),
            number::count(courses.pieces_laid()),
            number::count(c.bundles),
            number::decimal(courses.waste_percent(), 1),
            number::decimal(courses.waste_percent_without_reuse(), 1),
        );
    }
}

fn work(comparison: &Comparison, units: OutputUnits, out: &mut String) {
    let at = format!("at {}", comparison.like_for_like_nails_per_piece);
    let _ = writeln!(
        out,
        "format              cuts   nails    nails    nails  pieces     time   weight\n\
         \x20                         a piece             {at:>4}  against   saved  {:>6}\n\
         \x20                                                   first  squares",
        weight_unit(units)
    );
    for c in &comparison.formats {
        let _ = writeln!(
            out,
            "{:<16}{:>8}{:>8}{:>9}{:>9}{:>9}{:>9}{:>9}",
            c.courses.format.name,
            number::count(c.courses.cuts()),
            c.nails_per_piece,
            number::count(c.nails),
            number::count(c.nails_like_for_like),
            number::decimal(c.labour_ratio, 3),
            number::decimal(c.squares_of_time_saved, 1),
            c.weight_lb
                .map_or("–".to_owned(), |lb| number::decimal(weight(lb, units), 0)),
        );
    }
}

/// What must be said beside the figures.
pub(crate) fn sentences(comparison: &Comparison) -> Vec<String> {
    let mut said = Vec::new();
    for finding in &comparison.findings {
        said.push(finding.sentences());
    }
    if let Some(first) = comparison.formats.first() {
        said.push(format!(
            "Time is by pieces laid, each taking as long in every format, against {}: the squares of it that could be laid in the time saved (common practice, no source).",
            first.courses.format.name
        ));
    }
    said.extend(steep_nails(comparison));
    said.push(LEFT_OUT.to_owned());
    said
}

/// That pieces on steep faces take more nails than a piece has elsewhere, where some do.
fn steep_nails(comparison: &Comparison) -> Option<String> {
    let has_more = |c: &&Compared| c.nails > c.courses.pieces_laid() * c.nails_per_piece as usize;
    let steep = comparison.formats.iter().find(has_more)?;
    let above = steep.courses.choices.limits.steep_fastening_above?;
    Some(format!(
        "“Nails” counts more of them on faces over {}/12, the number for high wind.",
        number::rise_in_12(above.to_in_12())
    ))
}

const fn weight_unit(units: OutputUnits) -> &'static str {
    match units {
        OutputUnits::Feet => "lb",
        OutputUnits::Metres => "kg",
    }
}

pub(crate) fn weight(pounds: f64, units: OutputUnits) -> f64 {
    match units {
        OutputUnits::Feet => pounds,
        OutputUnits::Metres => pounds * KG_PER_LB,
    }
}

#[derive(Serialize)]
struct Out<'a> {
    schema: &'static str,
    units: UnitsOut,
    net_area: f64,
    like_for_like_nails_per_piece: u32,
    nails_like_for_like_needed: bool,
    formats: Vec<FormatOut<'a>>,
    sentences: Vec<String>,
    findings: Vec<json::FindingOut<'a>>,
}

#[derive(Serialize)]
struct UnitsOut {
    length: &'static str,
    area: &'static str,
    weight: &'static str,
}

#[derive(Serialize)]
struct FormatOut<'a> {
    format: &'a str,
    source: &'a str,
    width: f64,
    height: f64,
    exposure: f64,
    pieces_per_square: f64,
    pieces_opened: usize,
    pieces_bound: usize,
    pieces_without_reuse: usize,
    pieces_laid: usize,
    bundles: usize,
    cuts: usize,
    offcuts_reused: usize,
    waste_percent: f64,
    waste_percent_without_reuse: f64,
    nails_per_piece: u32,
    nails: usize,
    nails_like_for_like: usize,
    labour_ratio: f64,
    squares_of_time_saved: f64,
    weight: Option<f64>,
    /// The units of width, height and exposure, and of weight, in a table; JSON says its units once for all formats.
    #[serde(skip_serializing_if = "Option::is_none")]
    length_unit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    weight_unit: Option<&'static str>,
}

/// The comparison as JSON: full precision, nothing rounded.
pub fn comparison_json(comparison: &Comparison, units: OutputUnits) -> String {
    let out = Out {
        schema: SCHEMA,
        units: UnitsOut {
            length: units.length_key(),
            area: units.area_key(),
            weight: weight_unit(units),
        },
        net_area: comparison.net_area_sqin / 144.0 * units.per_square_foot(),
        like_for_like_nails_per_piece: comparison.like_for_like_nails_per_piece,
        nails_like_for_like_needed: comparison.nails_differ,
        formats: comparison
            .formats
            .iter()
            .map(|c| format_out(c, units))
            .collect(),
        sentences: sentences(comparison),
        findings: comparison
            .findings
            .iter()
            .map(|f| json::finding(f, units.per_foot()))
            .collect(),
    };
    json::written(&out)
}

fn format_out(c: &Compared, units: OutputUnits) -> FormatOut<'_> {
    let (courses, format) = (&c.courses, &c.courses.format);
    let length = |inches: f64| inches / 12.0 * units.per_foot();
    FormatOut {
        format: &format.name,
        source: &format.source.0,
        width: length(format.width_in),
        height: length(format.height_in),
        exposure: length(format.exposure_in),
        pieces_per_square: c.pieces_per_square,
        pieces_opened: courses.opened(),
        pieces_bound: courses.bound(),
        pieces_without_reuse: courses.opened_without_reuse(),
        pieces_laid: courses.pieces_laid(),
        bundles: c.bundles,
        cuts: courses.cuts(),
        offcuts_reused: courses.offcuts_reused(),
        waste_percent: courses.waste_percent(),
        waste_percent_without_reuse: courses.waste_percent_without_reuse(),
        nails_per_piece: c.nails_per_piece,
        nails: c.nails,
        nails_like_for_like: c.nails_like_for_like,
        labour_ratio: c.labour_ratio,
        squares_of_time_saved: c.squares_of_time_saved,
        weight: c.weight_lb.map(|lb| weight(lb, units)),
        length_unit: None,
        weight_unit: None,
    }
}

/// The comparison for a spreadsheet, as comma-separated values: one line a format, full precision, with its units at the end.
pub fn comparison_csv(comparison: &Comparison, units: OutputUnits) -> String {
    super::csv::written(|table| {
        let mut formats = comparison.formats.iter();
        formats.try_for_each(|c| {
            table.serialize(FormatOut {
                length_unit: Some(units.length_key()),
                weight_unit: Some(weight_unit(units)),
                ..format_out(c, units)
            })
        })
    })
}
