//! Titles of drawings: of which drawing, of the roof's or another's, and of which state of a house.

use super::area_words::all_words;
use super::scale::{before_ratio, before_scale};
use crate::units::text::normalise;

/// Words for a state of the house: a sheet with such a title shows the same roof more than once (common practice, no source).
const STATES: [&str; 14] = [
    "existing",
    "exist",
    "exist'g",
    "exg",
    "demo",
    "demolition",
    "new",
    "proposed",
    "before",
    "after",
    "option",
    "alternate",
    "key",
    "as-built",
];
/// Words for a plan that shows something else of the roof of a roof plan, and draws it again for that (common practice, no
/// source).
const ROOF_AGAIN: [&str; 8] = [
    "framing",
    "drainage",
    "ventilation",
    "truss",
    "trusses",
    "structural",
    "insulation",
    "sheathing",
];
/// Letters in brackets that stand for a state (common practice, no source).
const MARKS: [(&str, &str); 2] = [("(e)", "existing"), ("(n)", "new")];
/// A title has no more words.
const MOST_WORDS: usize = 6;

/// Words of plans and notes that show no roof from above, or a part of it.
const NO_ROOF_PLAN: [&str; 4] = ["key", "site", "framing", "see"];

fn names_a_roof(words: &[&str]) -> bool {
    let mut words = words.iter();
    words.any(|word| word.starts_with("roof") || word.starts_with("dach"))
}

/// Whether a title names a roof, and no part of it drawn by itself.
pub(crate) fn of_a_roof(title: &str) -> bool {
    let plain = normalise(title);
    let words = all_words(&plain);
    let is_other = |word: &&str| NO_ROOF_PLAN.contains(word) || is_of_other(word);
    names_a_roof(&words) && !words.iter().any(is_other)
}

/// Words that name a view from the side, or a cut (common practice, no source).
const VIEWS: [&str; 8] = [
    "section",
    "sections",
    "schnitt",
    "schnitte",
    "elevation",
    "elevations",
    "ansicht",
    "ansichten",
];
/// Words that are another drawing's title by themselves, beside those (common practice, no source).
const OTHER_DRAWINGS: [&str; 9] = [
    "detail",
    "details",
    "lageplan",
    "grundriss",
    "grundrisse",
    "isometric",
    "perspective",
    "diagram",
    "keyplan",
];
/// Whether a word is another drawing's title by itself.
fn is_of_other(word: &str) -> bool {
    VIEWS.contains(&word) || OTHER_DRAWINGS.contains(&word)
}

/// Words that tell a plan from the roof's (common practice, no source).
const OTHER_PLANS: [&str; 18] = [
    "site",
    "plot",
    "key",
    "framing",
    "floor",
    "floors",
    "foundation",
    "basement",
    "ceiling",
    "landscape",
    "grading",
    "survey",
    "location",
    "vicinity",
    "electrical",
    "plumbing",
    "mechanical",
    "block",
];

/// `TYPICAL EAVE DETAIL AT VAULTED CEILING OF PORCH`: a text of more words is a note.
const MOST_WORDS_OF_ANOTHER: usize = 10;

/// Whether a text is the title of another drawing than the roof's. A title in other words, `PLAN VIEW` or the name of a house, may
/// be the roof's.
///
/// ```
/// use eavewright::drawing::text::is_of_another_drawing;
/// assert!(is_of_another_drawing("SITE PLAN") && is_of_another_drawing("EAVE DETAIL 3"));
/// assert!(!is_of_another_drawing("ROOF PLAN") && !is_of_another_drawing("SITE ADDRESS: 12 MAIN ST"));
/// ```
pub fn is_of_another_drawing(text: &str) -> bool {
    let plain = normalise(text);
    let words = all_words(&plain);
    let any = |of: &dyn Fn(&str) -> bool| words.iter().any(|word| of(word));
    let is_plan = any(&|word| word.ends_with("plan") || ["map", "layout"].contains(&word));
    let names_roof = names_a_roof(&words);
    let is_other = |word: &str| match names_roof {
        // `SITE AND ROOF PLAN` may be the one that is meant.
        true => NO_ROOF_PLAN.contains(&word) && word != "site",
        false => OTHER_PLANS.contains(&word),
    };
    // `SEE DETAIL 3` sends the reader there.
    words.len() <= MOST_WORDS_OF_ANOTHER
        && !any(&|word| word == "see")
        && !of_a_roof(text)
        && (any(&|word| is_of_other(word)) || is_plan && any(&is_other))
}

/// Words before that of a view in notes that send somewhere, or give a level or a clause (common practice, no source).
const OF_NOTES: [&str; 24] = [
    "per", "to", "with", "of", "at", "as", "same", "for", "on", "in", "no", "see", "refer",
    "match", "comply", "top", "floor", "fin", "finished", "plate", "ridge", "grade", "datum",
    "siehe",
];
/// Words behind one that say from where (common practice, no source): `ANSICHT VON SÜDEN`, `ELEVATION NORTH`.
const DIRECTIONS: [&str; 18] = [
    "von", "norden", "süden", "osten", "westen", "nord", "süd", "ost", "west", "vorn", "hinten",
    "links", "rechts", "north", "south", "east", "front", "rear",
];
/// What else stands behind it in a title is its mark: `A-A`, `3/A5`.
const LONGEST_MARK: usize = 6;

/// Whether a text is the title of an elevation or a section, which show no roof from above. A plan of something else may show the
/// roof's outline and is none; nor is a detail, whose name stands at places of the roof as often as at its own drawing.
///
/// ```
/// use eavewright::drawing::text::is_of_a_view;
/// assert!(is_of_a_view("SOUTH ELEVATION") && is_of_a_view("SECTION A-A") && is_of_a_view("WEST ELEVATION 1/4\" = 1'-0\""));
/// assert!(!is_of_a_view("SITE PLAN") && !is_of_a_view("EAVE DETAIL") && !is_of_a_view("ROOF SECTION A"));
/// assert!(!is_of_a_view("SEE SECTION A-A") && !is_of_a_view("COMPLY WITH SECTION R905"));
/// assert!(!is_of_a_view("TOP OF PLATE ELEVATION 9'-0\"") && !is_of_a_view("PITCH PER ELEVATION"));
/// ```
pub fn is_of_a_view(text: &str) -> bool {
    let plain = without_scale(text);
    let words = all_words(&plain);
    let Some(at) = words.iter().position(|word| VIEWS.contains(word)) else {
        return false;
    };
    let behind = plain.rsplit(words[at]).next().unwrap_or_default();
    let behind: String = behind
        .split_whitespace()
        .filter(|word| !DIRECTIONS.contains(word))
        .collect();
    let is_of_mark = |c: char| c.is_ascii_alphanumeric() || "-/.&()".contains(c);
    let is_mark = behind.len() <= LONGEST_MARK
        && behind.chars().all(is_of_mark)
        && behind.chars().filter(char::is_ascii_digit).count() <= 2;
    is_of_another_drawing(text)
        && !names_a_roof(&words)
        && !words[..at].iter().any(|word| OF_NOTES.contains(word))
        && is_mark
}

/// Whether a text is the title of a drawing of one state of the roof, or of a key plan.
///
/// ```
/// use eavewright::drawing::text::names_a_state;
/// assert!(names_a_state("EXISTING ROOF PLAN (DEMO)") && names_a_state("KEY PLAN 1:500"));
/// assert!(names_a_state("ROOF FRAMING PLAN") && !names_a_state("ROOF FRAMING"));
/// assert!(!names_a_state("ROOF PLAN") && !names_a_state("NEW ROOF VENT, TYP."));
/// ```
pub fn names_a_state(text: &str) -> bool {
    let plain = without_scale(text);
    let words = words_of(&plain);
    let of_state = |word: &&str| STATES.contains(word) || *word == "keyplan";
    let in_brackets = MARKS.iter().any(|(mark, _)| plain.contains(mark));
    let of_drawing = |word: &&str| is_plan(word) || *word == "roof";
    // A title ends in what it names, before or behind the state: more words speak of something on the roof.
    let last = last_word(&plain);
    let is_other =
        last.as_deref().is_some_and(is_plan) && words.iter().any(|word| ROOF_AGAIN.contains(word));
    last.is_some_and(|word| of_drawing(&word.as_str()) || of_state(&word.as_str()))
        && words.len() <= MOST_WORDS
        && words.iter().any(of_drawing)
        && (in_brackets || is_other || words.iter().any(of_state))
}

/// What a title of a plan of the roof says of the state that it shows, or of what else: the words for these, each once and
/// sorted, none in `ROOF PLAN`. `None` where a text is no such title.
///
/// ```
/// use eavewright::drawing::text::states_of_roof_plan;
/// assert_eq!(states_of_roof_plan("PROPOSED ROOF PLAN (NTS)"), Some(vec!["proposed".to_string()]));
/// assert_eq!(states_of_roof_plan("ROOF PLAN  SCALE: 1/4\" = 1'-0\""), Some(vec![]));
/// assert_eq!(states_of_roof_plan("EXISTING ROOF PLAN (E)"), Some(vec!["existing".to_string()]));
/// assert_eq!(states_of_roof_plan("NEW ROOF"), None);
/// ```
pub fn states_of_roof_plan(text: &str) -> Option<Vec<String>> {
    let plain = without_scale(text);
    let words = words_of(&plain);
    let is_title = words.len() <= MOST_WORDS
        && words.contains(&"roof")
        && last_word(&plain).as_deref().is_some_and(is_plan);
    let says = |word: &&str| STATES.contains(word) || ROOF_AGAIN.contains(word);
    let written = words.into_iter().filter(says).map(str::to_owned);
    let in_brackets = MARKS.iter().filter(|(mark, _)| plain.contains(mark));
    let mut states: Vec<String> = written
        .chain(in_brackets.map(|(_, word)| (*word).to_owned()))
        .collect();
    states.sort_unstable();
    states.dedup();
    is_title.then_some(states)
}

/// A title without the scale that stands behind it, its letters made plain.
fn without_scale(text: &str) -> String {
    before_scale(text)
        .or_else(|| before_ratio(text))
        .unwrap_or_else(|| normalise(text))
}

fn words_of(plain: &str) -> Vec<&str> {
    plain
        .split([' ', '(', ')', ':', ',', '.', '/'])
        .filter(|word| !word.is_empty())
        .collect()
}

fn is_plan(word: &str) -> bool {
    word.ends_with("plan")
}

/// The last word outside brackets.
fn last_word(plain: &str) -> Option<String> {
    let outside_brackets: String = plain
        .split('(')
        .enumerate()
        .map(|(i, part)| match (i, part.split_once(')')) {
            (0, _) => part,
            (_, Some((_, after))) => after,
            (_, None) => "",
        })
        .collect();
    outside_brackets
        .split([' ', ':', ',', '.', '/'])
        .rfind(|word| !word.is_empty())
        .map(str::to_owned)
}
