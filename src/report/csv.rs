//! The takeoff as one table for a spreadsheet: what to order first, then faces, edges and totals, each line saying
//! what it is. Full precision, a point as the decimal mark, no thousands separators.

use super::Report;
use crate::roof::EdgeClass;

/// The heads. A line fills those that mean something for it.
const HEADS: [&str; 17] = [
    "record",
    "name",
    "faces",
    "pitch_in_12",
    "plan",
    "true",
    "unit",
    "needed",
    "needed_unit",
    "order",
    "order_unit",
    "basis",
    "source",
    "key",
    "consumed",
    "left_over",
    "price_key",
];

/// Places of a head in [`HEADS`].
mod column {
    pub(super) const RECORD: usize = 0;
    pub(super) const NAME: usize = 1;
    pub(super) const FACES: usize = 2;
    pub(super) const PITCH: usize = 3;
    pub(super) const PLAN: usize = 4;
    pub(super) const TRUE: usize = 5;
    pub(super) const UNIT: usize = 6;
    pub(super) const NEEDED: usize = 7;
    pub(super) const NEEDED_UNIT: usize = 8;
    pub(super) const ORDER: usize = 9;
    pub(super) const ORDER_UNIT: usize = 10;
    pub(super) const BASIS: usize = 11;
    pub(super) const SOURCE: usize = 12;
    pub(super) const KEY: usize = 13;
    pub(super) const CONSUMED: usize = 14;
    pub(super) const LEFT_OVER: usize = 15;
    pub(super) const PRICE_KEY: usize = 16;
}

type Row = [String; HEADS.len()];

/// The takeoff as comma-separated values, a heading line first: one line an item to order (`material`), then one a
/// `face`, an `edge`, an edge class (`total_length`), and the whole roof (`total_area`, `squares`).
pub fn csv(report: &Report<'_>) -> String {
    let mut rows = materials(report)
        .chain(faces(report))
        .chain(edges(report))
        .chain(totals(report));
    written(|table| {
        table.write_record(HEADS)?;
        rows.try_for_each(|row| table.write_record(&row))
    })
}

/// Comma-separated values, quoted as RFC 4180 quotes them; lines end in a line feed alone.
///
/// Writing to memory fails only where lines have unlike numbers of fields, and none does.
pub(super) fn written(
    fill: impl FnOnce(&mut ::csv::Writer<Vec<u8>>) -> ::csv::Result<()>,
) -> String {
    let mut table = ::csv::Writer::from_writer(Vec::new());
    let filled = fill(&mut table);
    debug_assert!(filled.is_ok(), "{filled:?}");
    String::from_utf8(table.into_inner().unwrap_or_default()).unwrap_or_default()
}

fn row(record: &str, name: &str, cells: impl IntoIterator<Item = (usize, String)>) -> Row {
    let mut row = Row::default();
    row[column::RECORD] = record.to_owned();
    row[column::NAME] = name.to_owned();
    for (at, text) in cells {
        row[at] = text;
    }
    row
}

fn materials<'r>(report: &'r Report<'_>) -> impl Iterator<Item = Row> + 'r {
    let lines = report.inputs().materials.map_or(&[][..], |m| &m.lines);
    lines.iter().map(|line| {
        row(
            "material",
            &line.item,
            [
                (column::NEEDED, line.needed.to_string()),
                (column::NEEDED_UNIT, line.needed_unit.clone()),
                (column::ORDER, line.quantity.to_string()),
                (column::ORDER_UNIT, line.unit.clone()),
                (column::BASIS, line.basis.clone()),
                (column::SOURCE, line.source.clone()),
                (column::KEY, line.key.to_owned()),
                (column::CONSUMED, line.consumed.to_string()),
                (column::LEFT_OVER, line.left_over.to_string()),
                (column::PRICE_KEY, line.price_key()),
            ],
        )
    })
}

fn faces<'r>(report: &'r Report<'_>) -> impl Iterator<Item = Row> + 'r {
    let units = report.units();
    report.roof().faces.iter().map(move |face| {
        let area = |square_feet: f64| (square_feet * units.per_square_foot()).to_string();
        row(
            "face",
            &face.name,
            [
                (column::PITCH, face.pitch.to_in_12().to_string()),
                (column::PLAN, area(face.plan_area.to_square_feet())),
                (column::TRUE, area(face.true_area.to_square_feet())),
                (column::UNIT, units.area_key().to_owned()),
            ],
        )
    })
}

fn edges<'r>(report: &'r Report<'_>) -> impl Iterator<Item = Row> + 'r {
    let units = report.units();
    report.roof().edges.iter().map(move |edge| {
        let names: Vec<&str> = report.face_names(edge).collect();
        row(
            "edge",
            edge.class.key(),
            [
                (column::FACES, names.join(" ")),
                (
                    column::PLAN,
                    (edge.plan_length.to_feet() * units.per_foot()).to_string(),
                ),
                (
                    column::TRUE,
                    (edge.true_length.to_feet() * units.per_foot()).to_string(),
                ),
                (column::UNIT, units.length_key().to_owned()),
            ],
        )
    })
}

fn totals<'r>(report: &'r Report<'_>) -> impl Iterator<Item = Row> + 'r {
    let (roof, units) = (report.roof(), report.units());
    let lengths = EdgeClass::ALL.into_iter().map(move |class| {
        let of_class = || roof.edges.iter().filter(move |e| e.class == class);
        let plan: crate::units::Length<crate::units::Plan> =
            of_class().map(|e| e.plan_length).sum();
        row(
            "total_length",
            class.key(),
            [
                (
                    column::PLAN,
                    (plan.to_feet() * units.per_foot()).to_string(),
                ),
                (
                    column::TRUE,
                    (roof.true_length(class).to_feet() * units.per_foot()).to_string(),
                ),
                (column::UNIT, units.length_key().to_owned()),
            ],
        )
    });
    let k = units.per_square_foot();
    let area = row(
        "total_area",
        "roof",
        [
            (
                column::PLAN,
                (roof.plan_area().to_square_feet() * k).to_string(),
            ),
            (
                column::TRUE,
                (roof.true_area().to_square_feet() * k).to_string(),
            ),
            (column::UNIT, units.area_key().to_owned()),
        ],
    );
    let squares = row(
        "squares",
        "roof",
        [
            (column::TRUE, roof.true_area().to_squares().to_string()),
            (column::UNIT, "square".to_owned()),
        ],
    );
    lengths.chain([area, squares])
}
