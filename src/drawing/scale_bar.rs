//! Scale bars: numbers in a row from 0, each at its mark, and a unit. A bar says how long it is by itself: it is no dimension of the
//! line beside it, and a witness of the scale like any other.

use super::dimension::{Dimension, LayerSays, Segments};
use super::label::Meaning;
use super::layer::NameRole;
use super::read::Reader;
use super::text::{LengthText, normalise, parse_length};
use super::words::Words;
use crate::Finding;
use crate::Place;
use crate::finding::excerpt;
use crate::geometry::{Point, Vector};

/// Baselines of the numbers of one bar differ by no more than this part of their size, and their sizes by no more than that.
const ROW: f64 = 0.3;
const SAME_SIZE: f64 = 0.25;
/// A bar in inches, centimetres or millimetres checks the print and measures no house.
const LEAST_UNIT_FT: f64 = 1.0;
/// A bar lies above or below its numbers, its far side no farther from their baseline than this, in sizes.
const BESIDE: f64 = 4.0;
/// A mark stands at its number to this part of the size.
const AT_MARK: f64 = 0.15;
/// A mark leans by no more than this, run over rise.
const SQUARE: f64 = 0.05;
/// The middle of a number, or its nearer end where a unit is written behind it, is no farther from its mark than this, in sizes.
const OFF_MARK: f64 = 0.8;
/// A bar is drawn past its last number, and before its 0 for smaller steps, by no more than this part of its length.
const BEYOND: f64 = 0.5;
/// A unit that is written by itself stands no farther from the row than this, in sizes.
const UNIT_BESIDE: f64 = 4.0;
/// Numbers of a row, its 0 too, that say without any mark that it is a bar's: three in proportion are no chance.
const LEAST_NUMBERS: usize = 3;
/// No bar has more numbers.
const MOST_NUMBERS: usize = 40;
/// Marks, and pairs of a 0 and a text, that are looked at.
const MOST_MARKS: usize = 400;
const MOST_PAIRS: usize = 10_000_000;

/// The scale bars of a drawing, as lengths from their 0 to their last number.
#[derive(Default)]
pub(super) struct ScaleBars {
    /// Those that speak of the roof's drawing.
    pub(super) ours: Vec<Dimension>,
    /// Those beneath the titles of other drawings.
    pub(super) of_others: Vec<Dimension>,
}

/// A number beside a bar.
struct Number {
    words: usize,
    /// The number, and the feet of its unit where it has one.
    value: f64,
    unit: Option<Unit>,
    /// Its middle, and half of its width, along the row from the middle of the 0.
    at: f64,
    half_width: f64,
}

#[derive(Clone, Copy)]
struct Unit {
    feet: f64,
    metric: bool,
}

/// Where something drawn ends or crosses the row: how far along it, and from where to where across it.
struct Mark {
    at: f64,
    low: f64,
    high: f64,
}

/// The direction of a row, and where its 0 stands.
#[derive(Clone, Copy)]
struct Row {
    zero: Point,
    along: Vector,
    up: Vector,
    size: f64,
}

impl Row {
    fn of(zero: &Words) -> Self {
        Self {
            zero: zero.start.midpoint(zero.end),
            along: zero.along(),
            up: zero.up * (1.0 / zero.size()),
            size: zero.size(),
        }
    }
    fn local(&self, p: Point) -> (f64, f64) {
        let v = p - self.zero;
        (v.dot(self.along), v.dot(self.up))
    }
}

/// What is drawn beside a row, as far as a bar may reach.
struct Drawn {
    row: Row,
    /// The ends of each line, along and across the row.
    lines: Vec<[(f64, f64); 2]>,
    marks: Vec<Mark>,
}

impl Drawn {
    /// `None` where there is too much to be a bar.
    fn beside(row: Row, last: &Number, segments: &Segments) -> Option<Self> {
        let reach = last.at + last.half_width + BESIDE * row.size;
        let is_beside = |ends: &[(f64, f64); 2]| {
            let mut ends = ends.iter();
            ends.all(|end| end.1.abs() <= BESIDE * row.size)
        };
        let lines: Vec<[(f64, f64); 2]> = segments
            .near(row.zero, reach)
            .filter(|s| s.layer != LayerSays::Building)
            .map(|s| [s.a, s.b].map(|p| row.local(p)))
            .filter(is_beside)
            .collect();
        let marks: Vec<Mark> = lines.iter().copied().flat_map(marks_of).collect();
        (marks.len() <= MOST_MARKS).then_some(Self { row, lines, marks })
    }

    /// How far the numbers stand from where they belong on a bar from one mark to another, at the worst; `None` where that is too
    /// far, where a number has no mark, or where no line begins and none ends there.
    fn unfitness(&self, zero: &Mark, end: &Mark, numbers: &[Number]) -> Option<f64> {
        let of_value = (end.at - zero.at) / numbers.last()?.value;
        let places = || numbers.iter().map(|n| (n, zero.at + n.value * of_value));
        let levels = [zero.low, zero.high, f64::midpoint(zero.low, zero.high)];
        let has_marks = |level: f64| places().all(|(_, at)| self.has_mark(at, level));
        let is_marked = levels.into_iter().any(has_marks);
        let offs = places().map(|(n, at)| {
            let off = (n.at - at).abs();
            // Where a unit is written behind it the number's own middle lies before the text's.
            match n.unit {
                Some(_) => (off - n.half_width).max(0.0),
                None => off,
            }
        });
        let worst = offs.fold(zero.at.abs(), f64::max);
        let fits = is_marked
            && worst <= OFF_MARK * self.row.size
            && self.has_end(zero.at)
            && self.has_end(end.at);
        fits.then_some(worst)
    }

    fn has_mark(&self, at: f64, level: f64) -> bool {
        let slack = AT_MARK * self.row.size;
        let mut marks = self.marks.iter();
        marks.any(|m| {
            (m.at - at).abs() <= slack && (m.low - slack..=m.high + slack).contains(&level)
        })
    }

    /// Whether a line along the row ends at a place.
    fn has_end(&self, at: f64) -> bool {
        let slack = AT_MARK * self.row.size;
        self.lines.iter().any(|[a, b]| {
            let is_along = (a.1 - b.1).abs() <= slack && (a.0 - b.0).abs() > self.row.size;
            is_along && [a, b].iter().any(|end| (end.0 - at).abs() <= slack)
        })
    }
}

impl Reader<'_> {
    /// Finds the scale bars, whose texts are no dimensions from then on.
    pub(super) fn scale_bars(&mut self) -> ScaleBars {
        let zeros: Vec<usize> = (0..self.words.len())
            .filter(|&i| {
                self.counts(i) && number_of(&self.words[i].text).is_some_and(|n| n.0 == 0.0)
            })
            .collect();
        let mut bars = ScaleBars::default();
        if zeros.is_empty() || zeros.len().saturating_mul(self.words.len()) > MOST_PAIRS {
            return bars;
        }
        let segments = self.segments();
        for zero in zeros {
            let row = Row::of(&self.words[zero]);
            let all = self.numbers_behind(zero, row);
            // Farther along the row a dimension may stand.
            let mut firsts = (1..=all.len()).rev().map(|count| &all[..count]);
            let found = firsts.clone().find_map(|numbers| {
                let unit = self.unit_of(numbers, row)?;
                Some((self.bar(row, numbers, unit, &segments)?, numbers))
            });
            if let Some((bar, numbers)) = found {
                let texts = || [zero].into_iter().chain(numbers.iter().map(|n| n.words));
                let ours = !texts().any(|i| self.is_under_another_title(i));
                for i in texts() {
                    self.meanings[i] = Meaning::ScaleBar;
                }
                match ours {
                    true => bars.ours.push(bar),
                    false => bars.of_others.push(bar),
                }
            } else if let Some(numbers) = firsts.find(|numbers| {
                is_in_proportion(numbers, row) && self.unit_of(numbers, row).is_some()
            }) {
                self.tell_without_marks(zero, numbers);
            }
        }
        bars
    }

    fn counts(&self, words: usize) -> bool {
        let role = self.elements[self.words[words].element].says.role;
        role != NameRole::LeftOut
    }

    /// The numbers behind a 0 on its row, as long as they grow.
    fn numbers_behind(&self, zero: usize, row: Row) -> Vec<Number> {
        let mut numbers: Vec<Number> = (0..self.words.len())
            .filter(|&i| i != zero && self.counts(i))
            .filter_map(|i| {
                let words = &self.words[i];
                let (at, above) = row.local(words.start.midpoint(words.end));
                let in_row = above.abs() <= ROW * row.size
                    && at > 0.0
                    && (words.size() / row.size - 1.0).abs() <= SAME_SIZE
                    && words.same_hand(row.up, 0.99);
                let (value, unit) = number_of(&words.text).filter(|_| in_row)?;
                Some(Number {
                    words: i,
                    value,
                    unit,
                    at,
                    half_width: words.width() / 2.0,
                })
            })
            .collect();
        numbers.sort_by(|a, b| a.at.total_cmp(&b.at));
        let mut last = 0.0;
        let grows = numbers.iter().take_while(|n| {
            let grows = n.value > last;
            last = n.value;
            grows
        });
        let count = grows.count();
        numbers.truncate(count.min(MOST_NUMBERS));
        numbers
    }

    /// The one unit of a row: behind its numbers, or as a text by itself.
    fn unit_of(&self, numbers: &[Number], row: Row) -> Option<Unit> {
        let unit = self.unit_written(numbers, row)?;
        (unit.feet >= LEAST_UNIT_FT).then_some(unit)
    }

    fn unit_written(&self, numbers: &[Number], row: Row) -> Option<Unit> {
        let far = numbers.last()?.at;
        let mut written = numbers.iter().filter_map(|n| n.unit);
        if let Some(unit) = written.next() {
            return written.all(|other| other.feet == unit.feet).then_some(unit);
        }
        let reach = UNIT_BESIDE * row.size;
        let beside = |words: &&Words| {
            let (at, above) = row.local(words.start.midpoint(words.end));
            (-reach..=far + reach).contains(&at) && above.abs() <= reach
        };
        let mut units = self
            .words
            .iter()
            .filter(beside)
            .filter_map(|w| unit_alone(&w.text));
        let unit = units.next()?;
        units.all(|other| other.feet == unit.feet).then_some(unit)
    }

    /// The bar that the numbers stand at the marks of.
    fn bar(
        &self,
        row: Row,
        numbers: &[Number],
        unit: Unit,
        segments: &Segments,
    ) -> Option<Dimension> {
        let last = numbers.last()?;
        let drawn = Drawn::beside(row, last, segments)?;
        let near = |at: f64, half_width: f64| {
            let reach = half_width + OFF_MARK * row.size;
            let marks = drawn.marks.iter();
            marks.filter(move |m| (m.at - at).abs() <= reach)
        };
        let pairs = near(0.0, 0.0).flat_map(|zero| {
            let ends = near(last.at, last.half_width).filter(|end| end.at > zero.at);
            ends.map(move |end| (zero, end))
        });
        let (_, zero, end) = pairs
            .filter_map(|(zero, end)| Some((drawn.unfitness(zero, end, numbers)?, zero, end)))
            .min_by(|a, b| a.0.total_cmp(&b.0))?;
        let [from, to] = [zero.at, end.at].map(|at| row.zero + row.along * at);
        let feet = last.value * unit.feet;
        Some(Dimension {
            words: last.words,
            length: LengthText {
                feet,
                inches: feet * 12.0,
                // Its marks are drawn where the numbers are exact.
                step_ft: 0.0,
                metric: unit.metric,
            },
            from,
            to,
            shafts: self.shapes_of_bar(row, [zero.at, end.at]),
            ends: Vec::new(),
            sure: true,
            drawn: true,
            of_side: false,
            one_of_many: false,
            moved: 0.0,
        })
    }

    /// The shapes that lie beside the row and reach no farther than a bar does.
    fn shapes_of_bar(&self, row: Row, [zero, end]: [f64; 2]) -> Vec<usize> {
        let beyond = BEYOND * (end - zero) + row.size;
        let is_of_bar = |p: Point| {
            let (at, above) = row.local(p);
            (zero - beyond..=end + beyond).contains(&at) && above.abs() <= BESIDE * row.size
        };
        let shapes = self.shapes.iter().enumerate();
        shapes
            .filter(|(_, shape)| {
                let mut outlines = shape.outlines.iter();
                outlines.all(|o| o.all_points().all(is_of_bar))
            })
            .map(|(i, _)| i)
            .collect()
    }

    /// A row that is a bar's by its numbers alone says nothing, and its last number is no dimension either.
    fn tell_without_marks(&mut self, zero: usize, numbers: &[Number]) {
        let Some(last) = numbers.last() else { return };
        let words = &self.words[last.words];
        self.findings.push(
            Finding::warning(
                "scale-bar-without-marks",
                format!(
                    "The numbers from 0 to {} stand in a row like those of a scale bar, and no marks of one could be told at them: they were not used.",
                    excerpt(&words.text)
                ),
            )
            .remedy("Draw the bar with a mark or the end of a box at each number, clear of other lines, or draw one dimension line with its true length.")
            .place(Place::of(&self.elements[words.element].source)),
        );
        for i in [zero].into_iter().chain(numbers.iter().map(|n| n.words)) {
            self.meanings[i] = Meaning::ScaleBar;
        }
    }
}

/// The ends of a segment, or all of one that crosses the row squarely.
fn marks_of([a, b]: [(f64, f64); 2]) -> Vec<Mark> {
    if (a.0 - b.0).abs() <= SQUARE * (a.1 - b.1).abs() {
        return vec![Mark {
            at: f64::midpoint(a.0, b.0),
            low: a.1.min(b.1),
            high: a.1.max(b.1),
        }];
    }
    let end = |(at, above)| Mark {
        at,
        low: above,
        high: above,
    };
    vec![end(a), end(b)]
}

/// Whether numbers stand as far from the 0 as they say, by their own places.
fn is_in_proportion(numbers: &[Number], row: Row) -> bool {
    let bare = numbers
        .iter()
        .rfind(|n| n.unit.is_none())
        .or(numbers.last());
    let Some(of_value) = bare.map(|n| n.at / n.value) else {
        return false;
    };
    let fits = |n: &Number| (n.at - n.value * of_value).abs() <= n.half_width + ROW * row.size;
    numbers.len() + 1 >= LEAST_NUMBERS && numbers.iter().all(fits)
}

/// A whole or decimal number alone, or with one unit behind it.
fn number_of(text: &str) -> Option<(f64, Option<Unit>)> {
    let plain = normalise(text);
    let end = plain
        .find(|c: char| !c.is_ascii_digit() && c != '.')
        .unwrap_or(plain.len());
    let value: f64 = plain[..end].parse().ok()?;
    let unit = plain[end..].trim();
    if unit.is_empty() {
        return Some((value, None));
    }
    // `20'-0"` is 20 ft.
    let unit = unit.strip_suffix("-0\"").unwrap_or(unit);
    Some((value, Some(unit_alone(unit)?)))
}

/// A unit as a text: `FT`, `FEET`, `METRES`; or the last word of what is written beneath a bar, `SCALE IN FEET`.
fn unit_alone(text: &str) -> Option<Unit> {
    let plain = normalise(text);
    let mut words = plain.split(' ');
    let last = words.next_back()?.trim_matches(['(', ')', '.']);
    let of_bar = |word: &str| ["scale", "graphic", "bar", "in", "of"].contains(&word);
    let one = parse_length(&format!("1 {last}"), None)?;
    let is_unit = !last.contains(|c: char| c.is_ascii_digit()) && words.all(of_bar);
    is_unit.then_some(Unit {
        feet: one.feet,
        metric: one.metric,
    })
}
