//! The roof seen from above, drawn to a standard scale: edges by line type, names, lengths, dimensions.

pub(crate) mod chain;
pub(crate) mod details;
mod dimensions;
pub(crate) mod division;
mod edge_labels;
mod face_block;
mod face_labels;
pub(crate) mod finding_marks;
mod furniture;
pub(crate) mod hidden;
pub(crate) mod line_types;
pub(crate) mod linework;
pub(crate) mod match_lines;
pub(crate) mod place;
pub(crate) mod scale;
pub(crate) mod seen;

pub(crate) use chain::Chain;
pub(crate) use furniture::{BAR_LONGEST, key, key_and_bar, key_height, north_by, scale_bar};
pub(crate) use scale::{DrawingScale, Projection};

use std::collections::BTreeMap;

use face_labels::Leaders;
use place::Field;

use super::Report;
use super::canvas::{Align, Area, Canvas, Fonts, Layer, Text, TextStyle};
use crate::geometry::{Point, Vector};
use crate::roof::{LEVEL_RISE_FT, Roof};

/// What is drawn: the whole roof, or a part of it.
#[derive(Clone, Debug)]
pub(crate) struct Scope {
    /// Straight edges, cut to the part.
    pub(crate) chains: Vec<Chain>,
    /// Indices of the faces.
    pub(crate) faces: Vec<usize>,
    /// `None` for the whole roof.
    pub(crate) part: Option<details::Part>,
    /// Parts that are drawn larger elsewhere: what lies in them is lettered here only where it needs no leader.
    pub(crate) elsewhere: Vec<details::Part>,
}

impl Scope {
    /// The whole roof.
    pub(crate) fn whole(report: &Report<'_>) -> Self {
        Self {
            chains: chain::chains(report.roof()),
            faces: (0..report.roof().faces.len()).collect(),
            part: None,
            elsewhere: Vec::new(),
        }
    }
    /// Whether all of these points are drawn larger elsewhere.
    fn is_elsewhere(&self, points: impl Iterator<Item = Point> + Clone) -> bool {
        let holds = |part: &details::Part| points.clone().all(|p| part.holds(p));
        self.elsewhere.iter().any(holds)
    }
}

/// What a drawn plan could not label within its area.
#[derive(Clone, Debug, Default)]
pub(crate) struct Unplaced {
    /// Chains without their length.
    pub(crate) chains: Vec<Chain>,
    /// Faces without their name.
    pub(crate) faces: Vec<usize>,
}

impl Unplaced {
    /// How much is missing.
    pub(crate) fn len(&self) -> usize {
        self.chains.len() + self.faces.len()
    }
}

/// A plan on paper, before what depends on its labels is added.
pub(crate) struct Drawn {
    field: Field,
    pub(crate) unplaced: Unplaced,
}

impl Drawn {
    /// Marks the parts that are drawn larger elsewhere; where their names stand, each no longer than `longest`.
    pub(crate) fn mark_details(
        &mut self,
        canvas: &mut Canvas<'_>,
        projection: &Projection,
        parts: &[details::Part],
        longest: &details::LongestName,
    ) -> Vec<details::NamePlace> {
        details::mark(canvas, &mut self.field, projection, parts, longest)
    }
    /// Room of a size in mm that nothing stands in, taken; its top left corner.
    pub(crate) fn take_room(&mut self, width: f64, height: f64) -> Option<Point> {
        self.field.take_room(width, height)
    }
    /// Marks the places of findings, all of them or those in a part.
    pub(crate) fn mark_findings(
        &mut self,
        canvas: &mut Canvas<'_>,
        report: &Report<'_>,
        part: Option<&details::Part>,
        projection: &Projection,
    ) {
        finding_marks::draw(canvas, report, part, projection, &mut self.field);
    }
    /// Draws the north mark where there is room; over `kept`, in the middle of 15 × 11 mm, where there is none.
    pub(crate) fn north(
        &mut self,
        canvas: &mut Canvas<'_>,
        report: &Report<'_>,
        projection: &Projection,
        kept: Point,
    ) {
        furniture::north(canvas, report, projection, &mut self.field, kept);
    }
}

/// Draws the plan, or a part of it, with its labels into an area.
pub(crate) fn draw(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    scope: &Scope,
    projection: &Projection,
    area: Area,
    text: f64,
) -> Drawn {
    let mut field = Field::new(area);
    linework::draw(canvas, report.roof(), scope, projection, &mut field);
    let unplaced = label(canvas, report, scope, projection, &mut field, text);
    Drawn { field, unplaced }
}

/// Names, dimensions and lengths; returns those that found no place.
fn label(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    scope: &Scope,
    projection: &Projection,
    field: &mut Field,
    text: f64,
) -> Unplaced {
    let pending = face_labels::draw(canvas, report, scope, projection, field, text);
    let dimensioned = dimensions::draw(canvas, report, &scope.chains, projection, field, text);
    if scope.part.is_none() {
        let chains = (&scope.chains[..], true);
        dimensions::overall(canvas, report, chains, projection, field, text);
    }
    let left: Vec<Chain> = scope
        .chains
        .iter()
        .enumerate()
        .filter(|(i, _)| !dimensioned.contains(i))
        .filter_map(|(_, chain)| chain.lettered())
        .collect();
    let chains = edge_labels::draw(canvas, report, (scope, left), projection, field, text);
    let faces = face_labels::draw_with_leaders(
        canvas,
        report,
        (scope, pending),
        projection,
        field,
        text,
        Leaders::Near,
    );
    Unplaced { chains, faces }
}

/// Draws by `draw`, then once more without the leaders that details make needless: what finds no place the first time is
/// drawn larger, and the labels beside it with it.
pub(crate) fn clear_of_details<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    scope: &Scope,
    projection: &Projection,
    enlargeable: impl Fn(Vec<details::Part>) -> Vec<details::Part>,
    draw: impl Fn(&mut Canvas<'f>, &Scope) -> Drawn,
) -> (Canvas<'f>, Drawn, Vec<details::Part>) {
    let mut canvas = Canvas::new(fonts);
    let drawn = draw(&mut canvas, scope);
    let parts = enlargeable(details::parts(report, &drawn.unplaced, projection));
    if parts.is_empty() {
        return (canvas, drawn, parts);
    }
    let scope = Scope {
        elsewhere: parts.clone(),
        ..scope.clone()
    };
    let mut canvas = Canvas::new(fonts);
    let drawn = draw(&mut canvas, &scope);
    (canvas, drawn, parts)
}

/// The level edges whose length stands nowhere among these texts; those of sloping edges stand in their schedule.
pub(crate) fn unlettered(
    report: &Report<'_>,
    chains: &[Chain],
    texts: &std::collections::BTreeSet<&str>,
) -> Vec<Chain> {
    let lettered = chains.iter().filter_map(Chain::lettered);
    lettered
        .filter(|chain| chain.rise_ft() <= LEVEL_RISE_FT)
        .filter(|chain| {
            let words = edge_labels::words(report, chain);
            !texts.contains(words.as_str()) && !texts.contains(format!("{words} in all").as_str())
        })
        .collect()
}

/// Draws one section of a divided roof, with its match lines; `sheet_of` tells the sheet of a section.
pub(crate) fn draw_section(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    (division, index): (&division::Division, usize),
    sheet_of: impl Fn(usize) -> usize,
    scope: &Scope,
    area: Area,
    text: f64,
) -> (Drawn, Projection) {
    let part = division.sections[index].part;
    let projection = Projection::centred(division.scale, part.low, part.high, area);
    let mut field = Field::new(area);
    linework::draw(canvas, report.roof(), scope, &projection, &mut field);
    let meetings = division.meetings(index);
    match_lines::draw(canvas, &meetings, sheet_of, &projection, &mut field, text);
    let unplaced = label(canvas, report, scope, &projection, &mut field, text);
    (Drawn { field, unplaced }, projection)
}

/// Draws a divided roof as a whole: names, overall dimensions, and the match lines with the sheet of every section.
pub(crate) fn draw_overall(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    division: &division::Division,
    sheet_of: impl Fn(usize) -> usize,
    projection: &Projection,
    area: Area,
    text: f64,
) -> Drawn {
    let mut field = Field::new(area);
    let scope = Scope::whole(report);
    linework::draw(canvas, report.roof(), &scope, projection, &mut field);
    match_lines::draw_all(canvas, division, &sheet_of, projection, &mut field, text);
    let pending = face_labels::draw(canvas, report, &scope, projection, &mut field, text);
    let chains = (&scope.chains[..], false);
    dimensions::overall(canvas, report, chains, projection, &mut field, text);
    let nameless = face_labels::draw_with_leaders(
        canvas,
        report,
        (&scope, pending),
        projection,
        &mut field,
        text,
        Leaders::Far,
    );
    named_elsewhere(canvas, report, (division, nameless), sheet_of, &mut field);
    Drawn {
        field,
        unplaced: Unplaced::default(),
    }
}

/// Writes which sheets name the faces that found no room for their name on the plan of the whole.
fn named_elsewhere(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    (division, nameless): (&division::Division, Vec<usize>),
    sheet_of: impl Fn(usize) -> usize,
    field: &mut Field,
) {
    let roof = report.roof();
    let mut by_sheets: BTreeMap<Vec<usize>, Vec<&str>> = BTreeMap::new();
    for face in nameless {
        let parts = division.sections.iter().enumerate();
        let sheets = parts
            .filter(|(_, section)| seen::seen(roof, face, Some(&section.part)).is_some())
            .map(|(index, _)| sheet_of(index))
            .collect();
        let names = by_sheets.entry(sheets).or_default();
        names.push(&roof.faces[face].name);
    }
    for (sheets, names) in by_sheets {
        let numbers: Vec<String> = sheets.iter().map(usize::to_string).collect();
        let sheets = if numbers.len() == 1 {
            "sheet"
        } else {
            "sheets"
        };
        let words = format!(
            "{}: named on {sheets} {}",
            names.join(", "),
            numbers.join(", ")
        );
        let style = TextStyle::new(1.8);
        let (width, height) = (canvas.width(style, &words), style.height);
        if let Some(corner) = field.take_room(width, height + 1.0) {
            let base = corner - Vector::new(0.0, height);
            canvas.on(Layer::FaceNames).text(base, style, &words);
        }
    }
}

/// Draws the plan without lengths: lines, face names, texts of the traced drawing where they stand, and the places of
/// findings.
pub(crate) fn draw_for_review(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    projection: &Projection,
    area: Area,
    texts: &[(Point, &str)],
) {
    let mut field = Field::new(area);
    let scope = Scope::whole(report);
    linework::draw(canvas, report.roof(), &scope, projection, &mut field);
    let style = TextStyle::new(1.8).align(Align::Middle).halo(0.9);
    for (at, words) in texts {
        let base = projection.paper(*at) - Vector::new(0.0, style.height / 2.0);
        let text = Text::new(canvas.fonts, base, style, words);
        field.add_box(place::Slanted::of(&text));
        canvas.on(Layer::EdgeLabels).put_text(text);
    }
    name_faces(
        canvas,
        report,
        &scope,
        projection,
        (&mut field, REVIEW_TEXT),
    );
    finding_marks::draw(canvas, report, None, projection, &mut field);
}

/// Draws the plan for its findings alone: no length is in their way, and names stand where they leave room.
pub(crate) fn draw_findings(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    projection: &Projection,
    area: Area,
    text: f64,
) {
    let mut field = Field::new(area);
    let scope = Scope::whole(report);
    linework::draw(canvas, report.roof(), &scope, projection, &mut field);
    finding_marks::draw(canvas, report, None, projection, &mut field);
    name_faces(canvas, report, &scope, projection, (&mut field, text));
}

/// Draws the plan without lengths, with numbered marks at places of it.
pub(crate) fn draw_marked(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    projection: &Projection,
    area: Area,
    marks: &[(Point, usize)],
) {
    let mut field = Field::new(area);
    let scope = Scope::whole(report);
    linework::draw(canvas, report.roof(), &scope, projection, &mut field);
    // Before the names, which find room beside them: no mark is ever left out.
    for &(at, number) in marks {
        let center = projection.paper(at);
        let r = finding_marks::DIAMOND;
        canvas.on(Layer::Findings);
        finding_marks::diamond(canvas, center, number);
        let around = Area::new(center.x - r, center.y - r, center.x + r, center.y + r);
        field.add_box(place::Slanted::upright(around));
    }
    name_faces(
        canvas,
        report,
        &scope,
        projection,
        (&mut field, REVIEW_TEXT),
    );
}

/// Height of the names on a plan without lengths, in mm.
const REVIEW_TEXT: f64 = 1.8;

/// The names of faces on a plan without lengths.
fn name_faces(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    scope: &Scope,
    projection: &Projection,
    (field, text): (&mut Field, f64),
) {
    let pending = face_labels::draw(canvas, report, scope, projection, field, text);
    face_labels::draw_with_leaders(
        canvas,
        report,
        (scope, pending),
        projection,
        field,
        text,
        Leaders::Far,
    );
}

/// The corners of everything that the plan shows, in plan feet.
pub(crate) fn extent(report: &Report<'_>) -> Option<(Point, Point)> {
    extent_of(report.roof())
}

/// The same of a roof.
pub(crate) fn extent_of(roof: &Roof) -> Option<(Point, Point)> {
    let mut corners = roof
        .faces
        .iter()
        .flat_map(|face| &face.outline.corners)
        .map(|corner| corner.plan());
    let first = corners.next()?;
    Some(corners.fold((first, first), |(low, high), p| {
        (
            Point::new(low.x.min(p.x), low.y.min(p.y)),
            Point::new(high.x.max(p.x), high.y.max(p.y)),
        )
    }))
}
