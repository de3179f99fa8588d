//! The marks of a page as the operators of a content stream (ISO 32000-1, annex A), in as few bytes as may be: what is
//! set already is not set again.

use std::collections::BTreeMap;

use crate::geometry::Point;
use crate::report::canvas::{CharTable, Font, Ink, Item, Mark, Pen, SUBSTITUTE, Text};

/// Points in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;
/// Decimal places of coordinates, widths and sizes in points, and of the sines of turned text: 0.004 mm, a fiftieth of
/// the thinnest line.
const PLACES: u32 = 2;
const SINE_PLACES: u32 = 6;

/// The codes of characters in the fonts as they are embedded.
pub(super) type Codes = BTreeMap<Font, CharTable<u16>>;

/// The name that a font has in the resources of every page: short, since it stands there thousands of times.
pub(super) const fn resource(font: Font) -> &'static str {
    match font {
        Font::Regular => "R",
        Font::Bold => "B",
    }
}

/// The content stream of a page.
pub(super) fn stream(items: &[Item], codes: &Codes) -> Vec<u8> {
    let mut stream = Stream {
        codes,
        bytes: Vec::with_capacity(32 * items.len()),
        state: State::default(),
    };
    for item in items {
        match &item.mark {
            Mark::Lines(lines) => lines
                .iter()
                .for_each(|l| stream.stroke(&l.ends, false, l.pen)),
            Mark::Stroke {
                points,
                closed,
                pen,
            } => stream.stroke(points, *closed, *pen),
            Mark::Fill { rings, ink } => stream.fill(rings, *ink),
            Mark::Text(text) => stream.text(text),
        }
    }
    stream.end_path();
    stream.bytes
}

/// How letters are painted.
#[derive(Clone, Copy, PartialEq)]
enum Lettering {
    Filled,
    Outlined,
    FilledAndOutlined,
}

/// What the stream has set so far.
#[derive(Default)]
struct State {
    pen: Option<Pen>,
    fill: Option<Ink>,
    /// The size in points, rounded as it is written.
    font: Option<(Font, i64)>,
    lettering: Option<Lettering>,
    /// Whether a path lies ready to be stroked: lines in one pen are one path.
    path_is_open: bool,
}

struct Stream<'c> {
    codes: &'c Codes,
    bytes: Vec<u8>,
    state: State,
}

impl Stream<'_> {
    fn put(&mut self, operators: &str) {
        self.bytes.extend_from_slice(operators.as_bytes());
    }

    /// A number with a blank behind it.
    fn number(&mut self, value: f64, places: u32) {
        decimal(&mut self.bytes, rounded(value, places), places);
        self.bytes.push(b' ');
    }

    fn length(&mut self, mm: f64) {
        decimal(&mut self.bytes, in_places(mm), PLACES);
        self.bytes.push(b' ');
    }

    fn point(&mut self, p: Point) {
        self.length(p.x);
        self.length(p.y);
    }

    fn path(&mut self, points: &[Point]) {
        for (i, &p) in points.iter().enumerate() {
            self.point(p);
            self.put(if i == 0 { "m\n" } else { "l\n" });
        }
    }

    fn stroke(&mut self, points: &[Point], closed: bool, pen: Pen) {
        if self.state.pen != Some(pen) {
            self.end_path();
            self.pen(pen);
        }
        self.path(points);
        if closed {
            self.put("h\n");
        }
        self.state.path_is_open = true;
    }

    /// Strokes what lies ready: nothing but a path may come before that.
    fn end_path(&mut self) {
        if std::mem::take(&mut self.state.path_is_open) {
            self.put("S\n");
        }
    }

    fn fill(&mut self, rings: &[Vec<Point>], ink: Ink) {
        self.end_path();
        self.fill_ink(ink);
        for ring in rings {
            self.path(ring);
            self.put("h\n");
        }
        self.put("f*\n");
    }

    fn pen(&mut self, pen: Pen) {
        let old = self.state.pen;
        if old.map(|p| p.ink) != Some(pen.ink) {
            self.put(stroke_ink(pen.ink));
        }
        if old.map(|p| p.width) != Some(pen.width) {
            self.length(pen.width);
            self.put("w\n");
        }
        if old.map(|p| p.dash) != Some(pen.dash) {
            self.put("[");
            for &mm in pen.dash {
                self.length(mm);
            }
            self.put("] 0 d\n");
        }
        if old.map(|p| p.round) != Some(pen.round) {
            self.put(if pen.round { "1 J 1 j\n" } else { "0 J 0 j\n" });
        }
        self.state.pen = Some(pen);
    }

    fn fill_ink(&mut self, ink: Ink) {
        if self.state.fill != Some(ink) {
            self.put(fill_ink(ink));
            self.state.fill = Some(ink);
        }
    }

    fn text(&mut self, text: &Text) {
        self.end_path();
        let style = text.style;
        if style.halo > 0.0 {
            // Reads as nothing: the text proper follows.
            self.spelled("", |stream| {
                stream.show(text, Ink::White, style.halo, Lettering::Outlined);
            });
        }
        let lettering = if style.outline > 0.0 {
            Lettering::FilledAndOutlined
        } else {
            Lettering::Filled
        };
        // A reader that guesses words from places of letters guesses wrong on a slope.
        if text.is_set() || style.angle_deg != 0.0 {
            self.spelled(&text.content, |stream| {
                stream.show(text, style.ink, style.outline, lettering);
            });
        } else {
            self.show(text, style.ink, style.outline, lettering);
        }
    }

    /// Wraps marks that read as something other than their glyphs spell.
    fn spelled(&mut self, reads: &str, draw: impl FnOnce(&mut Self)) {
        self.put("/Span <</ActualText (");
        if reads.is_ascii() {
            reads.bytes().for_each(|byte| self.string_byte(byte));
        } else {
            // Two bytes a letter from here on.
            self.string_unit(0xFEFF);
            reads.encode_utf16().for_each(|unit| self.string_unit(unit));
        }
        self.put(")>> BDC\n");
        draw(self);
        self.put("EMC\n");
    }

    fn show(&mut self, text: &Text, ink: Ink, outline: f64, lettering: Lettering) {
        if outline > 0.0 {
            self.pen(Pen::new(outline).ink(ink).round());
        }
        self.fill_ink(ink);
        if self.state.lettering != Some(lettering) {
            self.put(match lettering {
                Lettering::Filled => "0 Tr\n",
                Lettering::Outlined => "1 Tr\n",
                Lettering::FilledAndOutlined => "2 Tr\n",
            });
            self.state.lettering = Some(lettering);
        }
        self.put("BT\n");
        let along = text.along();
        let up = along.turn_left();
        // Where the run before begins: in hundredths, so that steps from one to the next add up to no error.
        let mut before = (0, 0);
        for run in &text.runs {
            self.font(text.style.font, text.style.size() * run.scale);
            let at = text.start + along * run.along + up * run.raise;
            if text.style.angle_deg == 0.0 {
                let at = (in_places(at.x), in_places(at.y));
                for step in [at.0 - before.0, at.1 - before.1] {
                    decimal(&mut self.bytes, step, PLACES);
                    self.put(" ");
                }
                before = at;
                self.put("Td\n(");
            } else {
                for sine in [along.x, along.y, -along.y, along.x] {
                    self.number(sine, SINE_PLACES);
                }
                self.point(at);
                self.put("Tm\n(");
            }
            self.letters(text.style.font, &run.text);
            self.put(") Tj\n");
        }
        self.put("ET\n");
    }

    fn font(&mut self, font: Font, size_mm: f64) {
        let size = in_places(size_mm);
        if self.state.font != Some((font, size)) {
            self.put("/");
            self.put(resource(font));
            self.put(" ");
            decimal(&mut self.bytes, size, PLACES);
            self.put(" Tf\n");
            self.state.font = Some((font, size));
        }
    }

    /// The codes of a text, a box for every character that the typeface lacks.
    fn letters(&mut self, font: Font, text: &str) {
        let Some(codes) = self.codes.get(&font) else {
            return;
        };
        let substitute = codes.get(SUBSTITUTE).unwrap_or(0);
        for c in text.chars() {
            self.string_unit(codes.get(c).unwrap_or(substitute));
        }
    }

    /// Two bytes of a string, the greater first.
    fn string_unit(&mut self, unit: u16) {
        unit.to_be_bytes()
            .into_iter()
            .for_each(|byte| self.string_byte(byte));
    }

    /// A byte of a string: bytes stand for themselves there, but for those that would end it or be read as another.
    fn string_byte(&mut self, byte: u8) {
        match byte {
            b'(' | b')' | b'\\' => self.bytes.extend([b'\\', byte]),
            b'\r' => self.put("\\r"),
            _ => self.bytes.push(byte),
        }
    }
}

const fn stroke_ink(ink: Ink) -> &'static str {
    match ink {
        Ink::Black => "0 G\n",
        Ink::White => "1 G\n",
        Ink::Grey => "0.33 G\n",
        Ink::Pale => "0.75 G\n",
        Ink::Accent => "0.639 0.071 0.047 RG\n",
    }
}

const fn fill_ink(ink: Ink) -> &'static str {
    match ink {
        Ink::Black => "0 g\n",
        Ink::White => "1 g\n",
        Ink::Grey => "0.33 g\n",
        Ink::Pale => "0.75 g\n",
        Ink::Accent => "0.639 0.071 0.047 rg\n",
    }
}

/// A length in mm as it is written, in units of the last place of points.
fn in_places(mm: f64) -> i64 {
    rounded(mm * POINTS_PER_MM, PLACES)
}

/// In units of the last place.
fn rounded(value: f64, places: u32) -> i64 {
    (value * 10_f64.powi(places as i32)).round() as i64
}

/// Writes a number given in units of its last place, without needless noughts.
fn decimal(out: &mut Vec<u8>, value: i64, places: u32) {
    // From the last figure to the first: 19 figures, a point and a sign are the most there are.
    let mut figures = [0; 21];
    let mut at = figures.len();
    let mut put = |figure: u8| {
        at -= 1;
        figures[at] = figure;
    };
    let (mut rest, mut place) = (value.unsigned_abs(), places);
    while place > 0 && rest.is_multiple_of(10) {
        rest /= 10;
        place -= 1;
    }
    let mut figure = || {
        let last = b'0' + (rest % 10) as u8;
        rest /= 10;
        (last, rest > 0)
    };
    for _ in 0..place {
        put(figure().0);
    }
    if place > 0 {
        put(b'.');
    }
    loop {
        let (last, more) = figure();
        put(last);
        if !more {
            break;
        }
    }
    if value < 0 {
        put(b'-');
    }
    out.extend_from_slice(&figures[at..]);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(value: f64, places: u32) -> String {
        let mut out = Vec::new();
        decimal(&mut out, rounded(value, places), places);
        String::from_utf8_lossy(&out).into_owned()
    }

    #[test]
    fn numbers_are_rounded_and_have_no_needless_noughts() {
        assert_eq!(written(251.362_4, 3), "251.362");
        assert_eq!(written(-0.05, 3), "-0.05");
        assert_eq!(written(-0.000_04, 3), "0");
        assert_eq!(written(1_000.0, 3), "1000");
        assert_eq!(written(0.500_000_4, 6), "0.5");
        assert_eq!(written(7.006, 3), "7.006");
    }
}
