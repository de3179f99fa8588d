//! What other choices would have made of the course layout.

use serde::Serialize;

use super::number;
use super::typeset::wrap;
use crate::courses::{Courses, FaceLayout, Layout, StartCorner, Suggested, Suggestion};
use crate::roof::Roof;

/// A choice that opens fewer shingles.
#[derive(Serialize)]
pub(super) struct SuggestionOut<'a> {
    choose: &'static str,
    face: &'a str,
    saves_pieces: usize,
}

pub(super) fn suggestion_out<'a>(roof: &'a Roof, suggestion: &Suggestion) -> SuggestionOut<'a> {
    let (choose, face) = match suggestion.choose {
        Suggested::Start(face, StartCorner::Left) => ("start-left", face),
        Suggested::Start(face, StartCorner::Right) => ("start-right", face),
        Suggested::Through(face, true) => ("through", face),
        Suggested::Through(face, false) => ("not-through", face),
    };
    SuggestionOut {
        choose,
        face: &roof.face(face).name,
        saves_pieces: suggestion.saves,
    }
}

/// What the same roof takes laid the other way: by one repeated step a face, or with the fewest shingles.
pub fn layout_words(laid: &Courses, other: &Courses) -> String {
    let departing = |courses: &Courses| -> usize {
        let sheets = courses.faces.iter().map(FaceLayout::crew_sheet);
        sheets.map(|s| s.exceptions()).sum()
    };
    let runs: usize = other.faces.iter().map(|f| f.runs.len()).sum();
    let (way, key) = match other.choices.layout {
        Layout::Regular => ("with one repeated step on every face", "regular"),
        Layout::Fewest => ("for the fewest shingles", "fewest"),
    };
    let (here, there) = (laid.opened(), other.opened());
    let change = match there.cmp(&here) {
        std::cmp::Ordering::Greater => format!("{} more", number::count(there - here)),
        std::cmp::Ordering::Less => format!("{} fewer", number::count(here - there)),
        std::cmp::Ordering::Equal => "as many".to_owned(),
    };
    let words = format!(
        "laid {way} it opens {} shingles, {change}, and {} of {} runs depart from their step instead of {}; layout = \"{key}\" under [shingles] in the job file lays it so.",
        number::count(there),
        number::count(departing(other)),
        number::count(runs),
        number::count(departing(laid)),
    );
    let mut out = String::new();
    wrap(&words, "or: ", "  ", &mut out);
    out
}

/// What other choices would save, a line each; empty where none saves anything.
pub fn suggestion_words(roof: &Roof, better: &[Suggestion]) -> String {
    let mut out = String::new();
    for suggestion in better {
        let said = suggestion_out(roof, suggestion);
        let (what, key) = match said.choose {
            "through" => ("run through its valleys", "through = true"),
            "not-through" => (
                "cut at its valleys, the faces beyond running through,",
                "through = false",
            ),
            "start-left" => ("started from its left corner", "start = \"left\""),
            _ => ("started from its right corner", "start = \"right\""),
        };
        let shingles = number::counted(said.saves_pieces, "shingle");
        let words = format!(
            "{face} {what} saves {shingles} of the roof's; {key} under [shingles.faces.{face}] in the job file chooses it.",
            face = said.face
        );
        wrap(&words, "suggested: ", "  ", &mut out);
    }
    out
}
