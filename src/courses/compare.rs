//! The same roof laid in several formats, to be put side by side.

use std::collections::BTreeSet;

use crate::roof::Roof;
use crate::{Finding, Severity};

use super::{Choices, Courses, LayRules, ShingleFormat};

/// The same roof laid in several formats. The first is the one that the others are measured against.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// One entry a format that could be laid, in the order asked for.
    pub formats: Vec<Compared>,
    /// Net area that is covered in shingles, in square inches on the slope.
    pub net_area_sqin: f64,
    /// Nails a piece that [`Compared::nails_like_for_like`] counts with in every format: the most that any of them
    /// takes.
    pub like_for_like_nails_per_piece: u32,
    /// Whether the formats are counted with different numbers of nails a piece, so that [`Compared::nails`] are not
    /// like for like.
    pub nails_differ: bool,
    /// What was noticed: formats that could not be laid, nails that are not like for like.
    pub findings: Vec<Finding>,
}

/// One format on the roof. Whole shingles opened (with reuse, without, and the proven bound), pieces laid and cuts
/// are in [`Courses`]. No starter, caps, breakage or spare bundle is in any figure.
#[derive(Clone, Debug)]
pub struct Compared {
    /// The layout.
    pub courses: Courses,
    /// Pieces to cover 100 ft² without waste.
    pub pieces_per_square: f64,
    /// Whole bundles, rounded up once for the roof.
    pub bundles: usize,
    /// Nails a piece that were counted with, on faces that are not steep.
    pub nails_per_piece: u32,
    /// Nails in all pieces laid, cut ones too; steep faces with the number that they take.
    pub nails: usize,
    /// Nails in all pieces laid at one number a piece for every format compared.
    pub nails_like_for_like: usize,
    /// Weight of the shingles opened, in pounds; `None` where the format does not state it.
    pub weight_lb: Option<f64>,
    /// Pieces laid for each piece laid of the first format: how the time for laying compares, where a piece takes
    /// the same time in any format.
    pub labour_ratio: f64,
    /// The time saved against the first format, in squares of it: what it takes to lay so many squares. Negative
    /// where laying takes longer.
    pub squares_of_time_saved: f64,
}

/// Lays the roof in each of the formats. All are counted with `nails_per_piece` where it is given, else each with
/// its own number for the wind zone and the slope: then counts of nails are like for like only where those numbers
/// are the same, and a finding says so.
///
/// A format that cannot be laid under the rules is left out, told as a warning.
///
/// # Errors
/// Every reason, where no format can be laid.
pub fn compare(
    roof: &Roof,
    formats: &[ShingleFormat],
    rules: &LayRules,
    choices: &Choices,
    nails_per_piece: Option<u32>,
) -> Result<Comparison, Vec<Finding>> {
    let mut laid: Vec<Courses> = Vec::new();
    let mut findings = Vec::new();
    for format in formats {
        match Courses::lay(roof, format, rules, choices) {
            Ok(courses) => laid.push(courses),
            Err(reasons) => findings.extend(reasons.into_iter().map(|r| left_out(format, r))),
        }
    }
    let Some(first) = laid.first() else {
        for finding in &mut findings {
            finding.severity = Severity::Error;
        }
        return Err(findings);
    };
    let net_area_sqin = first.net_area_sqin();
    let squares = net_area_sqin / 14_400.0;
    let first_laid = first.pieces_laid() as f64;
    let each = |c: &Courses| nails_per_piece.unwrap_or_else(|| c.nails_per_piece());
    let most = laid.iter().map(each).max().unwrap_or(0);
    let nails_differ = laid.iter().any(|c| each(c) != most);
    let formats: Vec<Compared> = laid
        .into_iter()
        .map(|courses| {
            let pieces = courses.pieces_laid();
            let ratio = if first_laid > 0.0 {
                pieces as f64 / first_laid
            } else {
                1.0
            };
            Compared {
                pieces_per_square: courses.format.pieces_per_square(),
                bundles: courses.bundles(),
                nails_per_piece: each(&courses),
                nails: nails_per_piece.map_or_else(|| courses.nails(roof), |n| pieces * n as usize),
                nails_like_for_like: pieces * most as usize,
                weight_lb: courses.weight_lb(),
                labour_ratio: ratio,
                squares_of_time_saved: (1.0 - ratio) * squares,
                courses,
            }
        })
        .collect();
    if nails_differ {
        findings.push(not_alike(&formats, most));
    }
    Ok(Comparison {
        formats,
        net_area_sqin,
        like_for_like_nails_per_piece: most,
        nails_differ,
        findings,
    })
}

fn left_out(format: &ShingleFormat, mut reason: Finding) -> Finding {
    reason.severity = Severity::Warning;
    reason.message = format!("{} is not compared: {}", format.name, reason.message);
    reason
}

fn not_alike(formats: &[Compared], most: u32) -> Finding {
    let with = |wanted: &dyn Fn(u32) -> bool| {
        let names: Vec<String> = formats
            .iter()
            .filter(|c| wanted(c.nails_per_piece))
            .map(|c| format!("{} ({})", c.courses.format.name, c.nails_per_piece))
            .collect();
        names.join(", ")
    };
    let fewer: BTreeSet<u32> = (formats.iter().map(|c| c.nails_per_piece))
        .filter(|n| *n < most)
        .collect();
    let fewer: Vec<String> = fewer.iter().map(u32::to_string).collect();
    Finding::note(
        "nails-not-like-for-like",
        format!(
            "The formats are not nailed alike: {} a piece against {}. A comparison of {} nails with {most} is not like for like; the column with {most} nails in every piece is.",
            with(&|n| n < most),
            with(&|n| n == most),
            fewer.join(" or ")
        ),
    )
    .remedy("State one number of nails a piece for all of them.")
}
