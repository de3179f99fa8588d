//! Titles of drawings that say which state of a house they show, or that they are a key to the others.

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
/// A title has no more words.
const MOST_WORDS: usize = 6;

/// Whether a text is the title of a drawing of one state of the roof, or of a key plan.
///
/// ```
/// use eavewright::drawing::text::names_a_state;
/// assert!(names_a_state("EXISTING ROOF PLAN (DEMO)") && names_a_state("KEY PLAN (NTS)"));
/// assert!(!names_a_state("ROOF PLAN") && !names_a_state("NEW ROOF VENT, TYP."));
/// ```
pub fn names_a_state(text: &str) -> bool {
    let plain = normalise(text);
    let words: Vec<&str> = plain
        .split([' ', '(', ')', ':', ',', '.', '/'])
        .filter(|word| !word.is_empty())
        .collect();
    let of_state = |word: &&str| STATES.contains(word) || *word == "keyplan";
    let in_brackets = plain.contains("(e)") || plain.contains("(n)");
    let of_drawing = |word: &&str| word.ends_with("plan") || *word == "roof";
    // A title ends in what it names, before or behind the state: more words speak of something on the roof.
    let outside_brackets: String = plain
        .split('(')
        .enumerate()
        .map(|(i, part)| match (i, part.split_once(')')) {
            (0, _) => part,
            (_, Some((_, after))) => after,
            (_, None) => "",
        })
        .collect();
    let last = outside_brackets
        .split([' ', ':', ',', '.', '/'])
        .rfind(|word| !word.is_empty());
    last.is_some_and(|word| of_drawing(&word) || of_state(&word))
        && words.len() <= MOST_WORDS
        && words.iter().any(of_drawing)
        && (in_brackets || words.iter().any(of_state))
}
