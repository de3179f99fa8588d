//! Two revisions drawn over each other: the new roof solid, the old one dashed in grey, changes numbered.

use super::{Revised, edge_at, edge_words, signed};
use crate::Finding;
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Fonts, Ink, Layer, Pen, TextStyle};
use crate::report::plan::{self, DrawingScale, Projection};
use crate::report::{number, svg as layered};
use crate::review::EdgeChange;

/// Room round the roofs, in mm.
const MARGIN: f64 = 16.0;
/// The longest side that they are drawn on, in mm.
const LONGEST: f64 = 360.0;
/// Narrower than this the words under the drawing would not fit.
const LEAST_WIDTH: f64 = 180.0;
/// From the side of an opening to the middle of its number, in mm.
const BESIDE: f64 = 4.2;
/// The old roof's lines.
const OLD: Pen = Pen::dashed(0.5, &[1.6, 1.0]).ink(Ink::Grey);

/// The drawing, with both roofs in layers of their own: 1 unit is 1 mm.
///
/// # Errors
/// A finding when there is no roof to draw.
pub fn svg(revised: &Revised<'_>) -> Result<String, Finding> {
    let roof = revised.old_roof();
    let laid = |p: Point| p + revised.revision.shift;
    let (Some(new), Some(old)) = (plan::extent(revised.new), plan::extent_of(roof)) else {
        return Err(Finding::error("no-roof", "There is no roof to draw."));
    };
    let old = (laid(old.0), laid(old.1));
    let low = Point::new(new.0.x.min(old.0.x), new.0.y.min(old.0.y));
    let high = Point::new(new.1.x.max(old.1.x), new.1.y.max(old.1.y));
    let extent = high - low;
    let fonts = Fonts::load()?;
    let units = revised.new.units();
    let scale = DrawingScale::fitting(units, extent, LONGEST, LONGEST).at_most_ratio(48.0);
    let k = scale.mm_per_foot();
    let width = (extent.x * k + 2.0 * MARGIN).max(LEAST_WIDTH);
    let mut canvas = Canvas::new(fonts);
    let style = TextStyle::new(2.2);
    let lines = words(revised, &canvas, style, width - 12.0);
    let foot = (lines.len() + 2) as f64 * style.pitch() + 12.0;
    let size = Vector::new(width, extent.y * k + 2.0 * MARGIN + foot);
    let area = Area::new(0.0, foot, size.x, size.y).inset(2.0);
    let projection = Projection::centred(scale, low, high, area);
    canvas.on(Layer::Hidden);
    for edge in &roof.edges {
        let [a, b] = [edge.start, edge.end].map(|p| projection.paper(laid(p.plan())));
        canvas.line(a, b, OLD);
    }
    for opening in &roof.openings {
        let corners = opening.outline.iter();
        canvas.ring(corners.map(|&p| projection.paper(laid(p))).collect(), OLD);
    }
    for pipe in &roof.penetrations {
        let radius = pipe.diameter.map_or(0.0, |d| d.to_feet() * k / 2.0);
        canvas.circle(
            projection.paper(laid(pipe.at)),
            radius.max(plan::linework::PIPE_RADIUS),
            OLD,
        );
    }
    let faces = revised.changed();
    let mut marks: Vec<(Point, usize)> = faces
        .filter_map(|(number, change)| Some((revised.at(change)?, number)))
        .collect();
    let cuts = revised.changed_cuts();
    marks.extend(
        cuts.filter_map(|(number, change)| {
            Some((revised.cut_mark_at(change, BESIDE / k)?, number))
        }),
    );
    // Beside the line, which would run through it.
    marks.extend(
        (revised.changed_edges())
            .map(|(number, change)| (edge_mark_at(change, BESIDE / k), number)),
    );
    plan::draw_marked(&mut canvas, revised.new, &projection, area, &marks);
    canvas.on(Layer::Tables);
    let mut y = foot - style.pitch();
    let sample = Point::new(6.0, y + 0.8);
    canvas.line(sample, sample + Vector::new(12.0, 0.0), Pen::new(0.7));
    let file = |r: &crate::report::Report<'_>| r.inputs().project.source_file.clone();
    let width = canvas.text_before(
        Point::new(20.0, y),
        style,
        &format!("new: {}", file(revised.new)),
    );
    let next = 20.0 + width + 8.0;
    canvas.line(
        Point::new(next, y + 0.8),
        Point::new(next + 12.0, y + 0.8),
        OLD,
    );
    canvas.text(
        Point::new(next + 14.0, y),
        style,
        &format!("old: {}; {}", file(revised.old), scale.words()),
    );
    y -= 0.6 * style.pitch();
    for line in lines {
        y -= style.pitch();
        canvas.text(Point::new(6.0, y), style, &line);
    }
    let title = format!("{} against {}", file(revised.new), file(revised.old));
    Ok(layered::write(&canvas, size, &title))
}

/// Where the number of an edge stands: square to it from its middle.
fn edge_mark_at(change: &EdgeChange, beside_ft: f64) -> Point {
    let [a, b] = change.ends;
    let aside = (b - a)
        .unit()
        .map_or(Vector::default(), |along| Vector::new(along.y, -along.x));
    edge_at(change) + aside * beside_ft
}

/// The changes as lines of text, each with its number.
fn words(revised: &Revised<'_>, canvas: &Canvas<'_>, style: TextStyle, width: f64) -> Vec<String> {
    let units = revised.new.units();
    let kk = units.per_square_foot();
    let mut out = Vec::new();
    for (n, change) in revised.changed() {
        let (old, new) = revised.true_sqft(change);
        let text = format!(
            "{n}  {}: {}. True area {} {}, {} before ({}).",
            revised.name(change),
            revised.all_words(change),
            number::decimal(new * kk, 1),
            units.area_sign(),
            number::decimal(old * kk, 1),
            signed((new - old) * kk, 1)
        );
        out.extend(canvas.wrap(style, &text, width));
    }
    for (n, change) in revised.changed_cuts() {
        let text = format!(
            "{n}  {}: {}.",
            revised.cut_name(change),
            revised.all_cut_words(change)
        );
        out.extend(canvas.wrap(style, &text, width));
    }
    for (n, change) in revised.changed_edges() {
        let text = format!("{n}  {}.", edge_words(change, units));
        out.extend(canvas.wrap(style, &text, width));
    }
    if out.is_empty() {
        let told = if revised.revision.is_rescaled() {
            "No face, opening or pipe changed but by the scale."
        } else {
            "No face, opening or pipe changed."
        };
        out.push(told.to_owned());
    }
    out
}
