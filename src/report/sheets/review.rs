//! The review: where, what, how large, which cause fits, what is left, what to ask.

use super::flow::Flow;
use super::frame::Frame;
use super::table::{Cell, Column, Table, TableStyle};
use super::{Draft, text_height};
use crate::geometry::Point;
use crate::report::canvas::{Area, Canvas, Fonts, Layer, TextStyle};
use crate::report::pdf::Paper;
use crate::report::plan::{self, DrawingScale, Projection};
use crate::report::review::{
    figures, left, length_figures, length_subject, number as finding_number, rounding, subject,
    together, verdict as verdict_of,
};
use crate::report::typeset::typeset;
use crate::report::{Report, number};
use crate::review::{AreaCheck, Explanation, LengthCheck, Review, SurfaceSaid, Verdict};
use crate::{Finding, Severity};

/// The plan takes at most this part of a column.
const PLAN_SHARE: f64 = 0.56;
/// Room round the roof for marks, in mm.
const MARK_ROOM: f64 = 9.0;
/// From the head over the plan to the plan.
const HEAD_ROOM: f64 = 5.0;

/// Draws the sheet, where a review was made; more than one where there is much to tell.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let Some(review) = report.review() else {
        return Vec::new();
    };
    let size = paper.landscape();
    let style = TableStyle::new(text_height(size));
    let mut flow = Flow::new(Canvas::new(fonts), size, "Plan review", style, &[1.0, 1.12]);
    let placed = place_of_plan(&mut flow, report, review, style);
    flow.table(&findings(report, review, |at| {
        let (projection, shown) = placed.as_ref()?;
        let paper = projection.paper(at);
        let inside = (shown.left..=shown.right).contains(&paper.x)
            && (shown.bottom..=shown.top).contains(&paper.y);
        inside.then(|| Frame::of(size).zone(paper)).flatten()
    }));
    flow.next_column();
    flow.table(&areas(report, review));
    flow.table(&lengths(report, review));
    flow.table(&questions(report));
    flow.paragraphs("Verdict", &verdict(report, review));
    let mut sheets = flow.finish();
    if let (Some(first), Some((projection, _))) = (sheets.first_mut(), &placed) {
        first.scale = projection.scale.words();
    }
    sheets
}

/// Draws the plan at the head of the first column; returns how and where it lies on the paper.
fn place_of_plan(
    flow: &mut Flow<'_>,
    report: &Report<'_>,
    review: &Review,
    style: TableStyle,
) -> Option<(Projection, Area)> {
    let (mut low, mut high) = plan::extent(report)?;
    let texts: Vec<(Point, &str)> = review
        .areas
        .iter()
        .filter_map(|a| Some((a.place.as_ref()?.at?, a.text.as_str())))
        .collect();
    // What stands near the roof is shown too; a title block far away would only make the roof small.
    let reach = (high - low).length() / 4.0;
    let near = |p: Point| {
        (low.x - reach..=high.x + reach).contains(&p.x)
            && (low.y - reach..=high.y + reach).contains(&p.y)
    };
    let shown: Vec<(Point, &str)> = texts.into_iter().filter(|(p, _)| near(*p)).collect();
    for (p, _) in &shown {
        low = Point::new(low.x.min(p.x), low.y.min(p.y));
        high = Point::new(high.x.max(p.x), high.y.max(p.y));
    }
    let extent = high - low;
    let units = report.units();
    let most = PLAN_SHARE * flow.column_height();
    let (canvas, block) = flow.room_for(most);
    let head = TextStyle::new(2.5 / 1.8 * style.text).bold();
    let area = Area {
        top: block.top - head.height - HEAD_ROOM,
        ..block
    };
    let room = area.inset(MARK_ROOM);
    let scale = DrawingScale::fitting(units, extent, room.width(), room.height());
    let used = (extent.y * scale.mm_per_foot() + 2.0 * MARK_ROOM).min(area.height());
    let area = Area {
        bottom: area.top - used,
        ..area
    };
    let projection = Projection::centred(scale, low, high, area);
    canvas.on(Layer::Tables);
    let base = Point::new(block.left, block.top - head.height);
    let width = canvas.text_before(base, head, "Where");
    canvas.text(
        Point::new(base.x + width + 4.0, base.y),
        TextStyle::new(style.text),
        "findings only are in colour, and each carries a number",
    );
    plan::draw_for_review(canvas, report, &projection, area, &shown);
    flow.give_back(area.bottom - block.bottom);
    Some((projection, area))
}

/// Theirs, ours, and what differs, in the accent where it does.
fn cells([stated, computed, difference, percent]: [String; 4], verdict: Verdict) -> [Cell; 4] {
    let differing = |text: String| {
        if verdict == Verdict::Agrees {
            text.into()
        } else {
            Cell::Differing(text)
        }
    };
    [
        stated.into(),
        computed.into(),
        differing(difference),
        differing(percent),
    ]
}

fn mark(report: &Report<'_>, finding: Option<usize>) -> Cell {
    finding_number(report, finding).map_or_else(|| "".into(), Cell::Diamond)
}

fn areas(report: &Report<'_>, review: &Review) -> Table {
    let units = report.units();
    let kk = units.per_square_foot();
    let mut table = Table::new(
        format!("Stated areas, {}", units.area_sign()),
        vec![
            Column::words("Of").bold(),
            Column::figures("Stated"),
            Column::figures("Computed"),
            Column::figures("Diff."),
            Column::figures("%"),
            Column::words(""),
            Column::words("Cause that fits").grows(1.0),
            Column::figures("Left"),
        ],
    );
    for check in &review.areas {
        let name = match check.surface {
            SurfaceSaid::True => subject(report, check),
            SurfaceSaid::Plan => format!("{}, plan", subject(report, check)),
        };
        let both = [check.stated_sqft * kk, check.computed_sqft * kk];
        let mut row: Vec<Cell> = vec![name.into()];
        row.extend(cells(figures(both, check.percent(), 1), check.verdict));
        row.extend([
            mark(report, check.finding),
            cause(report, check).into(),
            left_over(report, check).into(),
        ]);
        table.rows.push(row);
    }
    if table.rows.is_empty() {
        table.heads = false;
        let none = match review.not_compared {
            0 => "None in the drawing, and none in a list.",
            _ => "None of a face or of the whole roof: nothing was compared.",
        };
        let mut row: Vec<Cell> = vec![Cell::Text(String::new()); 6];
        row.extend([none.into(), "".into()]);
        table.rows.push(row);
    } else {
        table.notes.push(
            "Computed on the slope, openings taken out, unless plan is said. Left: stated less what the cause gives for \
             this roof; what is only to be asked about has none."
                .to_owned(),
        );
    }
    table
}

fn cause(report: &Report<'_>, check: &AreaCheck) -> String {
    match check.verdict {
        Verdict::NothingCompared => return "not compared".to_owned(),
        Verdict::Agrees => return "agrees".to_owned(),
        Verdict::TooCoarse => return rounding(report, check),
        Verdict::Differs => {}
    }
    let words = |e: &Explanation| typeset(&e.words(report.roof(), report.units().is_metric()));
    match check.explanations.as_slice() {
        [] => "not explained".to_owned(),
        [first, ..] if check.decided => words(first),
        [first, ..] if first.is_guess() => {
            format!("not explained; ask whether it was {}", words(first))
        }
        [one] => format!("perhaps {}", words(one)),
        several => {
            let two: Vec<String> = several.iter().take(2).map(words).collect();
            format!("either {}", two.join(", or "))
        }
    }
}

fn left_over(report: &Report<'_>, check: &AreaCheck) -> String {
    match (check.likely(), check.verdict) {
        (Some(e), _) => left(report, check, e).unwrap_or_default(),
        (None, Verdict::Differs) => number::signed(
            check.difference_sqft() * report.units().per_square_foot(),
            1,
        ),
        (None, _) => String::new(),
    }
}

fn lengths(report: &Report<'_>, review: &Review) -> Table {
    let units = report.units();
    let mut table = Table::new(
        format!("Stated lengths, {}", units.length_key()),
        vec![
            Column::words("Of").bold(),
            Column::figures("Stated"),
            Column::figures("Computed"),
            Column::figures("Diff."),
            Column::figures("%"),
            Column::words(""),
        ],
    );
    table.subject = "true lengths unless plan is said, all edges of a class".to_owned();
    for check in &review.lengths {
        let k = units.per_foot();
        table.rows.push(length(report, check, k));
        table.notes.extend(together(review, check, k));
    }
    table
}

fn length(report: &Report<'_>, check: &LengthCheck, k: f64) -> Vec<Cell> {
    let mut row: Vec<Cell> = vec![length_subject(check).into()];
    row.extend(cells(length_figures(check, k), check.verdict));
    row.push(mark(report, check.finding));
    row
}

/// Whether a finding is of a stated area, whose table tells its cause already.
fn is_tabled(review: &Review, finding: &Finding) -> bool {
    let of = |index: Option<usize>| {
        index
            .and_then(|i| review.findings.get(i))
            .is_some_and(|f| std::ptr::eq(f, finding))
    };
    review.areas.iter().any(|a| of(a.finding))
}

fn findings(
    report: &Report<'_>,
    review: &Review,
    zone_of: impl Fn(Point) -> Option<String>,
) -> Table {
    let mut table = Table::new(
        "Findings",
        vec![
            Column::words(""),
            Column::words("Zone"),
            Column::words("What").grows(1.0),
        ],
    );
    for (i, finding) in warnings(report) {
        let zone = finding
            .places
            .iter()
            .find_map(|place| place.at)
            .and_then(&zone_of);
        let what = if is_tabled(review, finding) {
            first_sentence(&finding.message)
        } else {
            &finding.message
        };
        table.rows.push(vec![
            Cell::Diamond(i + 1),
            zone.unwrap_or_else(|| "–".to_owned()).into(),
            typeset(&number::capital(what)).into(),
        ]);
    }
    if table.rows.is_empty() {
        table.heads = false;
        table.rows.push(vec!["".into(), "".into(), "None.".into()]);
    }
    table
}

fn warnings<'a>(report: &Report<'a>) -> impl Iterator<Item = (usize, &'a Finding)> {
    let all: Vec<(usize, &'a Finding)> = report
        .findings()
        .iter()
        .copied()
        .enumerate()
        .filter(|(_, f)| f.severity >= Severity::Warning)
        .collect();
    all.into_iter()
}

/// The figures of a difference without the cause, which the table has.
fn first_sentence(message: &str) -> &str {
    message
        .find("). ")
        .or_else(|| message.find(")."))
        .map_or(message, |end| &message[..end + 2])
}

/// What to do about each finding; equal remedies in one row.
fn questions(report: &Report<'_>) -> Table {
    let mut rows: Vec<(Vec<usize>, &str)> = Vec::new();
    for (i, finding) in warnings(report) {
        if finding.remedy.is_empty() {
            continue;
        }
        match rows.iter_mut().find(|(_, r)| *r == finding.remedy) {
            Some((numbers, _)) => numbers.push(i + 1),
            None => rows.push((vec![i + 1], &finding.remedy)),
        }
    }
    let mut table = Table::new(
        "What to do",
        vec![Column::words(""), Column::words("").grows(1.0)],
    );
    table.heads = false;
    for (numbers, remedy) in rows {
        let also: Vec<String> = numbers[1..].iter().map(ToString::to_string).collect();
        let text = if also.is_empty() {
            typeset(remedy)
        } else {
            format!("{} (also {})", typeset(remedy), also.join(", "))
        };
        table
            .rows
            .push(vec![Cell::Diamond(numbers[0]), text.into()]);
    }
    table
}

fn verdict(report: &Report<'_>, review: &Review) -> Vec<String> {
    let units = report.units();
    let mut out = vec![format!("{}.", verdict_of(review))];
    if review.lines_off > 0 {
        out.push(format!(
            "Drawn hips, valleys or ridges that are not where the pitches put them: {}.",
            review.lines_off
        ));
    }
    if review.contradictions > 0 {
        out.push(format!(
            "Findings of lines and pitches that cannot be true together: {}.",
            review.contradictions
        ));
    }
    let sign = units.area_sign();
    out.push(format!(
        "Computed here: {} {sign} on the slope, {} {sign} in plan. Scale from {}.",
        units.area(report.roof().true_area()),
        units.area(report.roof().plan_area()),
        report.scale_source()
    ));
    if review.areas.iter().any(|a| a.likely().is_some()) {
        out.push(
            "Causes were tested by computing what each would give for this roof; one that fits is likely, not proven."
                .to_owned(),
        );
    }
    out
}
