//! The roof plan: the sheet that stands alone.

use super::frame::Frame;
use super::plan_details::{Details, longest_name};
use super::plan_sections::Sections;
use super::sums;
use super::table::{Column, Table, TableStyle};
use super::table_set::draw_whole;
use super::{Bound, Draft, Sheet, text_height};
use crate::geometry::{Point, Vector};
use crate::report::canvas::{Area, Canvas, Fonts, Layer, TextStyle};
use crate::report::pdf::Paper;
use crate::report::plan::{self, DrawingScale, Projection, Scope, division};
use crate::report::{OutputUnits, Report, number};
use crate::roof::compass_point;

/// Room round the roof for dimension lines and labels outside it, in mm.
pub(super) const DIMENSION_ROOM: f64 = 11.5;
/// Width of the column beside the plan, at the usual height of text.
const COLUMN: f64 = 86.0;
/// Between the plan and the column or the band.
const GAP: f64 = 5.0;

/// Where the schedule stands to the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Arrangement {
    Beside,
    Below,
    /// The schedule is too long for this sheet: it opens the next one.
    Elsewhere,
}

struct Arranged {
    arrangement: Arrangement,
    plan: Area,
    key: Area,
    column: Area,
    scale: DrawingScale,
}

impl Arranged {
    /// The key of line types and the scale bar.
    fn draw_key(&self, canvas: &mut Canvas<'_>, report: &Report<'_>) {
        plan::key_and_bar(canvas, report, self.key, self.scale);
    }
}

/// Draws the plan, on sheets numbered from `first`: with its details, or divided into sections where the roof is too long.
pub(super) fn draw<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    (paper, bound): (Paper, Bound<'_>),
    first: usize,
) -> Vec<Draft<'f>> {
    let Some((low, high)) = plan::extent(report) else {
        return Vec::new();
    };
    let size = paper.landscape();
    let text = text_height(size);
    let arranged = arrange(report, fonts, (size, bound), high - low);
    let projection = Projection::centred(arranged.scale, low, high, arranged.plan);
    let scope = Scope::whole(report);
    // The sections follow the plan, and the plan of the findings where there is one.
    let before = 1 + usize::from(plan::finding_marks::need_a_sheet(report));
    let sections = Sections::of(report, size, &scope, first + before);
    let area = arranged.plan;
    let draw_in = |canvas: &mut Canvas<'f>, scope: &Scope| match &sections {
        Some(sections) => plan::draw_overall(
            canvas,
            report,
            sections.division(),
            |index| sections.sheet_of(index),
            &projection,
            area,
            text,
        ),
        None => plan::draw(canvas, report, scope, &projection, area, text),
    };
    let details = Details::new(report, fonts, size, arranged.scale, &scope.chains);
    let enlargeable = |parts| details.enlargeable(parts);
    let (mut canvas, mut drawn, parts) =
        plan::clear_of_details(report, fonts, &scope, &projection, enlargeable, draw_in);
    if !plan::finding_marks::need_a_sheet(report) {
        drawn.mark_findings(&mut canvas, report, None, &projection);
    }
    let longest = longest_name(parts.len(), first + before);
    let names = drawn.mark_details(&mut canvas, &projection, &parts, &longest);
    let kept = plan::north_by(arranged.key);
    drawn.north(&mut canvas, report, &projection, kept);
    let sized = details.sized(&parts, 0, &names);
    let (here, apart) = details.on_plan(&mut canvas, &mut drawn, sized, 0);
    arranged.draw_key(&mut canvas, report);
    if arranged.arrangement != Arrangement::Elsewhere {
        column(&mut canvas, report, arranged.column, text, bound);
    }
    let mut sheets = vec![Draft {
        title: match sections {
            Some(_) => "Roof plan, overall".to_owned(),
            None => "Roof plan".to_owned(),
        },
        group: None,
        size,
        scale: arranged.scale.words(),
        canvas,
    }];
    if plan::finding_marks::need_a_sheet(report) {
        sheets.push(findings(report, fonts, size, &arranged, &projection));
    }
    let more = match sections {
        Some(sections) => sections.draw(report, fonts, &scope),
        None => {
            let next = (here.len(), first + before);
            let (more, there) = details.sheets(apart, next, &sheets);
            for name in here.iter().chain(&there) {
                name.write(&mut sheets[0].canvas, 0);
            }
            more
        }
    };
    sheets.extend(more);
    sheets
}

/// The findings on a plan of their own, which has the plan's zones.
fn findings<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    size: (f64, f64),
    arranged: &Arranged,
    projection: &Projection,
) -> Draft<'f> {
    let mut canvas = Canvas::new(fonts);
    let text = text_height(size);
    plan::draw_findings(&mut canvas, report, projection, arranged.plan, text);
    arranged.draw_key(&mut canvas, report);
    Draft {
        title: "Roof plan, findings".to_owned(),
        group: None,
        size,
        scale: arranged.scale.words(),
        canvas,
    }
}

/// Whether the schedule of faces is on the plan's sheet.
pub(super) fn holds_schedule(
    report: &Report<'_>,
    fonts: &Fonts,
    paper: Paper,
    bound: Bound<'_>,
) -> bool {
    if !bound.holds(Sheet::RoofPlan) {
        return false;
    }
    plan::extent(report).is_some_and(|(low, high)| {
        let arranged = arrange(report, fonts, (paper.landscape(), bound), high - low);
        arranged.arrangement != Arrangement::Elsewhere
    })
}

/// Tells the zone of the roof plan's sheet that a place of the plan is drawn in; `None` for a place that is not on it, and where
/// no roof plan is bound.
pub(super) fn zones(
    report: &Report<'_>,
    fonts: &Fonts,
    paper: Paper,
    bound: Bound<'_>,
) -> impl Fn(Point) -> Option<String> {
    let size = paper.landscape();
    let drawn = plan::extent(report).filter(|_| bound.holds(Sheet::RoofPlan));
    let shown = drawn.map(|(low, high)| {
        let arranged = arrange(report, fonts, (size, bound), high - low);
        let projection = Projection::centred(arranged.scale, low, high, arranged.plan);
        (arranged.plan, projection)
    });
    move |place| {
        let (plan, projection) = shown.as_ref()?;
        let at = projection.paper(place);
        plan.holds(at).then(|| Frame::of(size).zone(at)).flatten()
    }
}

/// The arrangement that lets the roof be drawn largest.
fn arrange(
    report: &Report<'_>,
    fonts: &Fonts,
    (size, bound): ((f64, f64), Bound<'_>),
    extent: Vector,
) -> Arranged {
    let content = Frame::of(size).content;
    let text = text_height(size);
    let column_width = COLUMN * text / 1.8;
    let key_width = content.width() - column_width - GAP;
    let key_height = plan::key_height(report, key_width).max(12.0);
    let mut scratch = Canvas::trial(fonts);
    let top = Area::new(0.0, 0.0, column_width, 1000.0);
    let column_height = 1000.0 - column(&mut scratch, report, top, text, bound);

    let choices = [
        Arrangement::Beside,
        Arrangement::Below,
        Arrangement::Elsewhere,
    ];
    let arranged = choices.into_iter().filter_map(|arrangement| {
        let (right, band) = match arrangement {
            Arrangement::Beside => (content.right - column_width - GAP, key_height),
            Arrangement::Below => (content.right, column_height.max(key_height)),
            Arrangement::Elsewhere => (content.right, key_height),
        };
        let fits = arrangement == Arrangement::Elsewhere || column_height <= content.height();
        let plan = Area {
            right,
            bottom: content.bottom + band + GAP,
            ..content
        };
        if !fits || plan.height() < 3.0 * DIMENSION_ROOM {
            return None;
        }
        let room = plan.inset(DIMENSION_ROOM);
        let scale = DrawingScale::fitting(report.units(), extent, room.width(), room.height());
        let column_top = match arrangement {
            Arrangement::Below => content.bottom + column_height,
            _ => content.top,
        };
        Some(Arranged {
            arrangement,
            plan,
            key: Area {
                top: content.bottom + key_height,
                right: right.min(content.right - column_width - GAP),
                ..content
            },
            column: Area {
                left: content.right - column_width,
                top: column_top,
                ..content
            },
            scale,
        })
    });
    // The first of those with the largest scale.
    let best = arranged.reduce(|best, next| {
        let keeps = best.arrangement != Arrangement::Elsewhere
            && next.arrangement == Arrangement::Elsewhere
            && best.scale.ratio <= division::smallest_ratio(report.units());
        if next.scale.ratio < best.scale.ratio && !keeps {
            next
        } else {
            best
        }
    });
    best.unwrap_or_else(|| Arranged {
        arrangement: Arrangement::Elsewhere,
        plan: content,
        key: content,
        column: content,
        scale: DrawingScale::fitting(report.units(), extent, content.width(), content.height()),
    })
}

/// Schedule, total and notes; returns the y under them.
fn column(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    area: Area,
    text: f64,
    bound: Bound<'_>,
) -> f64 {
    let style = TableStyle::new(text);
    let y = draw_whole(canvas, &faces(report), style, area);
    let y = squares(canvas, report, Point::new(area.left, y - 5.0), text);
    notes(
        canvas,
        report,
        Area {
            top: y - 6.0,
            ..area
        },
        text,
        bound,
    )
}

/// The schedule of faces.
pub(super) fn faces(report: &Report<'_>) -> Table {
    let (roof, units) = (report.roof(), report.units());
    let levels = roof.faces.iter().any(|face| face.level > 0);
    let (plan_head, true_head) = match units {
        OutputUnits::Feet => ("Plan ft²", "True ft²"),
        OutputUnits::Metres => ("Plan m²", "True m²"),
    };
    let mut columns = vec![Column::words("Face").bold()];
    if levels {
        columns.push(Column::words("Level"));
    }
    columns.push(Column::words("Falls"));
    columns.push(Column::figures("Pitch"));
    columns.push(Column::figures(plan_head));
    columns.push(Column::figures(true_head));
    let mut table = Table::new("Schedule of faces", columns);
    for face in &roof.faces {
        let mut row = vec![face.name.as_str().into()];
        if levels {
            row.push(format!("L{}", face.level + 1).into());
        }
        row.push(falls(report, face).into());
        row.push(units.pitch(face.pitch).into());
        row.push(units.area(face.plan_area).into());
        row.push(units.area(face.true_area).into());
        table.rows.push(row);
    }
    let mut total = vec![number::counted(roof.faces.len(), "face").into()];
    if levels {
        total.push("".into());
    }
    total.extend(["".into(), "".into()]);
    total.push(units.area(roof.plan_area()).into());
    total.push(units.area(roof.true_area()).into());
    table.total = Some(total);
    table.notes = adding_up(report);
    table
}

/// The bearing that water runs to: `180° S`.
fn falls(report: &Report<'_>, face: &crate::roof::Face) -> String {
    const POINTS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let Some(deg) = face.downslope_deg() else {
        return "–".to_owned();
    };
    let deg = report.compass_deg(deg);
    let point = POINTS[compass_point(deg)];
    format!(
        "{point} {}°",
        number::decimal(deg.round().rem_euclid(360.0), 0)
    )
}

/// Says so where rounded rows do not add up to the rounded total.
fn adding_up(report: &Report<'_>) -> Vec<String> {
    let (roof, units) = (report.roof(), report.units());
    let k = units.per_square_foot();
    let plan = roof.faces.iter().map(|f| f.plan_area.to_square_feet() * k);
    let on_slope = roof.faces.iter().map(|f| f.true_area.to_square_feet() * k);
    let offs = [sums::off_as_printed(plan), sums::off_as_printed(on_slope)];
    sums::rounding_note(offs, units).into_iter().collect()
}

fn squares(canvas: &mut Canvas<'_>, report: &Report<'_>, top: Point, text: f64) -> f64 {
    canvas.on(Layer::Tables);
    let big = TextStyle::new(text * 2.5 / 1.8).bold();
    let words = format!(
        "= {} squares",
        number::decimal(report.roof().true_area().to_squares(), 2)
    );
    let base = top - Vector::new(0.0, big.height);
    let width = canvas.text_before(base, big, &words);
    canvas.text(
        base + Vector::new(width + 4.0, 0.0),
        TextStyle::new(text),
        "true area ÷ 100 ft²",
    );
    base.y
}

fn notes(
    canvas: &mut Canvas<'_>,
    report: &Report<'_>,
    area: Area,
    text: f64,
    bound: Bound<'_>,
) -> f64 {
    let style = TextStyle::new(text);
    let head = TextStyle::new(text * 2.5 / 1.8).bold();
    let mut y = area.top - head.height;
    canvas.on(Layer::Tables);
    canvas.text(Point::new(area.left, y), head, "Notes");
    y -= 1.0;
    for (i, note) in note_texts(report, bound).iter().enumerate() {
        let indent = 4.0 * text / 1.8;
        for (k, line) in canvas
            .wrap(style, note, area.width() - indent)
            .iter()
            .enumerate()
        {
            y -= style.pitch();
            if k == 0 {
                canvas.text(Point::new(area.left, y), style, &(i + 1).to_string());
            }
            canvas.text(Point::new(area.left + indent, y), style, line);
        }
        y -= 0.7 * text;
    }
    y
}

fn note_texts(report: &Report<'_>, bound: Bound<'_>) -> Vec<String> {
    let units = report.units();
    let nearest = match units {
        OutputUnits::Feet => "nearest ⅛ in",
        OutputUnits::Metres => "to the nearest 0.01 m",
    };
    let roof = report.roof();
    let mut notes = vec![
        format!(
            "Lengths along lines are true lengths, {nearest}. On level edges plan and true are one."
        ),
        "Faces are named by the way they fall, the largest first. Arrows point down the slope."
            .to_owned(),
        format!("Scale from {}.", report.scale_source()),
    ];
    if roof.snap_tolerance_ft > 0.0 {
        let tolerance = crate::units::Length::<crate::units::Plan>::feet(roof.snap_tolerance_ft);
        notes.push(format!(
            "Ends closer than {} were joined.",
            units.small(tolerance)
        ));
    }
    let warnings = report.warnings().count();
    if warnings > 0 {
        let place = if plan::finding_marks::need_a_sheet(report) {
            "marked on the sheet after this, "
        } else {
            ""
        };
        let findings = number::counted(warnings, "finding");
        let sheet = if bound.holds(Sheet::Method) {
            "on method and findings"
        } else {
            "of findings"
        };
        notes.push(format!(
            "{findings} to look at: {place}see the sheet {sheet}."
        ));
    }
    notes
}
