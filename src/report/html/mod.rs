//! The takeoff as one self-contained page: plan, schedules and a model of the roof that can be turned.
//!
//! Nothing is fetched: script, style and geometry are inside, and the page's content policy forbids everything else.
//! Without scripts the plan and the schedules still stand; only the model is missing.

mod escape;
mod label;
mod model;
mod number;
mod plan;
mod schedule;
mod sha256;
mod table;

use std::fmt::Write as _;

use self::escape::{escape, escape_json};
use self::sha256::policy_hash;
use crate::courses::Courses;
use crate::materials::MaterialList;
use crate::roof::Roof;
use crate::{Finding, Severity};

pub use number::Units;

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = concat!(
    "\"use strict\";\n",
    include_str!("space.js"),
    include_str!("draw.js"),
    include_str!("hand.js")
);

/// What the page shows. Every text may come from outside: all of it is escaped.
#[derive(Clone, Copy, Debug)]
pub struct HtmlInputs<'a> {
    /// The roof.
    pub roof: &'a Roof,
    /// What the drawing is called, such as its file name.
    pub drawing_title: &'a str,
    /// The project's name: the page's heading. The drawing's title where it is empty.
    pub project: &'a str,
    /// Fields of the title block, label and value, in order: prepared for, document, date, revision, ...
    pub fields: &'a [(&'a str, &'a str)],
    /// The course layout, for course lines and counts.
    pub courses: Option<&'a Courses>,
    /// What to order.
    pub materials: Option<&'a MaterialList>,
    /// Everything that any stage noticed, in the order in which it is numbered.
    pub findings: &'a [Finding],
    /// What the reader must keep in mind, one sentence each.
    pub cautions: &'a [String],
    /// The units of every number.
    pub units: Units,
}

impl HtmlInputs<'_> {
    fn heading(&self) -> &str {
        if self.project.trim().is_empty() {
            self.drawing_title
        } else {
            self.project
        }
    }
}

/// The page. The same inputs give the same text.
pub fn page(inputs: &HtmlInputs) -> String {
    let mut out = String::with_capacity(120_000);
    head(&mut out, inputs);
    out.push_str(
        "<body>\n<a class=\"skip\" href=\"#schedules\">Skip to the schedules</a>\n\
         <svg class=\"defs\" width=\"0\" height=\"0\" aria-hidden=\"true\"><defs>\
         <pattern id=\"hatch\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate(45)\">\
         <rect class=\"hatch-paper\" width=\"8\" height=\"8\"/><path class=\"hatch-line\" d=\"M4 0V8\"/></pattern></defs></svg>\n\
         <div class=\"sheet\">\n",
    );
    header(&mut out, inputs);
    out.push_str("<main>\n");
    model_section(&mut out, inputs);
    plan_section(&mut out, inputs);
    for table in [schedule::courses(inputs), schedule::materials(inputs)]
        .into_iter()
        .flatten()
    {
        let _ = writeln!(out, "<section>\n{table}</section>");
    }
    findings_section(&mut out, inputs);
    method_section(&mut out, inputs);
    out.push_str("</main>\n");
    footer(&mut out, inputs);
    let data = escape_json(&model::data(inputs).to_string());
    let _ = write!(
        out,
        "</div>\n<script type=\"application/json\" id=\"roof-data\">{data}</script>\n<script>{SCRIPT}</script>\n</body>\n</html>\n"
    );
    out
}

fn head(out: &mut String, inputs: &HtmlInputs) {
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
        escape(inputs.heading()),
    );
}

fn header(out: &mut String, inputs: &HtmlInputs) {
    let (roof, units) = (inputs.roof, inputs.units);
    let mut figures = vec![
        (
            "Squares, true",
            number::decimal(roof.true_area().to_squares(), 2),
        ),
        ("True area", units.area(roof.true_area())),
        ("Plan area", units.area(roof.plan_area())),
        ("Faces", roof.faces.len().to_string()),
    ];
    if let Some(courses) = inputs.courses {
        figures.push((
            "Shingles opened",
            number::decimal(courses.opened() as f64, 0),
        ));
    }
    figures.push(("Findings", inputs.findings.len().to_string()));
    let figures: String = figures
        .iter()
        .map(|(label, value)| format!("<div><dt>{label}</dt><dd>{value}</dd></div>"))
        .collect();
    let _ = write!(
        out,
        "<header>\n<div><h1>{}</h1><p class=\"source\">Roof takeoff of {}</p></div>\n<dl class=\"key-figures\">{figures}</dl>\n</header>\n",
        escape(inputs.heading()),
        escape(inputs.drawing_title),
    );
}

fn model_section(out: &mut String, inputs: &HtmlInputs) {
    let courses = inputs.courses.map_or(
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
         <p id=\"readout\" role=\"status\">Nothing is picked. Press a face or an edge to read its measures.</p>\n\
         <p id=\"model-keys\">Drag to turn, pinch or Ctrl and wheel to zoom, Shift and drag to move. Keys: arrows turn, + and − zoom, \
         Shift and arrows move, Home resets, Tab goes from face to face, Enter picks, Escape lets go.</p>\n\
         </div>\n<div class=\"aside\" id=\"schedules\">\n{}{}</div>\n</section>\n",
        schedule::faces(inputs),
        schedule::edge_classes(inputs),
    );
}

fn plan_section(out: &mut String, inputs: &HtmlInputs) {
    let Some(plan) = plan::svg(inputs) else {
        return;
    };
    let _ = write!(
        out,
        "<section class=\"pair\" aria-labelledby=\"plan-head\">\n<div>\n<h2 id=\"plan-head\">Roof plan</h2>\n\
         <div class=\"scroll\" role=\"region\" aria-labelledby=\"plan-head\" tabindex=\"0\">\n{plan}</div>\n\
         <p class=\"basis\">Lengths along lines are true lengths. Arrows point down the slope. Edges too short for their words are in the schedule.</p>\n\
         </div>\n<div class=\"aside\">\n{}{}{}</div>\n</section>\n",
        edge_list(inputs),
        schedule::openings(inputs).unwrap_or_default(),
        schedule::penetrations(inputs).unwrap_or_default(),
    );
}

/// So many edges are shown at once; more are folded away until somebody asks.
const FOLD_EDGES_OVER: usize = 40;

fn edge_list(inputs: &HtmlInputs) -> String {
    let count = inputs.roof.edges.len();
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
        schedule::edges(inputs),
    )
}

const fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "Error",
        Severity::Warning => "Warning",
        Severity::Note => "Note",
    }
}

fn findings_section(out: &mut String, inputs: &HtmlInputs) {
    out.push_str(
        "<section aria-labelledby=\"findings-head\">\n<h2 id=\"findings-head\">Findings</h2>\n",
    );
    if inputs.findings.is_empty() {
        out.push_str("<p>None.</p>\n</section>\n");
        return;
    }
    out.push_str("<ol class=\"findings\">\n");
    for (i, finding) in inputs.findings.iter().enumerate() {
        let number = i + 1;
        let remedy = if finding.remedy.is_empty() {
            String::new()
        } else {
            format!("<p>{}</p>", escape(&finding.remedy))
        };
        let places: Vec<String> = finding
            .places
            .iter()
            .map(|p| where_it_is(inputs, p))
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
fn where_it_is(inputs: &HtmlInputs, place: &crate::Place) -> String {
    use crate::units::{Length, Plan};
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
        let length = |feet: f64| inputs.units.length(Length::<Plan>::feet(feet));
        words.push(format!("at x {}, y {}", length(p.x), length(p.y)));
    }
    words.join(", ")
}

fn method_section(out: &mut String, inputs: &HtmlInputs) {
    let checks = schedule::checks(inputs);
    if checks.is_none() && inputs.cautions.is_empty() {
        return;
    }
    out.push_str("<section>\n");
    out.push_str(&checks.unwrap_or_default());
    if !inputs.cautions.is_empty() {
        out.push_str("<h2>Cautions</h2>\n<ul>\n");
        for caution in inputs.cautions {
            let _ = writeln!(out, "<li>{}</li>", escape(caution));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</section>\n");
}

fn footer(out: &mut String, inputs: &HtmlInputs) {
    let units = match inputs.units {
        Units::Feet => "ft and in",
        Units::Metric => "metres",
    };
    let cells: String = inputs
        .fields
        .iter()
        .copied()
        .chain([("Drawing", inputs.drawing_title), ("Lengths", units)])
        .filter(|(_, value)| !value.is_empty())
        .map(|(label, value)| {
            format!(
                "<div><dt>{}</dt><dd>{}</dd></div>",
                escape(label),
                escape(value)
            )
        })
        .collect();
    let _ = write!(
        out,
        "<footer>\n<p><strong>{}</strong>Made with eavewright</p>\n<dl class=\"title-block\">{cells}</dl>\n</footer>\n",
        escape(inputs.heading()),
    );
}
