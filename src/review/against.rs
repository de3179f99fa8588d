//! A list of stated figures beside the drawing: CSV, one figure a line.

use super::figure;
use super::list_head::{self, Bare};
use super::stated::{Stated, Subject, SurfaceSaid};
use crate::Finding;
use crate::finding::{excerpt, of_error};
use crate::roof::{EdgeClass, FaceId, Roof};
use crate::units::number::{has_decimal_comma, thousands};

/// Stated figures, not yet held against a roof.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct AgainstList {
    rows: Vec<Against>,
    /// What was noticed of its head.
    told: Vec<Finding>,
}

/// One line of the list.
#[derive(Clone, Debug, PartialEq)]
pub struct Against {
    /// A face (`S1`), `total`, or a class of edges (`eave`).
    pub name: String,
    /// The figure as written, with its unit.
    pub text: String,
    /// Its line in the file, from 1.
    pub line: u64,
    value: Value,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Value {
    Area {
        sqft: f64,
        half_step_sqft: f64,
        surface: SurfaceSaid,
    },
    Length {
        class: EdgeClass,
        feet: f64,
        half_step_ft: f64,
        surface: SurfaceSaid,
    },
}

/// A stated total length of a class of edges.
#[derive(Clone, Debug)]
pub(super) struct StatedLength {
    pub(super) class: EdgeClass,
    pub(super) feet: f64,
    pub(super) half_step_ft: f64,
    pub(super) surface: SurfaceSaid,
    pub(super) text: String,
    pub(super) line: u64,
}

/// A list holds no more figures than this: a house has a dozen, a plan of fifty houses some hundreds. They are held against
/// one another, and each that differs is told.
const MOST_FIGURES: usize = 10_000;

/// Names for the whole roof.
const TOTAL: [&str; 4] = ["total", "roof", "whole roof", "roof area"];

impl AgainstList {
    /// Reads a list: the columns are name, figure and, if wanted, unit (`ft2`, `m2`, `squares`, `ft`, `m`); a unit may
    /// as well stand beside the figure (`2,450 sq ft`). A first line whose figure has no number in it (`area`, `area ft2`) and
    /// whose name is none of the roof's is the head; lines that start with `#` are comments. A bare number is in the unit that
    /// the head says (`area (m2)`, `squares`), else in square feet and feet, or square metres and metres where `metric`. `plan` before a name (`plan total`, `plan hip`) or for the unit says that the
    /// figure is one in plan.
    ///
    /// ```
    /// use eavewright::review::AgainstList;
    /// let list = AgainstList::parse("face,area\nS1,480\ntotal,9.6,squares\neave,80 ft\n", false).unwrap();
    /// assert_eq!(list.rows().len(), 3);
    /// let wrong = AgainstList::parse("S1,480\nS2,large\n", false).unwrap_err();
    /// assert!(wrong[0].message.contains("line 2"));
    /// ```
    ///
    /// # Errors
    /// Every line that cannot be used, with its number.
    pub fn parse(text: &str, metric: bool) -> Result<Self, Vec<Finding>> {
        let mut reader = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
        let (mut rows, mut wrong, mut told) = (Vec::new(), Vec::new(), Vec::new());
        let mut bare = Bare::in_system(metric);
        for (index, record) in reader.records().enumerate() {
            let record = match record {
                Ok(record) => record,
                Err(error) => {
                    wrong.push(Finding::error(
                        "against-unreadable",
                        format!(
                            "The list of stated figures cannot be read: {}.",
                            of_error(&error)
                        ),
                    ));
                    break;
                }
            };
            let line = record.position().map_or(0, csv::Position::line);
            let cell = |i: usize| record.get(i).unwrap_or_default();
            let (name, figure, unit) = (cell(0), cell(1), cell(2));
            if name.is_empty() && figure.is_empty() {
                continue;
            }
            if rows.len() + wrong.len() == MOST_FIGURES {
                return Err(vec![too_long(line)]);
            }
            if let Some(told) = foreign(line, &record) {
                wrong.push(told);
                continue;
            }
            if index == 0 && !has_number(figure) && !is_a_name(name) {
                (bare, told) = list_head::read(figure, unit, line, metric);
                continue;
            }
            match value(name, figure, unit, &bare) {
                Some(value) => rows.push(Against {
                    name: name.to_owned(),
                    text: format!("{figure} {unit}").trim().to_owned(),
                    line,
                    value,
                }),
                None => wrong.push(unreadable(line, name, figure, unit)),
            }
        }
        if rows.is_empty() && wrong.is_empty() {
            wrong.push(
                Finding::error(
                    "against-empty",
                    "The list of stated figures has no figure in it.",
                )
                .remedy("Write one a line: a face or `total`, and its area."),
            );
        }
        if wrong.is_empty() {
            Ok(Self { rows, told })
        } else {
            Err(wrong)
        }
    }

    /// The lines.
    pub fn rows(&self) -> &[Against] {
        &self.rows
    }

    /// What was noticed of its head, such as a unit that is not known.
    pub(super) fn told(&self) -> &[Finding] {
        &self.told
    }

    /// The figures with what they are of.
    ///
    /// # Errors
    /// Faces that the roof does not have.
    pub(super) fn resolve(
        &self,
        roof: &Roof,
    ) -> Result<(Vec<Stated>, Vec<StatedLength>), Vec<Finding>> {
        let (mut areas, mut lengths, mut wrong) = (Vec::new(), Vec::new(), Vec::new());
        for row in &self.rows {
            match row.value {
                Value::Length {
                    class,
                    feet,
                    half_step_ft,
                    surface,
                } => lengths.push(StatedLength {
                    surface,
                    class,
                    feet,
                    half_step_ft,
                    text: row.text.clone(),
                    line: row.line,
                }),
                Value::Area {
                    sqft,
                    half_step_sqft,
                    surface,
                } => match subject(&bare_name(&row.name).1, roof) {
                    Some(subject) => areas.push(Stated {
                        subject,
                        surface,
                        sqft,
                        half_step_sqft,
                        text: row.text.clone(),
                        place: None,
                        line: Some(row.line),
                    }),
                    None => wrong.push(unknown(row, roof)),
                },
            }
        }
        if wrong.is_empty() {
            Ok((areas, lengths))
        } else {
            Err(wrong)
        }
    }
}

/// The name without `plan` before it, in small letters, and whether that stood there.
fn bare_name(name: &str) -> (bool, String) {
    let name = name.to_lowercase();
    match name.strip_prefix("plan ") {
        Some(rest) => (true, rest.trim().to_owned()),
        None => (false, name),
    }
}

fn subject(name: &str, roof: &Roof) -> Option<Subject> {
    if TOTAL.contains(&name) {
        return Some(Subject::Roof);
    }
    let face = roof
        .faces
        .iter()
        .position(|f| f.name.to_lowercase() == name)?;
    Some(Subject::Face(FaceId(face)))
}

/// Whether a name can be one of a figure: `total`, a class of edges, or a face, which always has its number (`S1`). A word
/// such as `face` is a head.
fn is_a_name(name: &str) -> bool {
    let (_, bare) = bare_name(name);
    TOTAL.contains(&bare.as_str())
        || class(&bare).is_some()
        || bare.ends_with(|c: char| c.is_ascii_digit())
}

/// Whether a cell has a number in it. The 2 of `ft2`, `m²` and `length_ft^2` is none: the head of a column of areas.
fn has_number(cell: &str) -> bool {
    let mut before: [Option<char>; 2] = [None, None];
    let mut chars = cell.chars().peekable();
    while let Some(c) = chars.next() {
        let power = match before {
            [Some(unit), Some('^')] | [_, Some(unit)] => unit.is_alphabetic(),
            _ => false,
        };
        let alone = !chars.peek().is_some_and(|next| next.is_numeric());
        if c.is_numeric() && !(matches!(c, '2' | '²') && power && alone) {
            return true;
        }
        before = [before[1], Some(c)];
    }
    false
}

/// The class that a name says: `eave`, `eaves`, `high edge`.
fn class(name: &str) -> Option<EdgeClass> {
    EdgeClass::ALL.into_iter().find(|class| {
        let words = [class.key(), class.words()];
        words.iter().any(|w| name == *w || name == format!("{w}s"))
    })
}

/// A figure with its unit is no longer than this, in bytes.
const LONGEST_FIGURE: usize = 200;

fn value(name: &str, figure: &str, unit: &str, bare: &Bare) -> Option<Value> {
    if figure.len() + unit.len() > LONGEST_FIGURE {
        return None;
    }
    let (plan, name) = bare_name(name);
    let (said, unit) = figure::surface_said(unit);
    let surface = |words: bool, of_head: SurfaceSaid| {
        if plan || words {
            SurfaceSaid::Plan
        } else {
            said.unwrap_or(of_head)
        }
    };
    if let Some(class) = class(&name) {
        let (feet, half_step_ft) = figure::length(figure, unit, bare.length)?;
        return Some(Value::Length {
            class,
            feet,
            half_step_ft,
            surface: surface(false, bare.length_surface),
        });
    }
    let (sqft, half_step_sqft, words) = figure::area(figure, unit, &bare.area)?;
    Some(Value::Area {
        sqft,
        half_step_sqft,
        surface: surface(words, bare.area_surface),
    })
}

/// What is wrong with a line that was written where the comma is the decimal sign: columns parted by semicolons or tabs,
/// `480,5` for 480.5. Commas part columns and thousands here; a guess would be wrong by a factor of ten or a hundred.
fn foreign(line: u64, record: &csv::StringRecord) -> Option<Finding> {
    let cells: Vec<&str> = record.iter().collect();
    let first = cells.first().copied().unwrap_or_default();
    if first.contains([';', '\t']) {
        let told = format!(
            "The list of stated figures, line {line}: columns are parted by commas, and “{}” has other signs between them.",
            excerpt(&cells.join(",").replace('\t', " "))
        );
        return Some(
            Finding::error("against-columns", told).remedy(
                "Save the list with commas between the columns, and points in the numbers.",
            ),
        );
    }
    let cell = |i: usize| cells.get(i).copied().unwrap_or_default();
    let misplaced = |column: &str, at: usize| {
        let told = format!(
            "The list of stated figures, line {line}: “{}” stands in a {column} column.",
            excerpt(cell(at))
        );
        let told = Finding::error("against-columns", told);
        Some(told.remedy("Leave three columns: name, figure and, if wanted, unit."))
    };
    // A unit never begins with a digit: what stands there is more of the figure, where that can go on.
    let figure = if goes_on(cell(1), cell(2)) {
        let parts = cells.iter().skip(1).copied();
        let parts = parts.take_while(|cell| cell.starts_with(|c: char| c.is_ascii_digit()));
        parts.collect::<Vec<_>>().join(",")
    } else if has_decimal_comma(cell(1)) {
        cell(1).to_owned()
    } else if cell(2).starts_with(|c: char| c.is_ascii_digit()) {
        return misplaced("third", 2);
    } else if cell(3).is_empty() {
        return None;
    } else {
        return misplaced("fourth", 3);
    };
    let told = format!(
        "The list of stated figures, line {line}: “{}” has a comma that parts columns here, or stands for the decimal point.",
        excerpt(&figure)
    );
    Some(Finding::error("against-decimal-comma", told).remedy(
        "Write numbers with a point: 480.5. Commas part columns, and thousands only in quotes (\"2,450\").",
    ))
}

/// Whether a cell may be the rest of the number in the one before it, which a comma parted: digits, with a point and a unit
/// perhaps. A pitch or an angle is none, and a number that has its point has no more decimals.
fn goes_on(figure: &str, rest: &str) -> bool {
    let is_whole = !figure.is_empty() && figure.bytes().all(|b| b.is_ascii_digit());
    let digits = rest.trim_start_matches(|c: char| c.is_ascii_digit());
    let after = digits.strip_prefix('.').unwrap_or(digits);
    let after = after.trim_start_matches(|c: char| c.is_ascii_digit());
    let ends = |c: char| c.is_whitespace() || c.is_alphabetic();
    is_whole && digits.len() < rest.len() && (after.is_empty() || after.starts_with(ends))
}

fn too_long(line: u64) -> Finding {
    let told = format!(
        "The list of stated figures, line {line}: it states more than {} figures.",
        thousands(MOST_FIGURES as u64)
    );
    Finding::error("against-too-long", told).remedy(
        "Leave in it what is stated of this roof: `total`, each face and each class of edges once.",
    )
}

fn unreadable(line: u64, name: &str, figure: &str, unit: &str) -> Finding {
    let written = format!("{figure} {unit}");
    let name = excerpt(name);
    let told = match &*excerpt(&written) {
        "" => format!("no figure stands beside “{name}”"),
        written => format!("“{written}” is no figure for “{name}”"),
    };
    Finding::error(
        "against-unreadable",
        format!("The list of stated figures, line {line}: {told}."),
    )
    .remedy("Write an area for a face or `total` (480, 2,450 sq ft, 24.5 squares, 228 m2), a length for a class of edges (80 ft).")
}

fn unknown(row: &Against, roof: &Roof) -> Finding {
    let mut names: Vec<&str> = roof.faces.iter().map(|f| f.name.as_str()).collect();
    names.push("total");
    let shown = names.iter().take(30).copied().collect::<Vec<_>>();
    let more = if names.len() > shown.len() {
        ", ..."
    } else {
        ""
    };
    Finding::error(
        "against-unknown-name",
        format!(
            "The list of stated figures, line {}: the roof has no face “{}”.",
            row.line,
            excerpt(&row.name)
        ),
    )
    .remedy(format!(
        "Known: {}{more}, and classes of edges such as `eave` with their lengths.",
        shown.join(", ")
    ))
}
