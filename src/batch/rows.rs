//! The rows that one plan's record gives to each table.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::columns::{Kind, Table, Value};
use super::record::Header;

/// The rows of one plan, by table.
#[derive(Clone, Debug, PartialEq)]
pub struct Rows {
    plan: Vec<Value>,
    faces: Vec<Vec<Value>>,
    edges: Vec<Vec<Value>>,
}

impl Rows {
    /// Those of one table.
    pub fn of(&self, table: Table) -> &[Vec<Value>] {
        match table {
            Table::Plans => std::slice::from_ref(&self.plan),
            Table::Faces => &self.faces,
            Table::Edges => &self.edges,
        }
    }
}

/// The part of a record that the tables need.
#[derive(Deserialize)]
struct Read {
    batch: Header,
    units: Units,
    scale: Option<Scale>,
    #[serde(default)]
    faces: Vec<Face>,
    #[serde(default)]
    edges: Vec<Edge>,
    totals: Option<Totals>,
    courses: Option<Courses>,
    findings: Vec<Told>,
}

#[derive(Deserialize)]
struct Units {
    length: String,
}

#[derive(Deserialize)]
struct Scale {
    from: String,
    length_per_drawing_unit: f64,
}

#[derive(Deserialize)]
struct Face {
    name: String,
    rise_in_12: f64,
    pitch_deg: f64,
    downslope_deg: Option<f64>,
    plan_area: f64,
    true_area: f64,
    outline: Vec<[f64; 3]>,
    holes: Vec<Vec<[f64; 3]>>,
}

#[derive(Deserialize)]
struct Edge {
    class: String,
    plan_length: f64,
    true_length: f64,
    faces: Vec<String>,
    start: [f64; 3],
    end: [f64; 3],
}

#[derive(Deserialize)]
struct Totals {
    plan_area: f64,
    true_area: f64,
    squares: f64,
    lengths: BTreeMap<String, f64>,
}

#[derive(Deserialize)]
struct Courses {
    format: String,
    pieces_opened: i64,
    pieces_bound: i64,
    cuts: i64,
    offcuts_reused: i64,
    waste_percent: f64,
    nails: i64,
    faces: Vec<FaceCourses>,
}

#[derive(Deserialize)]
struct FaceCourses {
    name: String,
    courses: i64,
    pieces_opened: i64,
    pieces_bound: i64,
    cuts: i64,
}

#[derive(Deserialize)]
struct Told {
    severity: String,
    code: String,
    message: String,
}

/// The rows of a record.
///
/// # Errors
/// Why the text is no record of this program.
pub fn rows(record: &str) -> Result<Rows, String> {
    let read: Read = serde_json::from_str(record).map_err(|e| e.to_string())?;
    let layouts = read.courses.as_ref().map_or(&[][..], |c| &c.faces);
    let layout: BTreeMap<&str, &FaceCourses> =
        layouts.iter().map(|f| (f.name.as_str(), f)).collect();
    Ok(Rows {
        plan: plan(&read),
        faces: (read.faces.iter())
            .map(|f| face(&read, f, layout.get(f.name.as_str()).copied()))
            .collect(),
        edges: (read.edges.iter().enumerate())
            .map(|(n, e)| edge(&read, n, e))
            .collect(),
    })
}

/// Why a plan was not taken off, as its record has it: code and message of each reason, the gravest first. Empty where the
/// text is no record, or one without reasons.
///
/// ```
/// let record = r#"{"findings": [{"severity": "error", "code": "no-scale", "message": "There is no scale."}]}"#;
/// let reasons = eavewright::batch::reasons(record);
/// assert_eq!(reasons, [("no-scale".to_owned(), "There is no scale.".to_owned())]);
/// ```
pub fn reasons(record: &str) -> Vec<(String, String)> {
    #[derive(Deserialize)]
    struct Findings {
        findings: Vec<Told>,
    }
    let read = serde_json::from_str(record).map_or_else(|_| Vec::new(), |f: Findings| f.findings);
    let errors = read.into_iter().filter(|f| f.severity == "error");
    errors.map(|f| (f.code, f.message)).collect()
}

/// The cells of a table's columns by name: a cell that is not named is missing, and a name that is no column's cannot
/// slip in, for every cell is asked for by its column.
fn row(table: Table, cell: impl Fn(&str) -> Option<Value>) -> Vec<Value> {
    let missing = |kind| match kind {
        Kind::Text => Value::Text(None),
        Kind::Number => Value::Number(None),
        Kind::Count => Value::Count(None),
    };
    let cells = table.columns().iter();
    cells
        .map(|column| cell(column.name).unwrap_or_else(|| missing(column.kind)))
        .collect()
}

fn number(value: f64) -> Option<Value> {
    Some(Value::Number(Some(value)))
}

fn count(value: i64) -> Option<Value> {
    Some(Value::Count(Some(value)))
}

fn length_count<T>(list: &[T]) -> Option<Value> {
    count(i64::try_from(list.len()).unwrap_or(i64::MAX))
}

fn words(text: &str) -> Option<Value> {
    Some(Value::text(text))
}

fn plan(read: &Read) -> Vec<Value> {
    let told = |severity: &str| -> Option<Value> {
        let many = read.findings.iter().filter(|f| f.severity == severity);
        count(i64::try_from(many.count()).unwrap_or(i64::MAX))
    };
    let done = read.totals.is_some();
    // The gravest comes first in a record; a note is not worth a look in a table of thousands.
    let first = read.findings.iter().find(|f| f.severity != "note");
    row(Table::Plans, |name| match name {
        "plan" => words(&read.batch.plan),
        "outcome" => words(read.batch.outcome.word()),
        "key" => words(&read.batch.key),
        "length_unit" => words(&read.units.length),
        "scale_from" => words(&read.scale.as_ref()?.from),
        "length_per_drawing_unit" => number(read.scale.as_ref()?.length_per_drawing_unit),
        "faces" if done => length_count(&read.faces),
        "edges" if done => length_count(&read.edges),
        "plan_area" => number(read.totals.as_ref()?.plan_area),
        "true_area" => number(read.totals.as_ref()?.true_area),
        "squares" => number(read.totals.as_ref()?.squares),
        "format" => words(&read.courses.as_ref()?.format),
        "pieces_opened" => count(read.courses.as_ref()?.pieces_opened),
        "pieces_bound" => count(read.courses.as_ref()?.pieces_bound),
        "cuts" => count(read.courses.as_ref()?.cuts),
        "offcuts_reused" => count(read.courses.as_ref()?.offcuts_reused),
        "waste_percent" => number(read.courses.as_ref()?.waste_percent),
        "nails" => count(read.courses.as_ref()?.nails),
        "errors" => told("error"),
        "warnings" => told("warning"),
        "notes" => told("note"),
        "first_code" => words(&first?.code),
        "first_message" => words(&first?.message),
        "path" => words(read.batch.path.as_ref()?),
        class => number(*read.totals.as_ref()?.lengths.get(class)?),
    })
}

fn face(read: &Read, face: &Face, layout: Option<&FaceCourses>) -> Vec<Value> {
    row(Table::Faces, |name| match name {
        "plan" => words(&read.batch.plan),
        "face" => words(&face.name),
        "length_unit" => words(&read.units.length),
        "rise_in_12" => number(face.rise_in_12),
        "pitch_deg" => number(face.pitch_deg),
        "downslope_deg" => number(face.downslope_deg?),
        "plan_area" => number(face.plan_area),
        "true_area" => number(face.true_area),
        "corners" => length_count(&face.outline),
        "holes" => length_count(&face.holes),
        "courses" => count(layout?.courses),
        "pieces_opened" => count(layout?.pieces_opened),
        "pieces_bound" => count(layout?.pieces_bound),
        "cuts" => count(layout?.cuts),
        _ => None,
    })
}

fn edge(read: &Read, n: usize, edge: &Edge) -> Vec<Value> {
    row(Table::Edges, |name| match name {
        "plan" => words(&read.batch.plan),
        "edge" => count(i64::try_from(n + 1).ok()?),
        "class" => words(&edge.class),
        "length_unit" => words(&read.units.length),
        "plan_length" => number(edge.plan_length),
        "true_length" => number(edge.true_length),
        "face" => words(edge.faces.first()?),
        "other_face" => words(edge.faces.get(1)?),
        "start_x" => number(edge.start[0]),
        "start_y" => number(edge.start[1]),
        "start_z" => number(edge.start[2]),
        "end_x" => number(edge.end[0]),
        "end_y" => number(edge.end[1]),
        "end_z" => number(edge.end[2]),
        _ => None,
    })
}
