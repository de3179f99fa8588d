//! The job file's JSON Schema, which editors use, is also what the reader checks keys and words by: so all of them
//! are found at once, and the schema cannot fall behind.
//!
//! Understood of JSON Schema: `type`, `properties`, `additionalProperties`, `items`, `enum`, `required`, `minimum`,
//! `exclusiveMinimum`, `maximum`, `not` with a gap between two numbers, `minLength` of 1 (of blanks alone a text is empty too) and
//! `format: date`. Bounds hold for numbers in text too, and nothing infinite passes.
//! Of its own it has `x-longest`, the longest that a length may sensibly be, with `x-why`: `200ft` for `20in` is a slip; and
//! `x-least`, the least that a length or an area may be, with `x-least-why`. What else is wrong with one is left to the
//! reading itself.

use serde_json::Value;
use toml::Spanned;
use toml::de::DeValue;

use crate::finding::excerpt;
use crate::materials::{is_date, parse_decimal};
use crate::units::number::decimal;
use crate::units::{parse_area_sqft, parse_length_in};

/// What is wrong with one key or value.
pub(super) struct Fault {
    /// Where in the text, in bytes.
    pub(super) at: usize,
    /// The key with the tables that it is in.
    pub(super) path: String,
    pub(super) kind: FaultKind,
}

pub(super) enum FaultKind {
    /// The key is not known; what is.
    UnknownKey(Vec<String>),
    /// The word is not one of those allowed.
    UnknownWord(String, Vec<String>),
    /// The value is of another kind: (what it should be, what it is).
    WrongType(String, &'static str),
    /// A key that must be there is not.
    Missing(String),
    /// A number that is out of bounds, or none: (what it is, what it must be).
    NotWithin(String, String),
    /// A text that is no date.
    NoDate(String),
    /// A text of nothing.
    Empty,
    /// A length beyond all sense: (what it is, the longest that it may be, why).
    TooLong(String, String, String),
    /// A length or an area too small for any sense: (what it is, the least that it may be, why).
    TooSmall(String, String, String),
}

/// Everything in a table that the schema does not allow.
pub(super) fn faults(
    schema: &Value,
    path: &str,
    value: &Spanned<DeValue<'_>>,
    out: &mut Vec<Fault>,
) {
    let mut tell = |kind| {
        out.push(Fault {
            at: value.span().start,
            path: path.to_owned(),
            kind,
        });
    };
    if let Some(allowed) = schema.get("enum") {
        let words = words(allowed);
        match value.get_ref().as_str() {
            Some(word) if words.iter().any(|w| w == word) => {}
            Some(word) => tell(FaultKind::UnknownWord(word.to_owned(), words)),
            None => tell(FaultKind::WrongType(
                "text".to_owned(),
                value.get_ref().type_str(),
            )),
        }
        return;
    }
    if let Some(types) = schema.get("type")
        && !is_of(types, value.get_ref())
    {
        tell(FaultKind::WrongType(
            names(types),
            value.get_ref().type_str(),
        ));
        return;
    }
    if let Some((written, wanted)) = not_within(schema, value.get_ref()) {
        tell(FaultKind::NotWithin(written, wanted));
        return;
    }
    if schema.get("format").and_then(Value::as_str) == Some("date")
        && let Some(text) = value.get_ref().as_str().filter(|text| !is_date(text))
    {
        tell(FaultKind::NoDate(text.to_owned()));
        return;
    }
    if schema.get("minLength").is_some() && value.get_ref().as_str().is_some_and(is_blank) {
        tell(FaultKind::Empty);
        return;
    }
    let beyond = too_long(schema, value.get_ref()).or_else(|| too_small(schema, value.get_ref()));
    if let Some(fault) = beyond {
        tell(fault);
        return;
    }
    if let Some(table) = value.get_ref().as_table() {
        inside(schema, path, value.span().start, table, out);
    }
    if let (Some(items), Some(array)) = (schema.get("items"), value.get_ref().as_array()) {
        for item in array {
            faults(items, path, item, out);
        }
    }
}

fn inside(
    schema: &Value,
    path: &str,
    start: usize,
    table: &toml::de::DeTable<'_>,
    out: &mut Vec<Fault>,
) {
    let properties = schema.get("properties");
    for (key, value) in table.iter() {
        let name = key.get_ref();
        let path = format!("{path}.{name}");
        let known = properties.and_then(|p| p.get(name.as_ref()));
        match known.or_else(|| schema.get("additionalProperties").filter(|a| a.is_object())) {
            Some(schema) => faults(schema, &path, value, out),
            None => out.push(Fault {
                at: key.span().start,
                path,
                kind: FaultKind::UnknownKey(keys(properties)),
            }),
        }
    }
    for key in schema.get("required").map(words).unwrap_or_default() {
        if !table.contains_key(key.as_str()) {
            out.push(Fault {
                at: start,
                path: path.to_owned(),
                kind: FaultKind::Missing(key),
            });
        }
    }
}

/// The keys of a schema's properties.
pub(super) fn keys(properties: Option<&Value>) -> Vec<String> {
    properties
        .and_then(Value::as_object)
        .map(|map| map.keys().cloned().collect())
        .unwrap_or_default()
}

fn words(list: &Value) -> Vec<String> {
    list.as_array()
        .into_iter()
        .flatten()
        .filter_map(|w| w.as_str().map(str::to_owned))
        .collect()
}

fn is_of(types: &Value, value: &DeValue<'_>) -> bool {
    let one = |name: &str| match name {
        "string" => value.is_str(),
        "integer" => value.is_integer(),
        "number" => value.is_integer() || value.is_float(),
        "boolean" => value.is_bool(),
        "array" => value.is_array(),
        "object" => value.is_table(),
        _ => false,
    };
    match types {
        Value::String(name) => one(name),
        _ => words(types).iter().any(|name| one(name)),
    }
}

/// A length that is longer than the schema allows.
fn too_long(schema: &Value, value: &DeValue<'_>) -> Option<FaultKind> {
    let said = |name: &str| schema.get(name).and_then(Value::as_str);
    let (longest, text) = (said("x-longest")?, value.as_str()?);
    (parse_length_in(text)? > parse_length_in(longest)?).then(|| {
        let why = said("x-why").unwrap_or_default();
        FaultKind::TooLong(text.to_owned(), longest.to_owned(), why.to_owned())
    })
}

/// A length or an area that is smaller than the schema allows.
fn too_small(schema: &Value, value: &DeValue<'_>) -> Option<FaultKind> {
    let said = |name: &str| schema.get(name).and_then(Value::as_str);
    let size = |text: &str| parse_length_in(text).or_else(|| parse_area_sqft(text));
    let (least, text) = (said("x-least")?, value.as_str()?);
    (size(text)? < size(least)?).then(|| {
        let why = said("x-least-why").unwrap_or_default();
        FaultKind::TooSmall(text.to_owned(), least.to_owned(), why.to_owned())
    })
}

fn is_blank(text: &str) -> bool {
    text.trim().is_empty()
}

/// A number that the schema does not allow, as written, and what it must be.
fn not_within(schema: &Value, value: &DeValue<'_>) -> Option<(String, String)> {
    let (written, number) = number(schema, value)?;
    let bound = |name: &str| schema.get(name).and_then(Value::as_f64);
    let (least, above, most) = (
        bound("minimum"),
        bound("exclusiveMinimum"),
        bound("maximum"),
    );
    let gap = schema.get("not").and_then(|gap| {
        let end = |name: &str| gap.get(name).and_then(Value::as_f64);
        Some((end("exclusiveMinimum")?, end("exclusiveMaximum")?))
    });
    let is_within = number.is_some_and(|n| {
        n.is_finite()
            && gap.is_none_or(|(from, to)| n <= from || n >= to)
            && least.is_none_or(|least| n >= least)
            && above.is_none_or(|above| n > above)
            && most.is_none_or(|most| n <= most)
    });
    if is_within {
        return None;
    }
    let figure = |bound: f64| decimal(bound, 0);
    if let (Some((_, to)), Some(least), Some(most)) = (gap, least, most) {
        let [least, to, most] = [least, to, most].map(figure);
        return Some((written, format!("{least}, or a number from {to} to {most}")));
    }
    let wanted = match (least.map(figure), above.map(figure), most.map(figure)) {
        (Some(least), _, Some(most)) => format!("a number from {least} to {most}"),
        (Some(least), _, None) => format!("a number of {least} or more"),
        (_, Some(above), Some(most)) => format!("a number above {above}, {most} at most"),
        (_, Some(above), None) => format!("a number above {above}"),
        (None, None, Some(most)) => format!("a number of {most} at most"),
        (None, None, None) => "a number".to_owned(),
    };
    Some((written, wanted))
}

/// A number as written and as such; `None` in place of the number where a text that should be one is none.
fn number(schema: &Value, value: &DeValue<'_>) -> Option<(String, Option<f64>)> {
    if let Some(integer) = value.as_integer() {
        let number = i64::from_str_radix(integer.as_str(), integer.radix());
        return Some((integer.to_string(), number.ok().map(|n| n as f64)));
    }
    if let Some(float) = value.as_float() {
        return Some((float.to_string(), float.as_str().parse().ok()));
    }
    let text = value.as_str()?;
    // Only exact decimals may be written as text.
    let is_number = schema.get("type").map(words)?.iter().any(|t| t == "number");
    is_number.then(|| {
        let decimal = parse_decimal(text);
        let number = decimal.and_then(|d| d.to_string().parse().ok());
        (format!("“{}”", excerpt(text)), number)
    })
}

/// The names of types as people say them.
fn names(types: &Value) -> String {
    let said = |name: &str| match name {
        "string" => "text in quotes",
        "integer" => "a whole number",
        "number" => "a number",
        "boolean" => "true or false",
        "array" => "a list in [ ]",
        _ => "a table",
    };
    match types {
        Value::String(name) => said(name).to_owned(),
        _ => words(types)
            .iter()
            .map(|n| said(n))
            .collect::<Vec<_>>()
            .join(" or "),
    }
}
