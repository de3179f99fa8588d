//! The schedules: faces, edges, openings, materials, checks.

use super::HtmlInputs;
use super::escape::escape;
use super::number::{decimal, pitch};
use super::table::Table;
use crate::roof::{Edge, EdgeClass, Face, Roof};

/// Where water runs, in words: `south`, `north-west`, `level`.
pub(super) fn falls_to(face: &Face) -> &'static str {
    const POINTS: [&str; 8] = [
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
    ];
    match face.downslope_deg() {
        None => "level",
        Some(bearing) => POINTS[((bearing / 45.0).round() as usize) % 8],
    }
}

/// The names of an edge's faces: `N1, W1`.
pub(super) fn faces_of(roof: &Roof, edge: &Edge) -> String {
    let names: Vec<&str> = edge
        .faces
        .iter()
        .map(|&id| roof.face(id).name.as_str())
        .collect();
    names.join(", ")
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

pub(super) fn faces(inputs: &HtmlInputs) -> String {
    let (roof, units) = (inputs.roof, inputs.units);
    let several_levels = roof.faces.iter().any(|f| f.level > 0);
    let mut table = Table::new("faces", "Schedule of faces")
        .words("Face")
        .words("Falls")
        .figures("Pitch");
    if several_levels {
        table = table.figures("Level");
    }
    let mut table = table
        .figures(format!("Plan {}", units.area_unit()))
        .figures(format!("True {}", units.area_unit()))
        .basis("Plan area is seen from above; true area lies on the slope: plan × √(1 + pitch²). Openings are taken out.");
    for (i, face) in roof.faces.iter().enumerate() {
        let mut cells = vec![
            pick("face", i, &face.name),
            falls_to(face).to_owned(),
            pitch(face),
        ];
        if several_levels {
            cells.push((face.level + 1).to_string());
        }
        cells.push(units.area_figure(face.plan_area));
        cells.push(units.area_figure(face.true_area));
        table.row(&row_of("face", i), &cells);
    }
    let mut cells = vec![
        count(roof.faces.len(), "face"),
        String::new(),
        String::new(),
    ];
    if several_levels {
        cells.push(String::new());
    }
    cells.push(units.area_figure(roof.plan_area()));
    cells.push(units.area_figure(roof.true_area()));
    table.total(&cells);
    table.html()
}

/// `1 face`, `3 faces`.
pub(super) fn count(n: usize, word: &str) -> String {
    let s = if n == 1 { "" } else { "s" };
    format!("{} {word}{s}", decimal(n as f64, 0))
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

pub(super) fn edge_classes(inputs: &HtmlInputs) -> String {
    let (roof, units) = (inputs.roof, inputs.units);
    let mut table = Table::new("edge-classes", "Edges by class")
        .words("Class")
        .words("Line")
        .figures("Number")
        .figures(format!("Plan {}", units.length_unit()))
        .figures(format!("True {}", units.length_unit()))
        .basis("Lengths come from the planes, to the nearest ⅛ in. Level edges: plan and true are one.");
    if units == super::Units::Metric {
        table = table.basis("Lengths come from the planes. Level edges: plan and true are one.");
    }
    for class in EdgeClass::ALL {
        let all: Vec<&Edge> = roof.edges.iter().filter(|e| e.class == class).collect();
        if all.is_empty() {
            continue;
        }
        table.row(
            "",
            &[
                class.words().to_owned(),
                sample(class),
                all.len().to_string(),
                units.length_figure(all.iter().map(|e| e.plan_length).sum()),
                units.length_figure(roof.true_length(class)),
            ],
        );
    }
    table.html()
}

pub(super) fn edges(inputs: &HtmlInputs) -> String {
    let (roof, units) = (inputs.roof, inputs.units);
    let mut table = Table::new("edges", "Edges one by one")
        .words("Edge")
        .words("Faces")
        .figures(format!("Plan {}", units.length_unit()))
        .figures(format!("Rise {}", units.length_unit()))
        .figures(format!("True {}", units.length_unit()));
    for class in EdgeClass::ALL {
        for (i, edge) in roof.edges.iter().enumerate() {
            if edge.class != class {
                continue;
            }
            let rise = crate::units::Length::<crate::units::Vertical>::feet(
                (edge.end.z - edge.start.z).abs(),
            );
            table.row(
                &row_of("edge", i),
                &[
                    pick("edge", i, class.words()),
                    escape(&faces_of(roof, edge)),
                    units.length_figure(edge.plan_length),
                    units.length_figure(rise),
                    units.length_figure(edge.true_length),
                ],
            );
        }
    }
    table.html()
}

pub(super) fn openings(inputs: &HtmlInputs) -> Option<String> {
    let (roof, units) = (inputs.roof, inputs.units);
    if roof.openings.is_empty() {
        return None;
    }
    let unit = units.length_unit();
    let mut table = Table::new("openings", "Openings")
        .words("Opening")
        .words("Faces")
        .figures(format!("Width {unit}"))
        .figures(format!("Apron {unit}"))
        .figures(format!("Sides {unit}"))
        .figures(format!("Head {unit}"))
        .basis("Width is measured square to the fall, in plan; apron, sides and head are true lengths of flashing below, beside and above.");
    for opening in &roof.openings {
        let names: Vec<&str> = opening
            .faces
            .iter()
            .map(|&f| roof.face(f).name.as_str())
            .collect();
        table.row(
            "",
            &[
                escape(&opening.kind),
                escape(&names.join(", ")),
                units.length_figure(opening.width),
                units.length_figure(opening.apron),
                units.length_figure(opening.sides),
                units.length_figure(opening.head),
            ],
        );
    }
    Some(table.html())
}

pub(super) fn penetrations(inputs: &HtmlInputs) -> Option<String> {
    let (roof, units) = (inputs.roof, inputs.units);
    if roof.penetrations.is_empty() {
        return None;
    }
    let mut table = Table::new("penetrations", "Pipes and vents")
        .words("Element")
        .words("Face")
        .figures("Diameter");
    for pipe in &roof.penetrations {
        let name = pipe.source.id.as_deref().unwrap_or(&pipe.source.tag);
        table.row(
            "",
            &[
                escape(name),
                escape(&roof.face(pipe.face).name),
                pipe.diameter
                    .map_or_else(|| "not stated".to_owned(), |d| units.small_length(d)),
            ],
        );
    }
    Some(table.html())
}

pub(super) fn courses(inputs: &HtmlInputs) -> Option<String> {
    let courses = inputs.courses?;
    let mut table = Table::new(
        "courses",
        format!("Shingles by face, {}", courses.format.description),
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
                escape(&inputs.roof.face(layout.face).name),
                whole(layout.courses),
                whole(layout.opened),
                whole(layout.bound),
                whole(layout.cuts),
                whole(layout.offcuts_reused),
            ],
        );
    }
    table.total(&[
        count(courses.faces.len(), "face"),
        String::new(),
        whole(courses.opened()),
        whole(courses.bound()),
        whole(courses.cuts()),
        whole(courses.faces.iter().map(|f| f.offcuts_reused).sum()),
    ]);
    Some(table.html())
}

fn whole(n: usize) -> String {
    decimal(n as f64, 0)
}

pub(super) fn materials(inputs: &HtmlInputs) -> Option<String> {
    let list = inputs.materials?;
    let mut table = Table::new("materials", "Materials")
        .words("Item")
        .figures("Needed")
        .words("")
        .figures("Order")
        .words("Unit")
        .words("How computed")
        .words("Source")
        .basis("Needed is exact; the order is rounded up once, to what is sold.");
    for line in &list.lines {
        table.row(
            "",
            &[
                escape(&line.item),
                decimal(line.needed, 2),
                escape(&line.needed_unit),
                format!("<strong>{}</strong>", decimal(line.quantity, 0)),
                escape(&line.unit),
                escape(&line.basis),
                escape(&line.source),
            ],
        );
    }
    Some(table.html())
}

pub(super) fn checks(inputs: &HtmlInputs) -> Option<String> {
    let roof = inputs.roof;
    if roof.checks.is_empty() {
        return None;
    }
    let mut table = Table::new("checks", "Checks on the result")
        .words("Check")
        .figures("Largest residual")
        .figures("May be")
        .words("Holds");
    for check in &roof.checks {
        let with_unit = |value: f64| format!("{} {}", decimal(value, 4), escape(check.unit));
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
