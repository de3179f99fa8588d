//! The schedules: faces, edges, openings, materials, checks.

use super::Page;
use super::escape::escape;
use super::lines::Line;
use super::table::Table;
use crate::report::number::{count, counted, decimal, needed};
use crate::report::typeset::typeset;
use crate::report::{OutputUnits, Report};
use crate::roof::{COMPASS_POINTS, EdgeClass, Face, FaceId, compass_point};

/// Where water runs, in words: `south`, `north-west`, `level`.
pub(super) fn falls_to(page: &Page, face: &Face) -> &'static str {
    match face.downslope_deg() {
        None => "level",
        Some(bearing) => COMPASS_POINTS[compass_point(page.report.compass_deg(bearing))],
    }
}

/// Names of faces: `N1, W1`.
fn names(report: &Report<'_>, faces: &[FaceId]) -> String {
    let names: Vec<&str> = faces
        .iter()
        .map(|&id| report.roof().face(id).name.as_str())
        .collect();
    names.join(", ")
}

/// Unit of a length in a column's head; feet and inches carry their marks.
const fn in_unit(units: OutputUnits) -> &'static str {
    match units {
        OutputUnits::Feet => "",
        OutputUnits::Metres => " m",
    }
}

/// A length in a column headed with [`in_unit`].
fn figure(units: OutputUnits, feet: f64) -> String {
    match units {
        OutputUnits::Feet => units.length(feet),
        OutputUnits::Metres => units.schedule_length(feet),
    }
}

fn pick(kind: &str, index: usize, words: &str) -> String {
    format!(
        "<button type=\"button\" data-{kind}=\"{index}\">{}</button>",
        escape(words)
    )
}

fn row_of(kind: &str, index: usize) -> String {
    format!(" data-{kind}=\"{index}\"")
}

pub(super) fn faces(page: &Page) -> String {
    let (roof, units) = (page.report.roof(), page.report.units());
    let several_levels = roof.faces.iter().any(|f| f.level > 0);
    let mut table = Table::new("faces", "Schedule of faces")
        .words("Face")
        .words("Falls")
        .figures("Pitch");
    if several_levels {
        table = table.figures("Level");
    }
    let mut table = table
        .figures(format!("Plan {}", units.area_sign()))
        .figures(format!("True {}", units.area_sign()))
        .basis("Plan area is seen from above; true area lies on the slope: plan × √(1 + pitch²). Openings are taken out.");
    for (i, face) in roof.faces.iter().enumerate() {
        let mut cells = vec![
            pick("face", i, &face.name),
            falls_to(page, face).to_owned(),
            units.pitch(face.pitch),
        ];
        if several_levels {
            cells.push((face.level + 1).to_string());
        }
        cells.push(units.area(face.plan_area));
        cells.push(units.area(face.true_area));
        table.row(&row_of("face", i), &cells);
    }
    let mut cells = vec![
        counted(roof.faces.len(), "face"),
        String::new(),
        String::new(),
    ];
    if several_levels {
        cells.push(String::new());
    }
    cells.push(units.area(roof.plan_area()));
    cells.push(units.area(roof.true_area()));
    table.total(&cells);
    table.html()
}

/// A sample of a class's line.
fn sample(class: EdgeClass) -> String {
    let key = class.key();
    let extra = match class {
        EdgeClass::Rake => "<path class=\"rake-inner\" d=\"M0 10H56\"/>",
        EdgeClass::Headwall => {
            "<path class=\"tick\" d=\"M3 8V3M9 8V3M15 8V3M21 8V3M27 8V3M33 8V3M39 8V3M45 8V3M51 8V3\"/>"
        }
        EdgeClass::Sidewall => {
            "<path class=\"tick\" d=\"M3 8L6 3M9 8L12 3M15 8L18 3M21 8L24 3M27 8L30 3M33 8L36 3M39 8L42 3M45 8L48 3M51 8L54 3\"/>"
        }
        EdgeClass::HighEdge => {
            "<path class=\"tick\" d=\"M8 6L11 1L14 6ZM25 6L28 1L31 6ZM42 6L45 1L48 6Z\"/>"
        }
        _ => "",
    };
    format!(
        "<svg class=\"sample\" viewBox=\"0 0 56 14\" width=\"56\" height=\"14\" aria-hidden=\"true\">\
         <path class=\"line {key}\" d=\"M0 7H56\"/>{extra}</svg>"
    )
}

pub(super) fn edge_classes(page: &Page) -> String {
    let units = page.report.units();
    let basis = match units {
        OutputUnits::Feet => {
            "Decimal feet; lengths written 12′-6⅛″ are to the nearest ⅛ in. Level edges: plan and true are one."
        }
        OutputUnits::Metres => "Level edges: plan and true are one.",
    };
    let mut table = Table::new("edge-classes", "Edges by class")
        .words("Class")
        .words("Line")
        .figures("Number")
        .figures(format!("Plan {}", units.length_key()))
        .figures(format!("True {}", units.length_key()))
        .basis(basis);
    for class in EdgeClass::ALL {
        let all: Vec<&Line> = page
            .lines
            .iter()
            .filter(|l| l.chain.class == class)
            .collect();
        if all.is_empty() {
            continue;
        }
        table.row(
            "",
            &[
                class.words().to_owned(),
                sample(class),
                count(all.len()),
                units.schedule_length(all.iter().map(|l| l.chain.plan_ft).sum()),
                units.schedule_length(all.iter().map(|l| l.chain.true_ft).sum()),
            ],
        );
    }
    table.html()
}

pub(super) fn edges(page: &Page) -> String {
    let units = page.report.units();
    let unit = in_unit(units);
    let mut table = Table::new("edges", "Edges one by one")
        .words("Edge")
        .words("Faces")
        .figures(format!("Plan{unit}"))
        .figures(format!("Rise{unit}"))
        .figures(format!("True{unit}"));
    for (i, line) in page.lines.iter().enumerate() {
        let chain = &line.chain;
        table.row(
            &row_of("edge", i),
            &[
                pick("edge", i, chain.class.words()),
                escape(&names(page.report, &chain.faces)),
                figure(units, chain.plan_ft),
                figure(units, chain.rise_ft()),
                figure(units, chain.true_ft),
            ],
        );
    }
    table.html()
}

pub(super) fn openings(page: &Page) -> Option<String> {
    let (roof, units) = (page.report.roof(), page.report.units());
    if roof.openings.is_empty() {
        return None;
    }
    let unit = in_unit(units);
    let mut table = Table::new("openings", "Openings")
        .words("Opening")
        .words("Faces")
        .figures(format!("Width{unit}"))
        .figures(format!("Apron{unit}"))
        .figures(format!("Both sides{unit}"))
        .figures(format!("Head{unit}"))
        .basis("Width is measured square to the fall, in plan; apron, sides and head are true lengths of flashing below, beside and above.");
    for opening in &roof.openings {
        table.row(
            "",
            &[
                escape(&opening.kind),
                escape(&names(page.report, &opening.faces)),
                figure(units, opening.width.to_feet()),
                figure(units, opening.apron.to_feet()),
                figure(units, opening.sides.to_feet()),
                figure(units, opening.head.to_feet()),
            ],
        );
    }
    Some(table.html())
}

pub(super) fn penetrations(page: &Page) -> Option<String> {
    let (roof, units) = (page.report.roof(), page.report.units());
    if roof.penetrations.is_empty() {
        return None;
    }
    let mut table = Table::new("penetrations", "Pipes and vents")
        .words("Pipe")
        .words("Face")
        .figures("Diameter");
    for (i, pipe) in roof.penetrations.iter().enumerate() {
        let name = match &pipe.source.id {
            Some(id) => format!("{}, {id}", i + 1),
            None => (i + 1).to_string(),
        };
        table.row(
            "",
            &[
                escape(&name),
                escape(&roof.face(pipe.face).name),
                pipe.diameter
                    .map_or_else(|| "not stated".to_owned(), |d| units.small(d)),
            ],
        );
    }
    Some(table.html())
}

pub(super) fn courses(page: &Page) -> Option<String> {
    let courses = page.report.inputs().courses?;
    let mut table = Table::new(
        "courses",
        format!(
            "Shingles by face, {}",
            typeset(&courses.format.description)
        ),
    )
    .words("Face")
    .figures("Courses")
    .figures("Opened")
    .figures("Lower bound")
    .figures("Cuts")
    .figures("Offcuts used again")
    .basis("Whole shingles opened by the layout. The lower bound is proven: no layout under the same rules opens fewer.");
    for layout in &courses.faces {
        table.row(
            "",
            &[
                escape(&page.report.roof().face(layout.face).name),
                count(layout.courses),
                count(layout.opened),
                count(layout.bound),
                count(layout.cuts),
                count(layout.offcuts_reused),
            ],
        );
    }
    table.total(&[
        counted(courses.faces.len(), "face"),
        String::new(),
        count(courses.opened()),
        count(courses.bound()),
        count(courses.cuts()),
        count(courses.faces.iter().map(|f| f.offcuts_reused).sum()),
    ]);
    Some(table.html())
}

pub(super) fn materials(page: &Page) -> Option<String> {
    let list = page.report.inputs().materials?;
    let mut table = Table::new("materials", "Materials")
        .words("Item")
        .figures("Needed")
        .words("In")
        .figures("Order")
        .words("Unit")
        .words("How computed")
        .words("Source")
        .basis("Needed is exact; the order is rounded up once, to what is sold.");
    for line in &list.lines {
        table.row(
            "",
            &[
                escape(&typeset(&line.item)),
                needed(line.needed, &line.needed_unit, 2),
                escape(&line.needed_unit),
                format!("<strong>{}</strong>", decimal(line.quantity, 0)),
                escape(&line.unit),
                escape(&typeset(&line.basis)),
                escape(&typeset(&line.source)),
            ],
        );
    }
    Some(table.html())
}

pub(super) fn checks(page: &Page) -> Option<String> {
    let roof = page.report.roof();
    if roof.checks.is_empty() {
        return None;
    }
    let mut table = Table::new("checks", "Checks on the result")
        .words("Check")
        .figures("Largest residual")
        .figures("May be")
        .words("Holds");
    for check in &roof.checks {
        let units = page.report.units();
        let with_unit = |value: f64| escape(&units.of_check(value, check.unit));
        table.row(
            "",
            &[
                escape(&check.what),
                with_unit(check.residual),
                with_unit(check.limit),
                if check.holds() { "yes" } else { "no" }.to_owned(),
            ],
        );
    }
    Some(table.html())
}
