//! From TOML to a [`Job`], with every problem and its line.

use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeTable, DeValue, ValueDeserializer};

use super::Job;
use crate::Finding;

/// The tables of a job file.
const SECTIONS: [&str; 8] = [
    "project",
    "plan",
    "shingles",
    "site",
    "materials",
    "prices",
    "labour",
    "bid",
];

/// Two words are near enough to suggest one for the other.
const NEAR: f64 = 0.75;

pub(super) fn job(text: &str) -> Result<Job, Vec<Finding>> {
    let (table, broken) = DeTable::parse_recoverable(text);
    let mut reader = Reader {
        text,
        findings: Vec::new(),
    };
    for error in &broken {
        reader.syntax(error);
    }
    if !broken.is_empty() {
        return Err(reader.findings);
    }
    let mut job = Job::default();
    for (key, value) in table.into_inner() {
        let name = key.get_ref().to_string();
        match name.as_str() {
            "project" => reader.section(&name, value, &mut job.project),
            "plan" => reader.section(&name, value, &mut job.plan),
            "shingles" => reader.section(&name, value, &mut job.shingles),
            "site" => reader.section(&name, value, &mut job.site),
            "materials" => reader.section(&name, value, &mut job.materials),
            "prices" => reader.section(&name, value, &mut job.prices),
            "labour" => reader.section(&name, value, &mut job.labour),
            "bid" => reader.section(&name, value, &mut job.bid),
            _ => reader.unknown(&name, key.span().start, &SECTIONS),
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

    fn section<T: DeserializeOwned>(
        &mut self,
        name: &str,
        value: Spanned<DeValue<'_>>,
        into: &mut T,
    ) {
        let start = value.span().start;
        match T::deserialize(ValueDeserializer::from(value)) {
            Ok(read) => *into = read,
            Err(error) => self.refuse(name, start, &error),
        }
    }

    fn refuse(&mut self, section: &str, start: usize, error: &toml::de::Error) {
        let at = error.span().map_or(start, |s| s.start);
        if let Some((key, known)) = unknown_field(error.message()) {
            self.unknown(&format!("{section}.{key}"), at, &known);
            return;
        }
        let (line, _) = self.place(at);
        self.findings.push(
            Finding::error(
                "job-value",
                format!(
                    "The job file's [{section}] cannot be used at line {line}: {}.",
                    error.message()
                ),
            )
            .remedy("Correct the value."),
        );
    }

    fn unknown(&mut self, path: &str, at: usize, known: &[&str]) {
        let (line, _) = self.place(at);
        let key = path.rsplit('.').next().unwrap_or(path);
        let remedy = match nearest(key, known) {
            Some(near) => format!("Did you mean `{near}`?"),
            None => format!("Known here: {}.", known.join(", ")),
        };
        self.findings.push(
            Finding::error(
                "job-unknown-key",
                format!("The job file has an unknown key at line {line}: `{path}`."),
            )
            .remedy(remedy),
        );
    }
}

/// The key and the known keys out of serde's words for a field that is not known.
fn unknown_field(message: &str) -> Option<(&str, Vec<&str>)> {
    let rest = message.strip_prefix("unknown field `")?;
    let (key, rest) = rest.split_once('`')?;
    Some((key, rest.split('`').skip(1).step_by(2).collect()))
}

/// The known word nearest to one that is not known.
fn nearest<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    known
        .iter()
        .map(|&k| (strsim::jaro_winkler(word, k), k))
        .filter(|&(similarity, _)| similarity > NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, k)| k)
}
