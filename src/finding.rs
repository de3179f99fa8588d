//! What a stage noticed: severity, what is wrong, where, and what to do about it; and what it checked.

use std::borrow::{Borrow, Cow};

use crate::place::Place;

/// How bad it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; nothing to do.
    Note,
    /// The takeoff stands, but somebody should look.
    Warning,
    /// No takeoff can be made before this is settled.
    Error,
}

/// One thing that a stage noticed. Written for an estimator: trade words, measured numbers, a place, a remedy.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// How bad it is.
    pub severity: Severity,
    /// A short stable name in kebab case that scripts may test, such as `no-scale`.
    pub code: &'static str,
    /// What is wrong, with the numbers, as one or more sentences.
    pub message: String,
    /// What to do about it, as an instruction; empty where there is nothing to do.
    pub remedy: String,
    /// Where: the first place is the main one.
    pub places: Vec<Place>,
}

/// The graver first, else as they were: the order in which findings are told and numbered everywhere.
pub fn gravest_first<F: Borrow<Finding>>(findings: &mut [F]) {
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.borrow().severity));
}

impl Finding {
    fn new(severity: Severity, code: &'static str, message: impl Into<String>) -> Self {
        Self {
            severity,
            code,
            message: message.into(),
            remedy: String::new(),
            places: Vec::new(),
        }
    }
    /// Nothing can be taken off before this is settled.
    pub fn error(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, message)
    }
    /// The takeoff stands, but somebody should look.
    pub fn warning(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, message)
    }
    /// Worth knowing.
    pub fn note(code: &'static str, message: impl Into<String>) -> Self {
        Self::new(Severity::Note, code, message)
    }
    /// With what to do about it.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }
    /// What is wrong and what to do about it, as sentences: a message may end without its full stop.
    ///
    /// ```
    /// use eavewright::Finding;
    /// let found = Finding::note("pond", "water stays in it").remedy("It needs a drain.");
    /// assert_eq!(found.sentences(), "water stays in it. It needs a drain.");
    /// ```
    pub fn sentences(&self) -> String {
        let ended = |words: &str| match words.trim_end() {
            "" => String::new(),
            words if words.ends_with(['.', '!', '?', ':']) => words.to_owned(),
            words => format!("{words}."),
        };
        let (message, remedy) = (ended(&self.message), ended(&self.remedy));
        [message, remedy]
            .iter()
            .filter(|words| !words.is_empty())
            .map(String::as_str)
            .collect::<Vec<_>>()
            .join(" ")
    }
    /// With one more place.
    #[must_use]
    pub fn place(mut self, place: Place) -> Self {
        self.places.push(place);
        self
    }
    /// With one more place, where it is known.
    #[must_use]
    pub fn at_place(mut self, place: Option<Place>) -> Self {
        self.places.extend(place);
        self
    }
}

/// What a file says is shown no longer than this in a message, in characters.
const EXCERPT: usize = 60;

/// The beginning of a text of a file, as a message shows it: without blanks at its ends, and cut with an ellipsis where it is
/// long. A file may hold megabytes where a word belongs.
///
/// ```
/// use eavewright::finding::excerpt;
/// assert_eq!(excerpt(" approx 480 "), "approx 480");
/// assert_eq!(excerpt(&"9".repeat(5_000_000)).chars().count(), 61);
/// ```
pub fn excerpt(text: &str) -> Cow<'_, str> {
    beginning(text, EXCERPT)
}

/// The beginning of what a reader of files says is wrong with one, which may quote it.
pub(crate) fn of_error(error: &impl std::fmt::Display) -> String {
    const MOST: usize = 240;
    beginning(&error.to_string(), MOST).into_owned()
}

fn beginning(text: &str, most: usize) -> Cow<'_, str> {
    let text = text.trim();
    match text.char_indices().nth(most) {
        Some((end, _)) => Cow::Owned(format!("{}…", &text[..end])),
        None => Cow::Borrowed(text),
    }
}

/// One check on the result with its residual.
#[derive(Clone, Debug)]
pub struct Check {
    /// What was checked, in words.
    pub what: String,
    /// The largest residual, in `unit`.
    pub residual: f64,
    /// What the residual may be.
    pub limit: f64,
    /// `ft`, `ft²`, `°`.
    pub unit: &'static str,
    /// Where the largest residual is.
    pub place: Option<Place>,
}

impl Check {
    /// Whether the residual keeps within the limit.
    pub fn holds(&self) -> bool {
        self.residual <= self.limit
    }
}
