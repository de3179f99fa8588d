//! The offer to the customer, upright: what is done, on how much roof, at what price, on which assumptions. Nothing of
//! what it costs the contractor.

use super::Draft;
use super::flow::{Flow, on_fewest_sheets};
use super::small_plan::SmallPlan;
use super::table::{Cell, Column, Table, TableStyle};
use crate::geometry::Point;
use crate::materials::Bid;
use crate::report::canvas::{Align, Area, Canvas, Fonts, Ink, Layer, Pen, TextStyle};
use crate::report::offer_words::{
    ALTERNATES, ALTERNATES_BASIS, held_words, no_price_words, unpriced_words,
};
use crate::report::pdf::Paper;
use crate::report::typeset::typeset;
use crate::report::{Report, number};
use crate::roof::EdgeClass;

/// Heights of capitals, in mm.
const TEXT: f64 = 2.0;
const NAME: f64 = 3.2;
const TITLE: f64 = 6.0;
const LABEL: f64 = 1.6;
/// Height of the signatures, and about that of the sums under the price with what is in none of them, in mm.
const SIGNATURES: f64 = 19.0;
const SUMS: f64 = 34.0;
/// Width of the small plan, in mm.
const PLAN: f64 = 44.0;

/// Draws the offer, on as many sheets as it needs.
pub(super) fn draw<'f>(report: &Report<'_>, fonts: &'f Fonts, paper: Paper) -> Vec<Draft<'f>> {
    let Some(offer) = report.inputs().offer else {
        return Vec::new();
    };
    let set = |price_last: bool| {
        on_fewest_sheets(&Canvas::new(fonts), TEXT, |blank, style| {
            set_out(report, &offer.bid, blank, paper, (style, price_last))
        })
    };
    let usual = set(false);
    // On more sheets than one the price comes last: what is signed stands over the signatures.
    if usual.len() > 1 { set(true) } else { usual }
}

fn set_out<'f>(
    report: &Report<'_>,
    bid: &Bid,
    blank: Canvas<'f>,
    paper: Paper,
    (style, price_last): (TableStyle, bool),
) -> Vec<Draft<'f>> {
    let gap = if style.is_tight() { 2.0 } else { 2.8 };
    let fonts = blank.fonts;
    let mut flow = Flow::new(blank, paper.sides_mm(), "Offer", style, &[1.0]).with_gap(gap);
    let height = header_height(&Canvas::trial(fonts), flow.width(), report, bid);
    flow.block(height, |canvas, area| header(canvas, area, report, bid));
    let scope = set(&bid.scope);
    let (first, second) = scope.split_at(scope.len().div_ceil(2));
    flow.lists(&[("The work", first), ("", second)]);
    flow.table(&measures(report));
    if price_last {
        terms(&mut flow, bid);
        let height = flow.height_of(&prices(bid)) + flow.height_of(&alternates(bid));
        flow.keep_together(height + SUMS + SIGNATURES);
        price(&mut flow, bid);
    } else {
        price(&mut flow, bid);
        terms(&mut flow, bid);
    }
    flow.block(SIGNATURES, |canvas, area| {
        signatures(canvas, area, report, bid);
    });
    flow.finish()
}

/// The price part by part with its sums, and what could be had instead.
fn price(flow: &mut Flow<'_>, bid: &Bid) {
    if let Some(words) = no_price_words(bid) {
        flow.paragraphs("Price", &[words.to_owned()]);
    } else {
        flow.table(&prices(bid));
        flow.gap(-2.8);
        sums(flow, bid);
    }
    flow.table(&alternates(bid));
}

/// What the price rests on, what is not in it and what could change it.
fn terms(flow: &mut Flow<'_>, bid: &Bid) {
    let (given, left_out) = (set(&bid.assumptions), set(&bid.exclusions));
    let could_change = set(&bid.cautions);
    flow.columns_of_lists(&[
        &[("Taken as given", &given)],
        &[
            ("Not in the price", &left_out),
            ("Could change the price", &could_change),
        ],
    ]);
}

fn set(sentences: &[String]) -> Vec<String> {
    sentences.iter().map(|s| typeset(s)).collect()
}

/// Who offers to whom: a label with its lines.
fn parties(
    canvas: &Canvas<'_>,
    report: &Report<'_>,
    width: f64,
) -> [(&'static str, Vec<String>); 2] {
    let project = report.inputs().project;
    [
        ("Offered to", [&project.client, &project.address]),
        (
            "Offered by",
            [&project.contractor, &project.contractor_address],
        ),
    ]
    .map(|(label, texts)| {
        let given = texts.into_iter().filter(|text| !text.is_empty());
        let lines = given.flat_map(|text| canvas.wrap(TextStyle::new(TEXT), text, width));
        (label, lines.collect())
    })
}

/// What of the header's width stands beside the small plan.
fn header_room(width: f64) -> f64 {
    width - PLAN - 6.0
}

/// The title, and whose roof it is: in smaller letters where long, and on two lines.
fn headings(
    canvas: &Canvas<'_>,
    report: &Report<'_>,
    bid: &Bid,
    room: f64,
) -> [(TextStyle, Vec<String>); 2] {
    let whose = joined(&[report.title(), &report.inputs().project.address]);
    let title = TextStyle::new(TITLE).bold();
    [
        (title, NAME, bid.title.as_str()),
        (TextStyle::new(NAME), TEXT, &whose),
    ]
    .map(|(style, least, text)| {
        const LINES: usize = 2;
        let heights = [style.height, (style.height + least) / 2.0, least];
        let mut set = heights.map(|height| {
            let style = TextStyle { height, ..style };
            (style, canvas.wrap(style, text, room))
        });
        let fits = set.iter().position(|(_, lines)| lines.len() <= LINES);
        set.swap(0, fits.unwrap_or(heights.len() - 1));
        let [chosen, ..] = set;
        chosen
    })
}

/// The height of the header: it grows with its lines.
fn header_height(canvas: &Canvas<'_>, width: f64, report: &Report<'_>, bid: &Bid) -> f64 {
    const LINES: usize = 3;
    let room = header_room(width);
    let parties = parties(canvas, report, room / 2.0 - 4.0);
    let lines = parties.iter().map(|p| p.1.len()).max().unwrap_or(0);
    let more: f64 = headings(canvas, report, bid, room)
        .iter()
        .map(|(style, lines)| lines.len().saturating_sub(1) as f64 * style.pitch())
        .sum();
    33.0 + more + lines.saturating_sub(LINES) as f64 * TEXT * 1.75
}

/// Title, whose roof, who offers to whom, and the roof in the corner.
fn header(canvas: &mut Canvas<'_>, area: Area, report: &Report<'_>, bid: &Bid) {
    let room = header_room(area.width());
    let [title, whose] = headings(canvas, report, bid, room);
    canvas.on(Layer::Tables);
    let mut y = area.top - TITLE;
    for ((style, lines), after) in [(title, NAME * 2.0), (whose, 8.0)] {
        for (i, line) in lines.iter().enumerate() {
            y -= if i > 0 { style.pitch() } else { 0.0 };
            canvas.text(Point::new(area.left, y), style, line);
        }
        y -= after;
    }
    let step = room / 2.0;
    let parties = parties(canvas, report, step - 4.0);
    for (i, (label, lines)) in parties.iter().enumerate() {
        let left = area.left + step * i as f64;
        if lines.is_empty() {
            continue;
        }
        canvas.text(Point::new(left, y), TextStyle::new(LABEL), label);
        let mut base = y;
        for line in lines {
            base -= TEXT * 1.75;
            canvas.text(Point::new(left, base), TextStyle::new(TEXT), line);
        }
    }
    let corner = Area {
        left: area.right - PLAN,
        bottom: area.top - 33.0,
        ..area
    };
    if let Some(small_plan) = SmallPlan::new(report, corner) {
        small_plan.draw(canvas, None);
    }
}

fn joined(parts: &[&str]) -> String {
    let given: Vec<&str> = parts.iter().copied().filter(|p| !p.is_empty()).collect();
    given.join(", ")
}

/// Areas and true lengths, two to a row.
fn measures(report: &Report<'_>) -> Table {
    let (roof, units) = (report.roof(), report.units());
    let mut table = Table::new(
        "The roof as measured",
        vec![
            Column::words("").grows(1.0),
            Column::figures(""),
            Column::words("").grows(1.0),
            Column::figures(""),
        ],
    );
    table.heads = false;
    table.subject = "areas on the slope, true lengths".to_owned();
    let sign = units.area_sign();
    let mut pairs = vec![
        (
            "Roof area".to_owned(),
            format!("{} {sign}", units.area(roof.true_area())),
        ),
        (
            "Squares of 100 ft²".to_owned(),
            number::decimal(roof.true_area().to_squares(), 2),
        ),
    ];
    for class in EdgeClass::ALL {
        let feet = roof.true_length(class).to_feet();
        if feet > 0.0 {
            pairs.push((number::capital(class.words()), units.length(feet)));
        }
    }
    if !roof.openings.is_empty() {
        pairs.push(("Openings".to_owned(), number::count(roof.openings.len())));
    }
    if !roof.penetrations.is_empty() {
        let count = number::count(roof.penetrations.len());
        pairs.push(("Pipes and vents".to_owned(), count));
    }
    for two in pairs.chunks(2) {
        let mut row: Vec<Cell> = Vec::new();
        for (label, figure) in two {
            row.extend([label.as_str().into(), figure.as_str().into()]);
        }
        row.resize(4, "".into());
        table.rows.push(row);
    }
    table
}

fn prices(bid: &Bid) -> Table {
    let mut table = Table::new(
        "Price part by part",
        vec![
            Column::words("").grows(1.0),
            Column::figures("Quantity"),
            Column::words("Unit"),
            Column::figures("Amount"),
        ],
    );
    for line in &bid.lines {
        let (quantity, unit) = line.quantity.as_ref().map_or_else(
            || (String::new(), String::new()),
            |(quantity, unit)| (number::decimal(*quantity, 2), unit.clone()),
        );
        table.rows.push(vec![
            line.what.as_str().into(),
            quantity.into(),
            unit.into(),
            number::money(line.amount, &bid.currency).into(),
        ]);
    }
    table
}

/// Price, tax, what is to be paid; and what is in none of them.
fn sums(flow: &mut Flow<'_>, bid: &Bid) {
    let money = |amount| number::money(amount, &bid.currency);
    let mut rows = vec![("Price".to_owned(), money(bid.price), NAME)];
    if !bid.tax.is_zero() {
        rows[0].0 = "Price before tax".to_owned();
        rows.push(("Tax".to_owned(), money(bid.tax), TEXT));
        rows.push(("To pay".to_owned(), money(bid.total), NAME));
    }
    flow.block(7.0 * rows.len() as f64 + 3.0, |canvas, area| {
        canvas.on(Layer::Tables);
        for (i, (words, amount, height)) in rows.iter().enumerate() {
            let y = area.top - 7.0 * (i + 1) as f64 + 1.6;
            let style = if *height > TEXT {
                TextStyle::new(*height).bold()
            } else {
                TextStyle::new(*height)
            };
            canvas.text(Point::new(area.left + 0.5, y), style, words);
            let right = Point::new(area.right - 0.5, y);
            canvas.text(right, style.align(Align::Right), amount);
        }
        let foot = area.top - 7.0 * rows.len() as f64 - 0.6;
        canvas.line(
            Point::new(area.left, foot),
            Point::new(area.right, foot),
            Pen::new(0.5),
        );
    });
    if let Some(words) = unpriced_words(bid) {
        let style = TextStyle::new(TEXT).bold().ink(Ink::Accent);
        flow.sentence(style, &typeset(&words));
    }
    flow.gap(2.0);
}

fn alternates(bid: &Bid) -> Table {
    let mut table = Table::new(
        ALTERNATES,
        vec![
            Column::words("").grows(1.0),
            Column::figures("Change of price"),
        ],
    );
    table.heads = false;
    table.subject = ALTERNATES_BASIS.to_owned();
    for alternate in &bid.alternates {
        let change = number::money_change(alternate.difference, &bid.currency);
        table
            .rows
            .push(vec![typeset(&alternate.name).into(), change.into()]);
    }
    table
}

/// How long the offer holds, and two lines to sign on.
fn signatures(canvas: &mut Canvas<'_>, area: Area, report: &Report<'_>, bid: &Bid) {
    canvas.on(Layer::Tables);
    let project = report.inputs().project;
    let words = held_words(&project.date, bid);
    let style = TextStyle::new(TEXT);
    canvas.text(Point::new(area.left, area.top - TEXT), style, &words);
    let by = if project.contractor.is_empty() {
        "Who offers, date".to_owned()
    } else {
        format!("For {}, date", project.contractor)
    };
    let y = area.bottom + 5.0;
    let width = (area.width() - 12.0) / 2.0;
    for (i, label) in ["Who orders, date".to_owned(), by].iter().enumerate() {
        let left = area.left + (width + 12.0) * i as f64;
        canvas.line(
            Point::new(left, y),
            Point::new(left + width, y),
            Pen::new(0.35),
        );
        let under = Point::new(left, y - 3.2);
        canvas.text_within(under, TextStyle::new(LABEL), (label, width, LABEL));
    }
}
