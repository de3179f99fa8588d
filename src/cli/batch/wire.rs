//! What a run and its workers tell each other through their pipes: one line of JSON with the sizes of what follows it.

use std::collections::BTreeMap;
use std::io::{self, BufRead, Write};

use eavewright::batch::Outcome;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

use super::make::Made;

/// What a worker says first.
#[derive(Serialize, Deserialize)]
pub(super) struct Hello {
    /// The hash of all that a result depends on besides the plan.
    pub(super) how: String,
}

/// A plan to be taken off, whose bytes follow.
#[derive(Serialize, Deserialize)]
struct Asked {
    file_name: String,
    bytes: usize,
}

/// What became of it: the record and then the files follow.
#[derive(Serialize, Deserialize)]
struct Answered {
    outcome: Outcome,
    why: Option<String>,
    text: usize,
    files: BTreeMap<String, usize>,
}

/// Writes one line.
pub(super) fn say(out: &mut impl Write, line: &impl Serialize) -> io::Result<()> {
    let mut text = serde_json::to_string(line)?;
    text.push('\n');
    out.write_all(text.as_bytes())
}

/// Reads one line; `None` at the end.
pub(super) fn hear<T: DeserializeOwned>(input: &mut impl BufRead) -> io::Result<Option<T>> {
    let mut line = String::new();
    if input.read_line(&mut line)? == 0 {
        return Ok(None);
    }
    Ok(Some(serde_json::from_str(&line)?))
}

fn bytes(input: &mut impl BufRead, count: usize) -> io::Result<Vec<u8>> {
    let mut bytes = vec![0; count];
    input.read_exact(&mut bytes)?;
    Ok(bytes)
}

/// Gives a worker a plan.
pub(super) fn ask(out: &mut impl Write, file_name: &str, plan: &[u8]) -> io::Result<()> {
    let asked = Asked {
        file_name: file_name.to_owned(),
        bytes: plan.len(),
    };
    say(out, &asked)?;
    out.write_all(plan)?;
    out.flush()
}

/// A plan given to this worker: its file's name and its bytes; `None` when there are no more.
pub(super) fn asked(input: &mut impl BufRead) -> io::Result<Option<(String, Vec<u8>)>> {
    let Some(Asked {
        file_name,
        bytes: count,
    }) = hear(input)?
    else {
        return Ok(None);
    };
    Ok(Some((file_name, bytes(input, count)?)))
}

/// Gives back what was made.
pub(super) fn answer(out: &mut impl Write, made: &Made) -> io::Result<()> {
    let sizes = made.files.iter().map(|(e, b)| (e.clone(), b.len()));
    let answered = Answered {
        outcome: made.outcome,
        why: made.why.clone(),
        text: made.text.len(),
        files: sizes.collect(),
    };
    say(out, &answered)?;
    out.write_all(made.text.as_bytes())?;
    for file in made.files.values() {
        out.write_all(file)?;
    }
    out.flush()
}

/// What a worker made; an error where it ended before it had said all of it.
pub(super) fn answered(input: &mut impl BufRead) -> io::Result<Made> {
    let answered: Answered = hear(input)?.ok_or(io::ErrorKind::UnexpectedEof)?;
    let text = String::from_utf8(bytes(input, answered.text)?)
        .map_err(|e| io::Error::new(io::ErrorKind::InvalidData, e))?;
    let mut files = BTreeMap::new();
    for (ending, count) in answered.files {
        files.insert(ending, bytes(input, count)?);
    }
    Ok(Made {
        outcome: answered.outcome,
        why: answered.why,
        text,
        files,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::*;

    #[test]
    fn a_plan_and_what_was_made_of_it_come_through_whole_and_cut_short_are_errors() {
        let mut pipe = Vec::new();
        ask(&mut pipe, "Ünterm Dach\n.svg", b"<svg>\n\0</svg>").unwrap();
        let mut reading = pipe.as_slice();
        let (name, plan) = asked(&mut reading).unwrap().unwrap();
        assert_eq!(name, "Ünterm Dach\n.svg");
        assert_eq!(plan, b"<svg>\n\0</svg>");
        assert!(asked(&mut reading).unwrap().is_none());

        let made = Made {
            outcome: Outcome::Refused,
            why: Some("no scale".to_owned()),
            text: "{\n}\n".to_owned(),
            files: [("pdf".to_owned(), vec![0, 10, 255])].into(),
        };
        let mut pipe = Vec::new();
        answer(&mut pipe, &made).unwrap();
        assert_eq!(answered(&mut pipe.as_slice()).unwrap(), made);
        for end in 0..pipe.len() {
            assert!(answered(&mut &pipe[..end]).is_err(), "cut at {end}");
        }
    }
}
