//! The closing check in plain sums: what anybody can add up by hand from the printed figures.

use std::collections::BTreeMap;

use super::table::{Column, Table};
use crate::geometry::{Point, ring};
use crate::report::{OutputUnits, Report, number, summary};
use crate::roof::{Ring, Roof, Side};

/// What encloses the faces of a level, in square feet of plan.
#[derive(Clone, Copy, Debug, Default)]
struct Level {
    faces: f64,
    openings: f64,
    outline: f64,
}

/// By level: the faces as they stand in the schedule; the openings cut out of them and the outer edges, both from the
/// sides of the rings. Sides that two faces share cancel, if the faces fit together.
fn levels(roof: &Roof) -> BTreeMap<u32, Level> {
    let origin = roof
        .faces
        .first()
        .and_then(|face| face.outline.corners.first())
        .map_or(Point::default(), |corner| corner.plan());
    let mut levels: BTreeMap<u32, Level> = BTreeMap::new();
    for face in &roof.faces {
        let level = levels.entry(face.level).or_default();
        level.faces += face.plan_area.to_square_feet();
        for ring in std::iter::once(&face.outline).chain(&face.holes) {
            add_sides(roof, ring, origin, level);
        }
    }
    levels
}

fn add_sides(roof: &Roof, ring: &Ring, origin: Point, level: &mut Level) {
    let count = ring.corners.len();
    for (i, side) in ring.sides.iter().enumerate() {
        let a = ring.corners[i].plan() - origin;
        let b = ring.corners[(i + 1) % count].plan() - origin;
        let swept = a.cross(b) / 2.0;
        match side {
            Side::Edge(id) if roof.edge(*id).faces.len() == 1 => level.outline += swept,
            Side::Edge(_) => {}
            // Round an opening the faces run clockwise.
            Side::Opening(_) => level.openings -= swept,
        }
    }
}

/// By how much rows as printed differ from their printed total, two places each, in the unit of the rows.
pub(super) fn off_as_printed(rows: impl Iterator<Item = f64>) -> f64 {
    let (printed, exact) = rows.fold((0.0, 0.0), |(printed, exact), row| {
        (printed + number::rounded(row, 2), exact + row)
    });
    number::rounded(printed - number::rounded(exact, 2), 2)
}

/// Says so where rows as printed do not add up.
pub(super) fn rounding_note(
    offs: impl IntoIterator<Item = f64>,
    units: OutputUnits,
) -> Option<String> {
    let largest = offs.into_iter().map(f64::abs).fold(0.0, f64::max);
    (largest > 0.0).then(|| {
        format!(
            "Totals add the unrounded areas; the rows as printed differ by up to {} {}.",
            number::decimal(largest, 2),
            units.area_sign()
        )
    })
}

/// The plan: faces and openings make up what the outer edges enclose.
pub(super) fn plan(report: &Report<'_>) -> Table {
    let units = report.units();
    let mut table = Table::new(
        "Closing check of the plan",
        vec![
            Column::words("").grows(1.0),
            Column::figures(match units {
                OutputUnits::Feet => "Plan ft²",
                OutputUnits::Metres => "Plan m²",
            }),
        ],
    );
    let area = |feet: f64| number::decimal(feet * units.per_square_foot(), 2);
    let levels = levels(report.roof());
    for (level, sums) in &levels {
        let of = if levels.len() > 1 {
            format!(" of level L{}", level + 1)
        } else {
            String::new()
        };
        table.rows.push(vec![
            format!("Faces{of}, added up").into(),
            area(sums.faces).into(),
        ]);
        if sums.openings.abs() > 0.005 {
            table.rows.push(vec![
                "plus the openings cut out of them".into(),
                area(sums.openings).into(),
            ]);
        }
        table.rows.push(vec![
            format!("Inside of the outer edges{of}").into(),
            area(sums.outline).into(),
        ]);
        table.rows.push(vec![
            "left over".into(),
            area(sums.faces + sums.openings - sums.outline).into(),
        ]);
    }
    table.notes = vec![
        "The last but one is swept along the outer edges alone, corner by corner, and knows nothing of the faces."
            .to_owned(),
    ];
    let k = units.per_square_foot();
    let offs = levels.values().map(|sums| {
        let parts = [sums.faces, sums.openings, -sums.outline];
        off_as_printed(parts.into_iter().map(|part| part * k))
    });
    table.notes.extend(rounding_note(offs, units));
    table
}

/// The slope: plan times factor against the areas of the faces in space.
pub(super) fn slope(report: &Report<'_>) -> Table {
    let units = report.units();
    let mut table = Table::new(
        "Closing check of the slopes",
        vec![
            Column::words("Pitch").bold(),
            Column::figures("Plan"),
            Column::figures("Factor"),
            Column::figures("Plan × factor"),
            Column::figures("True"),
            Column::figures("In space"),
        ],
    );
    table.subject = units.area_sign().to_owned();
    let area = |feet: f64| number::decimal(feet * units.per_square_foot(), 2);
    let mut totals = [0.0; 4];
    for (pitch, faces) in summary::by_pitch(report) {
        let plan: f64 = faces.iter().map(|f| f.plan_area.to_square_feet()).sum();
        let on_slope: f64 = faces.iter().map(|f| f.true_area.to_square_feet()).sum();
        let in_space: f64 = faces
            .iter()
            .map(|face| {
                let holes: f64 = face
                    .holes
                    .iter()
                    .map(|h| ring::newell_area(&h.corners))
                    .sum();
                ring::newell_area(&face.outline.corners) - holes
            })
            .sum();
        let product = plan * pitch.slope_factor();
        for (total, part) in totals.iter_mut().zip([plan, product, on_slope, in_space]) {
            *total += part;
        }
        table.rows.push(vec![
            units.pitch(pitch).into(),
            area(plan).into(),
            number::decimal(pitch.slope_factor(), 5).into(),
            area(product).into(),
            area(on_slope).into(),
            area(in_space).into(),
        ]);
    }
    let [plan, product, on_slope, in_space] = totals;
    table.total = Some(vec![
        "Roof".into(),
        area(plan).into(),
        "".into(),
        area(product).into(),
        area(on_slope).into(),
        area(in_space).into(),
    ]);
    table.notes = vec![
        "Factor: √(1 + m²), m being rise over run. In space: from the heights of the corners, without any factor."
            .to_owned(),
    ];
    table
}
