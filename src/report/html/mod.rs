//! The takeoff as one self-contained page: plan, schedules and a model of the roof that can be turned.
//!
//! Nothing is fetched: script, style and geometry are inside, and the page's content policy forbids everything else.
//! Without scripts the plan and the schedules still stand; only the model is missing.

mod escape;
mod finding_marks;
mod label;
mod lines;
mod model;
mod offer;
mod plan;
mod schedule;
mod sha256;
mod table;

use std::fmt::Write as _;

use self::escape::{escape, escape_json};
use self::lines::Line;
use self::sha256::policy_hash;
use super::sheets::method;
use super::{Report, number};
use crate::Severity;

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = concat!(
    "\"use strict\";\n",
    include_str!("space.js"),
    include_str!("draw.js"),
    include_str!("hand.js")
);

/// A report and the edges as the page numbers them.
struct Page<'a> {
    report: &'a Report<'a>,
    lines: Vec<Line>,
}

/// The takeoff as one page of HTML. The same report gives the same text. Every text of the drawing and the job is
/// escaped.
pub fn page(report: &Report<'_>) -> String {
    let page = Page {
        report,
        lines: lines::lines(report.roof()),
    };
    let mut out = String::with_capacity(120_000);
    head(&mut out, &page);
    out.push_str(
        "<body>\n<a class=\"skip\" href=\"#schedules\">Skip to the schedules</a>\n\
         <svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\
         <pattern id=\"hatch\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
         <rect class=\"hatch-paper\" width=\"8\" height=\"8\"/><path class=\"hatch-line\" d=\"M4 0V8\"/></pattern></defs></svg>\n\
         <div class=\"sheet\">\n",
    );
    header(&mut out, &page);
    out.push_str("<main>\n");
    model_section(&mut out, &page);
    plan_section(&mut out, &page);
    for table in [
        schedule::courses(&page),
        schedule::materials(&page),
        offer::section(&page),
    ]
    .into_iter()
    .flatten()
    {
        let _ = writeln!(out, "<section>\n{table}</section>");
    }
    findings_section(&mut out, &page);
    method_section(&mut out, &page);
    out.push_str("</main>\n");
    footer(&mut out, &page);
    let data = escape_json(&model::data(&page).to_string());
    let _ = write!(
        out,
        "</div>\n<script type=\"application/json\" id=\"roof-data\">{data}</script>\n<script>{SCRIPT}</script>\n</body>\n</html>\n"
    );
    out
}

fn head(out: &mut String, page: &Page) {
    // The hashes let this script and style run and nothing else; no address may be fetched.
    let _ = write!(
        out,
        "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; script-src '{}'; style-src '{}'; base-uri 'none'; form-action 'none'\"/>\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n\
         <meta name=\"referrer\" content=\"no-referrer\"/>\n\
         <title>{} – roof takeoff</title>\n<style>{STYLE}</style>\n</head>\n",
        policy_hash(SCRIPT),
        policy_hash(STYLE),
        escape(page.report.title()),
    );
}

fn header(out: &mut String, page: &Page) {
    let (roof, units) = (page.report.roof(), page.report.units());
    let with_sign = |figure: String| format!("{figure} {}", units.area_sign());
    let mut figures = vec![
        (
            "Squares, true",
            number::decimal(roof.true_area().to_squares(), 2),
        ),
        ("True area", with_sign(units.area(roof.true_area()))),
        ("Plan area", with_sign(units.area(roof.plan_area()))),
        ("Faces", roof.faces.len().to_string()),
    ];
    if let Some(courses) = page.report.inputs().courses {
        figures.push(("Shingles opened", number::count(courses.opened())));
    }
    figures.push(("Findings", page.report.findings().len().to_string()));
    let figures: String = figures
        .iter()
        .map(|(label, value)| format!("<div><dt>{label}</dt><dd>{value}</dd></div>"))
        .collect();
    let _ = write!(
        out,
        "<header>\n<div><h1>{}</h1><p class=\"source\">Roof takeoff of {}</p></div>\n<dl class=\"key-figures\">{figures}</dl>\n</header>\n",
        escape(page.report.title()),
        escape(&page.report.inputs().project.source_file),
    );
}

fn model_section(out: &mut String, page: &Page) {
    let courses = page.report.inputs().courses.map_or(
        "",
        |_| "<label><input type=\"checkbox\" data-show=\"showCourses\"/>Course lines</label>",
    );
    let _ = write!(
        out,
        "<section class=\"pair\" aria-labelledby=\"model-head\">\n<div>\n<h2 id=\"model-head\">Model</h2>\n\
         <div class=\"tools\" role=\"group\" aria-label=\"View of the model\">\
         <button type=\"button\" data-act=\"left\" aria-label=\"Turn left\">←</button>\
         <button type=\"button\" data-act=\"right\" aria-label=\"Turn right\">→</button>\
         <button type=\"button\" data-act=\"up\" aria-label=\"Look from higher\">↑</button>\
         <button type=\"button\" data-act=\"down\" aria-label=\"Look from lower\">↓</button>\
         <button type=\"button\" data-act=\"in\" aria-label=\"Zoom in\">+</button>\
         <button type=\"button\" data-act=\"out\" aria-label=\"Zoom out\">−</button>\
         <button type=\"button\" data-act=\"above\">Above</button>\
         <button type=\"button\" data-act=\"reset\">Reset</button>\
         {courses}<label><input type=\"checkbox\" data-show=\"showHidden\"/>Hidden lines</label></div>\n\
         <div id=\"model\" role=\"application\" tabindex=\"0\" aria-label=\"Model of the roof, can be turned\" aria-describedby=\"model-keys\">\
         <noscript><p class=\"without-script\">The model needs scripts. The plan and the schedules do not.</p></noscript></div>\n\
         <p id=\"readout\" class=\"resting\" role=\"status\">Nothing is picked. Press a face or an edge to read its measures.</p>\n\
         <p id=\"model-keys\">Drag to turn, pinch or Ctrl and wheel to zoom, Shift and drag to move. Keys: arrows turn, + and − zoom, \
         Shift and arrows move, Home resets, Tab goes from face to face, Enter picks, Escape lets go.</p>\n\
         </div>\n<div class=\"aside\" id=\"schedules\">\n{}{}</div>\n</section>\n",
        schedule::faces(page),
        schedule::edge_classes(page),
    );
}

fn plan_section(out: &mut String, page: &Page) {
    let Some(plan) = plan::svg(page) else {
        return;
    };
    let _ = write!(
        out,
        "<section class=\"pair\" aria-labelledby=\"plan-head\">\n<div>\n<h2 id=\"plan-head\">Roof plan</h2>\n\
         <div class=\"scroll drawing\" role=\"region\" aria-label=\"Drawing of the roof plan\" tabindex=\"0\">\n{plan}</div>\n\
         <p class=\"basis\">Lengths along lines are true lengths. Arrows point down the slope. Edges too short for their words are in the schedule.</p>\n\
         </div>\n<div class=\"aside\">\n{}{}{}</div>\n</section>\n",
        edge_list(page),
        schedule::openings(page).unwrap_or_default(),
        schedule::penetrations(page).unwrap_or_default(),
    );
}

/// So many edges are shown at once; more are folded away until somebody asks.
const FOLD_EDGES_OVER: usize = 40;

fn edge_list(page: &Page) -> String {
    let count = page.lines.len();
    if count == 0 {
        return String::new();
    }
    let open = if count > FOLD_EDGES_OVER {
        ""
    } else {
        " open=\"open\""
    };
    format!(
        "<details{open}>\n<summary>Edges one by one ({count})</summary>\n{}</details>\n",
        schedule::edges(page),
    )
}

const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "Error",
        Severity::Warning => "Warning",
        Severity::Note => "Note",
    }
}

fn findings_section(out: &mut String, page: &Page) {
    out.push_str(
        "<section aria-labelledby=\"findings-head\">\n<h2 id=\"findings-head\">Findings</h2>\n",
    );
    if page.report.findings().is_empty() {
        out.push_str("<p>None.</p>\n</section>\n");
        return;
    }
    out.push_str("<ol class=\"findings\">\n");
    for (i, finding) in page.report.findings().iter().enumerate() {
        let number = i + 1;
        let remedy = if finding.remedy.is_empty() {
            String::new()
        } else {
            format!("<p>{}</p>", escape(&finding.remedy))
        };
        let places: Vec<String> = finding
            .places
            .iter()
            .map(|p| where_it_is(page, p))
            .filter(|words| !words.is_empty())
            .collect();
        let place = if places.is_empty() {
            String::new()
        } else {
            format!("<p class=\"where\">{}</p>", escape(&places.join("; ")))
        };
        let _ = writeln!(
            out,
            "<li id=\"finding-{i}\"><svg class=\"mark\" viewBox=\"-14 -14 28 28\" aria-hidden=\"true\"><path d=\"M0 -12L12 0L0 12L-12 0Z\"/><text y=\"4\">{number}</text></svg>\
             <div><p><span class=\"severity\">{number} {}.</span> {}</p>{remedy}{place}</div></li>",
            severity(finding.severity),
            escape(&finding.message),
        );
    }
    out.push_str("</ol>\n</section>\n");
}

/// The place in words: element, line, and the plan position from the drawing's origin.
fn where_it_is(page: &Page, place: &crate::Place) -> String {
    let mut words = vec![];
    if let Some(source) = &place.source {
        let mut element = source.id.as_ref().map_or_else(
            || format!("element {}", source.tag),
            |id| format!("element {id}"),
        );
        if source.line > 0 {
            let _ = write!(element, ", line {}", source.line);
        }
        words.push(element);
    }
    if let Some(p) = place.at {
        let length = |feet: f64| page.report.units().length(feet);
        words.push(format!("at x {}, y {}", length(p.x), length(p.y)));
    }
    words.join(", ")
}

fn method_section(out: &mut String, page: &Page) {
    let report = page.report;
    if let Some(checks) = schedule::checks(page) {
        let _ = writeln!(out, "<section>\n{checks}</section>");
    }
    out.push_str("<div class=\"notes\">\n");
    for (head, sentences) in [
        ("How it was measured", method::measured(report)),
        ("What the pitches ask for", method::pitches(report)),
        ("Before anybody goes up", method::cautions(report)),
    ] {
        let _ = writeln!(out, "<section>\n<h2>{head}</h2>\n<ul>");
        for sentence in sentences {
            let _ = writeln!(out, "<li>{}</li>", escape(&sentence));
        }
        out.push_str("</ul>\n</section>\n");
    }
    out.push_str("</div>\n");
}

fn footer(out: &mut String, page: &Page) {
    let project = page.report.inputs().project;
    let cells: String = [
        ("Prepared for", project.client.as_str()),
        ("Address", &project.address),
        ("Document", &project.document),
        ("Status", &project.status),
        ("Drawing", &project.source_file),
        ("Lengths", page.report.units().words()),
        ("Date", &project.date),
        ("Revision", &project.revision),
        ("Drawn", &project.drawn_by),
        ("Checked", &project.checked_by),
    ]
    .into_iter()
    .filter(|(_, value)| !value.is_empty())
    .map(|(label, value)| format!("<div><dt>{label}</dt><dd>{}</dd></div>", escape(value)))
    .collect();
    let _ = write!(
        out,
        "<footer>\n<p><strong>{}</strong>Made with eavewright</p>\n<dl class=\"title-block\">{cells}</dl>\n</footer>\n",
        escape(page.report.title()),
    );
}
