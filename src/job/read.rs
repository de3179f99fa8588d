//! From TOML to a [`Job`], with every problem and its line.

use serde::de::DeserializeOwned;
use serde_json::Value;
use toml::Spanned;
use toml::de::{DeTable, DeValue, ValueDeserializer};

use super::schema::{self, Fault, FaultKind};
use super::{Job, SCHEMA};
use crate::Finding;
use crate::finding::excerpt;

/// Two words are near enough to suggest one for the other (Jaro-Winkler similarity; found by trying typing errors).
const NEAR: f64 = 0.75;

/// Broken places of a job file that are told one by one: another kind of file is broken in every line.
const BROKEN_TOLD: usize = 3;

/// A text of a job file is no longer than this, in letters: far more than any title block or sentence of an offer holds.
const LONGEST_TEXT: usize = 2000;

pub(super) fn job(text: &str) -> Result<Job, Vec<Finding>> {
    let (table, broken) = DeTable::parse_recoverable(text);
    let mut reader = Reader {
        text,
        findings: Vec::new(),
    };
    for error in broken.iter().take(BROKEN_TOLD) {
        reader.syntax(error);
    }
    if broken.len() > BROKEN_TOLD {
        reader.many_broken(broken.len() - BROKEN_TOLD);
    }
    if !broken.is_empty() {
        return Err(reader.findings);
    }
    let schema: Value = serde_json::from_str(SCHEMA).map_err(|e| {
        vec![Finding::error(
            "schema-broken",
            format!("The job schema cannot be read: {e}"),
        )]
    })?;
    let sections = &schema["properties"];
    let mut job = Job::default();
    for (key, value) in table.into_inner() {
        let name = key.get_ref().to_string();
        let Some(schema) = sections.get(&name) else {
            let fault = Fault {
                at: key.span().start,
                path: name,
                kind: FaultKind::UnknownKey(schema::keys(Some(sections))),
            };
            reader.fault(&fault);
            continue;
        };
        let mut faults = Vec::new();
        schema::faults(schema, &name, &value, &mut faults);
        for fault in &faults {
            reader.fault(fault);
        }
        if name == "shingles" {
            reader.formats_twice(&value);
        }
        reader.long_texts(&value);
        if faults.is_empty() {
            reader.section(&name, value, &mut job);
        }
    }
    if reader.findings.is_empty() {
        Ok(job)
    } else {
        Err(reader.findings)
    }
}

struct Reader<'t> {
    text: &'t str,
    findings: Vec<Finding>,
}

impl Reader<'_> {
    /// Line and column, from 1, of a byte of the text.
    fn place(&self, byte: usize) -> (usize, usize) {
        let before = self.text.get(..byte).unwrap_or(self.text);
        let line = before.matches('\n').count() + 1;
        let column = before.chars().rev().take_while(|&c| c != '\n').count() + 1;
        (line, column)
    }

    fn syntax(&mut self, error: &toml::de::Error) {
        let (line, column) = self.place(error.span().map_or(0, |s| s.start));
        self.findings.push(
            Finding::error(
                "job-not-toml",
                format!(
                    "The job file cannot be read at line {line}, column {column}: {}.",
                    error.message()
                ),
            )
            .remedy("Correct the line; the job file is TOML: `key = value` under `[table]` heads."),
        );
    }

    fn many_broken(&mut self, more: usize) {
        self.findings.push(
            Finding::error(
                "job-not-toml",
                format!("The job file cannot be read in {more} more places."),
            )
            .remedy("If this is no job file, give another; `eavewright job new` writes one to start from."),
        );
    }

    /// Texts that no paper holds.
    fn long_texts(&mut self, value: &Spanned<DeValue<'_>>) {
        match value.get_ref() {
            DeValue::String(text) if text.chars().nth(LONGEST_TEXT).is_some() => {
                let (line, _) = self.place(value.span().start);
                self.findings.push(
                    Finding::error(
                        "text-too-long",
                        format!("The text at line {line} of the job file has more than {LONGEST_TEXT} letters."),
                    )
                    .remedy("Shorten it."),
                );
            }
            DeValue::Array(array) => array.iter().for_each(|value| self.long_texts(value)),
            DeValue::Table(table) => table.iter().for_each(|(_, value)| self.long_texts(value)),
            _ => {}
        }
    }

    /// A second format of a name would never be laid: formats are found by their names, in capitals or not.
    fn formats_twice(&mut self, shingles: &Spanned<DeValue<'_>>) {
        let formats = (shingles.get_ref().as_table()).and_then(|t| t.get("formats"));
        let Some(formats) = formats.and_then(|f| f.get_ref().as_array()) else {
            return;
        };
        let mut seen: Vec<String> = Vec::new();
        for format in formats.iter() {
            let name = (format.get_ref().as_table()).and_then(|t| t.get("name"));
            let Some(text) = name.and_then(|n| n.get_ref().as_str()) else {
                continue;
            };
            let plain = text.trim().to_lowercase();
            if seen.contains(&plain) {
                let (line, _) = self.place(name.map_or(0, |n| n.span().start));
                self.findings.push(
                    Finding::error(
                        "format-twice",
                        format!(
                            "The job file has a second shingle format called “{}” at line {line}.",
                            excerpt(text)
                        ),
                    )
                    .remedy("Give each format under [[shingles.formats]] a name of its own."),
                );
            }
            seen.push(plain);
        }
    }

    fn section(&mut self, name: &str, value: Spanned<DeValue<'_>>, job: &mut Job) {
        match name {
            "project" => self.read(name, value, &mut job.project),
            "plan" => self.read(name, value, &mut job.plan),
            "shingles" => self.read(name, value, &mut job.shingles),
            "site" => self.read(name, value, &mut job.site),
            "materials" => self.read(name, value, &mut job.materials),
            "prices" => self.read(name, value, &mut job.prices),
            "labour" => self.read(name, value, &mut job.labour),
            "bid" => self.read(name, value, &mut job.bid),
            // The schema has no other table; a test holds it to the fields of `Job`.
            _ => {}
        }
    }

    fn read<T: DeserializeOwned>(&mut self, name: &str, value: Spanned<DeValue<'_>>, into: &mut T) {
        let start = value.span().start;
        match T::deserialize(ValueDeserializer::from(value)) {
            Ok(read) => *into = read,
            Err(error) => {
                let (line, _) = self.place(error.span().map_or(start, |s| s.start));
                self.findings.push(
                    Finding::error(
                        "job-value",
                        format!(
                            "The job file's [{name}] cannot be used at line {line}: {}.",
                            error.message()
                        ),
                    )
                    .remedy("Correct the value."),
                );
            }
        }
    }

    fn fault(&mut self, fault: &Fault) {
        let (line, _) = self.place(fault.at);
        let path = &*excerpt(&fault.path);
        let key = fault.path.rsplit('.').next().unwrap_or(path);
        let finding = match &fault.kind {
            FaultKind::UnknownKey(known) => Finding::error(
                "job-unknown-key",
                format!("The job file has an unknown key at line {line}: `{path}`."),
            )
            .remedy(suggestion(key, known)),
            FaultKind::UnknownWord(word, known) => Finding::error(
                "job-value",
                format!("The job file cannot be used at line {line}: `{path}` knows no “{}”.", excerpt(word)),
            )
            .remedy(suggestion(word, known)),
            FaultKind::WrongType(wanted, found) => Finding::error(
                "job-value",
                format!(
                    "The job file cannot be used at line {line}: `{path}` is a TOML {found}, but must be {wanted}."
                ),
            )
            .remedy(if wanted.starts_with("text") {
                "Write the value in quotes; a length with its unit: \"12in\", \"300 mm\"."
            } else {
                "Correct the value."
            }),
            FaultKind::NotWithin(written, wanted) => Finding::error(
                "job-value",
                format!(
                    "The job file cannot be used at line {line}: `{path}` is {written}, but must be {wanted}."
                ),
            )
            .remedy("Correct the number; it is written with a point: 38.50."),
            FaultKind::NoDate(text) => Finding::error(
                "job-value",
                format!(
                    "The job file cannot be used at line {line}: `{path}` is “{}”, which is no date.",
                    excerpt(text)
                ),
            )
            .remedy("Write the date as year, month, day: 2026-11-30."),
            FaultKind::TooLong(text, longest, why) => Finding::error(
                "job-value",
                format!(
                    "The job file cannot be used at line {line}: `{path}` is “{}”, and {longest} is the most: {why}.",
                    excerpt(text)
                ),
            )
            .remedy("Correct the length or its unit; a length has its unit beside it: \"12in\", \"300 mm\"."),
            FaultKind::TooSmall(text, least, why) => Finding::error(
                "job-value",
                format!(
                    "The job file cannot be used at line {line}: `{path}` is “{}”, and {least} is the least: {why}.",
                    excerpt(text)
                ),
            )
            .remedy("Correct it or its unit, or leave it out where it is not known."),
            FaultKind::Empty => Finding::error(
                "job-value",
                format!("The job file cannot be used at line {line}: `{path}` is empty."),
            )
            .remedy("Write something, or leave it out."),
            FaultKind::Missing(missing) => Finding::error(
                "job-value",
                format!("The job file cannot be used at line {line}: `{path}` needs `{missing}`."),
            )
            .remedy(format!("Add `{missing}`.")),
        };
        self.findings.push(finding);
    }
}

/// The nearest known word, or all of them.
pub(super) fn suggestion(word: &str, known: &[String]) -> String {
    let near = known
        .iter()
        .map(|k| (strsim::jaro_winkler(word, k), k))
        .filter(|(similarity, _)| *similarity > NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    match near {
        Some((_, near)) => format!("Did you mean `{near}`? Known here: {}.", known.join(", ")),
        None => format!("Known here: {}.", known.join(", ")),
    }
}
