//! Titles of drawings: of which drawing, of the roof's or another's, and of which state of a house.

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

/// Drawings of a sheet that show no roof from above, or a part of it.
const OF_OTHER_DRAWINGS: [&str; 10] = [
    "detail",
    "details",
    "section",
    "schnitt",
    "elevation",
    "ansicht",
    "key",
    "site",
    "framing",
    "see",
];

/// Whether a title names a roof, and no part of it drawn by itself.
pub(crate) fn of_a_roof(title: &str) -> bool {
    let plain = normalise(title);
    let words = || plain.split(|c: char| !c.is_alphabetic());
    words().any(|word| word.starts_with("roof") || word.starts_with("dach"))
        && !words().any(|word| OF_OTHER_DRAWINGS.contains(&word))
}

/// Words that are another drawing's title by themselves (common practice, no source).
const OTHER_DRAWINGS: [&str; 17] = [
    "detail",
    "details",
    "section",
    "sections",
    "schnitt",
    "schnitte",
    "elevation",
    "elevations",
    "ansicht",
    "ansichten",
    "lageplan",
    "grundriss",
    "grundrisse",
    "isometric",
    "perspective",
    "diagram",
    "keyplan",
];
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

/// Words that tell a plan from the roof's though the roof is named in it: `SITE AND ROOF PLAN` may be the one that is meant.
const PLANS_BESIDE_THE_ROOF: [&str; 2] = ["framing", "key"];

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
    let words: Vec<&str> = plain
        .split(|c: char| !c.is_alphabetic())
        .filter(|word| !word.is_empty())
        .collect();
    let any = |of: &dyn Fn(&str) -> bool| words.iter().any(|word| of(word));
    let is_plan = any(&|word| word.ends_with("plan") || ["map", "layout"].contains(&word));
    let names_roof = any(&|word| word.starts_with("roof") || word.starts_with("dach"));
    let others: &[&str] = match names_roof {
        true => &PLANS_BESIDE_THE_ROOF,
        false => &OTHER_PLANS,
    };
    // `SEE DETAIL 3` sends the reader there.
    words.len() <= MOST_WORDS_OF_ANOTHER
        && !any(&|word| word == "see")
        && !of_a_roof(text)
        && (any(&|word| OTHER_DRAWINGS.contains(&word))
            || is_plan && any(&|word| others.contains(&word)))
}

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
