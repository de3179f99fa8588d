//! Text on paper: heights by the capitals, fractions set, boxes that turn with the text.

use std::borrow::Cow;
use std::iter::Peekable;
use std::str::CharIndices;

use super::font::{CAPITAL_HEIGHT, DESCENT};
use super::{Font, Fonts, Ink};
use crate::geometry::{Point, Vector};

/// Where the text stands to its point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Align {
    #[default]
    Left,
    Middle,
    Right,
}

/// How a text looks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TextStyle {
    /// Height of the capitals in mm.
    pub(crate) height: f64,
    pub(crate) font: Font,
    pub(crate) align: Align,
    pub(crate) ink: Ink,
    /// Turned counter-clockwise.
    pub(crate) angle_deg: f64,
    /// Outline in the text's own ink, in mm: keeps prime marks and points alive in a bad copy.
    pub(crate) outline: f64,
    /// White outline drawn first, in mm; 0 for none.
    pub(crate) halo: f64,
}

impl TextStyle {
    /// Plain regular text with the hairline outline that a copier needs.
    pub(crate) const fn new(height: f64) -> Self {
        Self {
            height,
            font: Font::Regular,
            align: Align::Left,
            ink: Ink::Black,
            angle_deg: 0.0,
            outline: 0.07,
            halo: 0.0,
        }
    }
    pub(crate) const fn bold(mut self) -> Self {
        self.font = Font::Bold;
        self.outline = 0.0;
        self
    }
    pub(crate) const fn align(mut self, align: Align) -> Self {
        self.align = align;
        self
    }
    pub(crate) const fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
    pub(crate) const fn turned(mut self, angle_deg: f64) -> Self {
        self.angle_deg = angle_deg;
        self
    }
    pub(crate) const fn outline(mut self, outline: f64) -> Self {
        self.outline = outline;
        self
    }
    pub(crate) const fn halo(mut self, halo: f64) -> Self {
        self.halo = halo;
        self
    }
    /// Size of the font in mm for this height of capitals.
    pub(crate) fn size(self) -> f64 {
        self.height / CAPITAL_HEIGHT
    }
    /// From one line to the next in running text.
    pub(crate) fn pitch(self) -> f64 {
        1.75 * self.height
    }
}

/// A piece of a text at one size: fractions are set from smaller figures.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Run {
    pub(crate) text: String,
    /// Size over the text's size.
    pub(crate) scale: f64,
    /// Baseline above the text's, in mm.
    pub(crate) raise: f64,
    /// Start along the line from the text's start, in mm.
    pub(crate) along: f64,
}

/// A line of text, measured.
#[derive(Clone, Debug)]
pub(crate) struct Text {
    /// As read and copied.
    pub(crate) content: String,
    /// As drawn, fractions in their own characters, where that is not what is read.
    drawn: Option<String>,
    /// The text that it is a line of, where that has more.
    line_of: Option<String>,
    /// Left end of the baseline.
    pub(crate) start: Point,
    pub(crate) style: TextStyle,
    /// In mm.
    pub(crate) width: f64,
    pub(crate) runs: Vec<Run>,
}

/// Figures of a set fraction, over the size of the text.
const FRACTION_SCALE: f64 = 0.68;

impl Text {
    /// Measures a text and puts its anchor at `at`.
    pub(crate) fn new(fonts: &Fonts, at: Point, style: TextStyle, content: &str) -> Self {
        let (runs, width) = set(fonts, style, content);
        let back = match style.align {
            Align::Left => 0.0,
            Align::Middle => width / 2.0,
            Align::Right => width,
        };
        Self {
            content: content.to_owned(),
            drawn: None,
            line_of: None,
            start: at - direction(style.angle_deg) * back,
            style,
            width,
            runs,
        }
    }
    /// The direction of reading.
    pub(crate) fn along(&self) -> Vector {
        direction(self.style.angle_deg)
    }
    /// The corners of its box, descenders included.
    pub(crate) fn corners(&self) -> [Point; 4] {
        let along = self.along();
        let up = along.turn_left();
        let low = self.start - up * (self.style.height * DESCENT);
        let rise = up * (self.style.height * (1.0 + DESCENT));
        let run = along * self.width;
        [low, low + run, low + run + rise, low + rise]
    }
    /// The same glyphs, read and copied as something else.
    pub(crate) fn reading(mut self, content: &str) -> Self {
        if content != self.content {
            self.drawn = Some(std::mem::replace(&mut self.content, content.to_owned()));
        }
        self
    }
    /// A line of a text that has more.
    pub(crate) fn line_of(mut self, whole: &str) -> Self {
        self.line_of = (whole != self.content).then(|| whole.to_owned());
        self
    }
    /// All of the text that it is a line of.
    pub(crate) fn whole(&self) -> &str {
        self.line_of.as_deref().unwrap_or(&self.content)
    }
    /// What is seen: a cut text as far as it is shown, the figure at a pitch triangle.
    pub(crate) fn drawn(&self) -> &str {
        self.drawn.as_deref().unwrap_or(&self.content)
    }
    /// Whether it must be told how it reads, since its glyphs spell it otherwise.
    pub(crate) fn is_set(&self) -> bool {
        let spelled = self.runs.iter().flat_map(|run| run.text.chars());
        self.runs.iter().any(|run| run.scale < 1.0) || !spelled.eq(self.content.chars())
    }
}

/// As much of a text as fits, with an ellipsis for the rest.
pub(super) fn cut(fonts: &Fonts, style: TextStyle, content: &str, room: f64) -> String {
    const SLACK: f64 = 1e-6;
    if width(fonts, style, content) <= room + SLACK {
        return content.to_owned();
    }
    let mut kept: Vec<char> = content.chars().collect();
    while kept.pop().is_some() {
        let shown: String = kept.iter().collect::<String>().trim_end().to_owned() + "…";
        if width(fonts, style, &shown) <= room + SLACK {
            return shown;
        }
    }
    String::new()
}

/// A unit vector at an angle; the right angles exactly.
pub(crate) fn direction(angle_deg: f64) -> Vector {
    match angle_deg {
        0.0 => Vector::new(1.0, 0.0),
        90.0 => Vector::new(0.0, 1.0),
        -90.0 => Vector::new(0.0, -1.0),
        _ => {
            let (sin, cos) = angle_deg.to_radians().sin_cos();
            Vector::new(cos, sin)
        }
    }
}

/// The width of a text in mm.
pub(super) fn width(fonts: &Fonts, style: TextStyle, content: &str) -> f64 {
    lay_out(fonts, style, content, |_| {})
}

/// Whether figures of a set fraction begin in a text.
fn has_fraction(content: &str) -> bool {
    let begins = |c: char| !c.is_ascii() && (ready_made(c).is_some() || raised(c).is_some());
    !content.is_ascii() && content.chars().any(begins)
}

/// The advance of a text as it stands, over the size.
fn ems(fonts: &Fonts, font: Font, content: &str) -> f64 {
    content.chars().map(|c| fonts.advance(font, c)).sum()
}

/// Splits a text into runs and measures them.
fn set(fonts: &Fonts, style: TextStyle, content: &str) -> (Vec<Run>, f64) {
    let mut runs = Vec::new();
    let width = lay_out(fonts, style, content, |piece| runs.push(piece.run()));
    (runs, width)
}

/// A run before it has a text of its own.
struct Piece<'c> {
    text: &'c str,
    scale: f64,
    raise: f64,
    along: f64,
}

impl Piece<'_> {
    fn run(&self) -> Run {
        Run {
            text: self.text.to_owned(),
            scale: self.scale,
            raise: self.raise,
            along: self.along,
        }
    }
}

/// Hands out the pieces of a text one after another; returns its width.
fn lay_out(fonts: &Fonts, style: TextStyle, content: &str, put: impl FnMut(Piece<'_>)) -> f64 {
    let mut setter = Setter {
        fonts,
        style,
        put,
        is_begun: false,
        along: 0.0,
    };
    if !has_fraction(content) {
        setter.plain(content);
        return setter.along;
    }
    let mut plain_from = 0;
    let mut chars = content.char_indices().peekable();
    while let Some((at, c)) = chars.next() {
        if let Some((top, bottom)) = fraction_starting_with(c, &mut chars) {
            setter.plain(&content[plain_from..at]);
            setter.fraction(&top, &bottom);
            plain_from = chars.peek().map_or(content.len(), |(next, _)| *next);
        }
    }
    setter.plain(&content[plain_from..]);
    setter.along
}

/// The figures of a fraction that starts here: one of the ready-made characters, or raised figures, a fraction
/// slash and lowered figures.
fn fraction_starting_with(
    c: char,
    rest: &mut Peekable<CharIndices<'_>>,
) -> Option<(Cow<'static, str>, Cow<'static, str>)> {
    // Nearly every character: no figure of a fraction is plain.
    if c.is_ascii() {
        return None;
    }
    if let Some((top, bottom)) = ready_made(c) {
        return Some((top.into(), bottom.into()));
    }
    // A lone raised figure is an exponent, as in ft²: only those before a fraction slash are a fraction.
    let mut top = raised(c)?.to_string();
    let mut ahead = rest.clone();
    while let Some(figure) = ahead.peek().and_then(|(_, c)| raised(*c)) {
        top.push(figure);
        ahead.next();
    }
    if ahead.next().map(|(_, c)| c) != Some('⁄') {
        return None;
    }
    let mut bottom = String::new();
    while let Some(figure) = ahead.peek().and_then(|(_, c)| lowered(*c)) {
        bottom.push(figure);
        ahead.next();
    }
    *rest = ahead;
    Some((top.into(), bottom.into()))
}

fn ready_made(c: char) -> Option<(&'static str, &'static str)> {
    Some(match c {
        '½' => ("1", "2"),
        '¼' => ("1", "4"),
        '¾' => ("3", "4"),
        '⅛' => ("1", "8"),
        '⅜' => ("3", "8"),
        '⅝' => ("5", "8"),
        '⅞' => ("7", "8"),
        _ => return None,
    })
}

fn raised(c: char) -> Option<char> {
    figure_in(c, "⁰¹²³⁴⁵⁶⁷⁸⁹")
}

fn lowered(c: char) -> Option<char> {
    figure_in(c, "₀₁₂₃₄₅₆₇₈₉")
}

fn figure_in(c: char, figures: &str) -> Option<char> {
    let at = figures.chars().position(|figure| figure == c)?;
    char::from_digit(u32::try_from(at).ok()?, 10)
}

struct Setter<'f, P> {
    fonts: &'f Fonts,
    style: TextStyle,
    put: P,
    is_begun: bool,
    along: f64,
}

impl<P: FnMut(Piece<'_>)> Setter<'_, P> {
    fn plain(&mut self, text: &str) {
        self.run(text, 1.0, 0.0);
    }
    fn fraction(&mut self, top: &str, bottom: &str) {
        let h = self.style.height;
        if self.is_begun {
            self.along += 0.06 * h;
        }
        self.run(top, FRACTION_SCALE, h * (1.0 - FRACTION_SCALE));
        // The slash is drawn into the gap between the figures, which stand close.
        self.along -= 0.06 * h;
        self.run("⁄", 0.95, 0.0);
        self.along -= 0.06 * h;
        self.run(bottom, FRACTION_SCALE, 0.0);
        self.along += 0.04 * h;
    }
    fn run(&mut self, text: &str, scale: f64, raise: f64) {
        if text.is_empty() {
            return;
        }
        (self.put)(Piece {
            text,
            scale,
            raise,
            along: self.along,
        });
        self.is_begun = true;
        self.along += ems(self.fonts, self.style.font, text) * self.style.size() * scale;
    }
}

/// The pieces of a word that fill lines, where it is wider than one, without the last: a name without a space must not run
/// into what stands beside it.
fn pieces<'w>(fonts: &Fonts, style: TextStyle, word: &'w str, width: f64) -> Vec<&'w str> {
    // In a line too short for a few letters nothing is won.
    const LEAST_EMS: f64 = 3.0;
    let mut out = Vec::new();
    if width < LEAST_EMS * style.size() || self::width(fonts, style, word) <= width {
        return out;
    }
    let (mut from, mut so_far) = (0, 0.0);
    for (at, c) in word.char_indices() {
        let advance = fonts.advance(style.font, c) * style.size();
        if at > from && so_far + advance > width {
            // A name breaks at its hyphen rather than within a part of it that a line has room for.
            let has_room = |&to: &usize| {
                let part = word[to..].split('-').next().unwrap_or_default();
                ems(fonts, style.font, part) * style.size() <= width
            };
            let hyphen = word[from..at].rfind('-').map(|k| from + k + 1);
            let to = hyphen.filter(has_room).unwrap_or(at);
            out.push(&word[from..to]);
            so_far = ems(fonts, style.font, &word[to..at]) * style.size();
            from = to;
        }
        so_far += advance;
    }
    out
}

/// Greedy line breaking at spaces, and within words that are wider than a line.
pub(super) fn wrap(fonts: &Fonts, style: TextStyle, content: &str, width: f64) -> Vec<String> {
    wrap_after(fonts, style, content, (width, 0.0))
}

/// The same where `used` of the first line is taken: it is empty where not even one word fits on it.
pub(super) fn wrap_after(
    fonts: &Fonts,
    style: TextStyle,
    content: &str,
    (width, used): (f64, f64),
) -> Vec<String> {
    let mut lines = Vec::new();
    let mut room = width - used;
    // The line so far in the content, and its advance over the size: long paragraphs are not measured again from their
    // start for every word. Set fractions are closer than their figures, and a line with one is measured as a whole.
    let (mut from, mut to) = (0, 0);
    let (mut ems_so_far, mut line_is_set) = (0.0, false);
    let content = &*one_blank_each(content);
    let blank = fonts.advance(style.font, ' ');
    let mut next = 0;
    for word in content.split(' ').filter(|word| !word.is_empty()) {
        let at = next;
        next += word.len() + 1;
        let end = at + word.len();
        let (word_ems, is_set) = (ems(fonts, style.font, word), has_fraction(word));
        if from < to {
            let longer_ems = ems_so_far + blank + word_ems;
            let longer_is_set = line_is_set || is_set;
            let longer = match longer_is_set {
                true => self::width(fonts, style, &content[from..end]),
                false => longer_ems * style.size(),
            };
            if longer <= room {
                to = end;
                (ems_so_far, line_is_set) = (longer_ems, longer_is_set);
                continue;
            }
            lines.push(content[from..to].to_owned());
            room = width;
        } else if used > 0.0 && self::width(fonts, style, word) > room {
            lines.push(String::new());
            room = width;
        }
        from = at;
        for whole in pieces(fonts, style, word, room) {
            lines.push(whole.to_owned());
            from += whole.len();
        }
        to = end;
        let rest = &content[from..to];
        (ems_so_far, line_is_set) = match from == at {
            true => (word_ems, is_set),
            false => (ems(fonts, style.font, rest), has_fraction(rest)),
        };
    }
    if from < to {
        lines.push(content[from..to].to_owned());
    }
    lines
}

/// Words with one blank between them.
fn one_blank_each(words: &str) -> Cow<'_, str> {
    let mut after_blank = true;
    let is_so = words.chars().all(|c| {
        let is_single = !c.is_whitespace() || (c == ' ' && !after_blank);
        after_blank = c == ' ';
        is_single
    });
    match is_so {
        true => words.into(),
        false => words
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .into(),
    }
}

#[cfg(test)]
#[allow(clippy::panic, reason = "tests may stop the run")]
mod tests {
    use super::{Fonts, TextStyle, width, wrap, wrap_after};

    #[test]
    fn a_word_wider_than_its_line_is_broken_and_nothing_of_it_is_lost() {
        let fonts = Fonts::load().unwrap_or_else(|f| panic!("{}", f.message));
        let (style, room) = (TextStyle::new(2.0), 20.0);
        let long = "Yard, Llanfairpwllgwyngyllgogerychwyrndrobwllllantysiliogogoch, 24′-6⅛″";
        let lines = wrap(fonts, style, long, room);
        assert!(lines.len() > 3 && lines[0] == "Yard,", "{lines:?}");
        for line in &lines {
            assert!(width(fonts, style, line) <= room, "{line}");
        }
        let beside = wrap_after(
            fonts,
            style,
            "Starter  at\u{a0}the eaves, 1½″",
            (room, 0.9 * room),
        );
        assert_eq!(beside[..2], ["", "Starter at the"]);
        let names = wrap(fonts, style, "Müller-Lüdenscheidt", room);
        assert_eq!(names, ["Müller-", "Lüdenscheidt"]);
        let letters = |text: &str| text.replace(' ', "");
        assert_eq!(letters(&lines.concat()), letters(long));
    }
}
