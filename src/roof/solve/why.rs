//! Why each face falls as it does, in words for `--explain`.

use crate::geometry::Vector;

use super::alternatives::Search;
use super::ask::Doubt;
use super::sheet::Sheet;
use super::words;
use crate::units::METRES_PER_FOOT;

/// An edge this near to square to the fall (degrees) is said to be level.
const SQUARE_DEG: f64 = 5.0;

/// One sentence or two for each face of a sheet.
pub(super) fn reasons(
    sheet: &Sheet,
    search: &Search,
    doubts: &[Doubt],
    stepped: Option<&str>,
) -> Vec<String> {
    let face_edges = sheet.face_edges();
    (0..sheet.faces.len())
        .map(|face| {
            let mut text = reason(sheet, search, &face_edges[face], face);
            if sheet.faces[face].is_flat() {
                return text;
            }
            text += &sureness(&doubts[face], sheet.faces[face].arrow.is_some());
            if let Some(why) = stepped {
                text += &format!(" The roof has steps in height: {why}.");
            }
            text
        })
        .collect()
}

fn reason(sheet: &Sheet, search: &Search, edges: &[usize], face: usize) -> String {
    if sheet.faces[face].is_flat() {
        return "Level by its label.".to_string();
    }
    let g = search.best.roofing.planes[face].gradient;
    let mut parts = Vec::new();
    if sheet.faces[face].arrow.is_some() {
        parts.push("an arrow says so".to_string());
    }
    let (mut eave, mut high, mut ridge, mut valley) = (0.0, 0.0, 0.0, 0.0);
    for &index in edges {
        let edge = &sheet.edges[index];
        if !is_square(g, edge.along) {
            continue;
        }
        let into = if edge.left == Some(face) {
            edge.along.turn_left()
        } else {
            -edge.along.turn_left()
        };
        let towards = g.dot(into) > 0.0;
        *match (edge.both().is_some(), towards) {
            (false, true) => &mut eave,
            (false, false) => &mut high,
            (true, true) => &mut valley,
            (true, false) => &mut ridge,
        } += edge.length / METRES_PER_FOOT;
    }
    for (length, what) in [
        (eave, "outer edge below it, level, square to the fall"),
        (high, "outer edge above it, level, square to the fall"),
        (ridge, "shared edge above it, level, square to the fall"),
        (valley, "shared edge below it, level, square to the fall"),
    ] {
        if length > 0.0 {
            parts.push(format!("{} of {what}", words::feet(length)));
        }
    }
    if sheet.faces[face].slope.is_none() {
        parts.push(format!(
            "its pitch {} follows from its neighbours",
            words::pitch(g.length())
        ));
    }
    if parts.is_empty() {
        parts.push(
            "no edge is square to its fall; its plane is the one that meets its neighbours' planes"
                .to_string(),
        );
    }
    let mut text = parts.join("; ");
    if let Some(first) = text.get(..1) {
        let upper = first.to_uppercase();
        text.replace_range(..1, &upper);
    }
    text + "."
}

fn is_square(g: Vector, along: Vector) -> bool {
    g.dot(along).abs() <= SQUARE_DEG.to_radians().sin() * g.length()
}

fn sureness(doubt: &Doubt, arrow: bool) -> String {
    if arrow {
        String::new()
    } else if doubt.margin.is_finite() {
        format!(
            " The next likely roof with another fall here is e^{:.1} times less likely.",
            doubt.margin
        )
    } else {
        " No other fall fits its neighbours.".to_string()
    }
}
