//! Shingles drawn side by side at one scale, each with its name and what is said of it.

use crate::courses::{Compared, ShingleFormat};
use crate::geometry::Point;
use crate::report::OutputUnits;
use crate::report::canvas::{Area, Canvas, Ink, Layer, Pen, TextStyle};
use crate::units::{Length, True};

/// The shingles are drawn at the first of these scales that lets them stand in one row.
const SCALES: [f64; 9] = [8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0];
/// From a shingle to the next, and from its caption or its name to those of the next.
const GAP: f64 = 8.0;
const CAPTION_GAP: f64 = 4.0;
/// Between rows.
pub(super) const ROW_GAP: f64 = 5.0;
/// Under a shingle's name, and under its caption.
const UNDER_NAME: f64 = 3.0;
const UNDER_CAPTION: f64 = 1.0;

/// A shingle with what is said of it, at a scale.
pub(super) struct Sample<'c> {
    format: &'c ShingleFormat,
    /// Under it.
    caption: Vec<String>,
    /// Of the widest of all that with what parts it from the next, in mm.
    width: f64,
}

/// The shingles side by side with their captions: at the largest scale at which all stand in one row, in several rows at
/// the smallest where none does.
pub(super) struct Strip<'c> {
    /// How many times larger a shingle is than on paper.
    pub(super) scale: f64,
    /// Height of the captions, in mm.
    text: f64,
    pub(super) rows: Vec<Vec<Sample<'c>>>,
}

impl<'c> Strip<'c> {
    /// Of formats, on a strip so many mm wide.
    pub(super) fn of(
        canvas: &Canvas<'_>,
        formats: &'c [Compared],
        units: OutputUnits,
        width: f64,
        text: f64,
    ) -> Self {
        let set = |scale: f64, in_short_lines: bool| {
            let mut strip = Self {
                scale,
                text,
                rows: Vec::new(),
            };
            for compared in formats {
                let format = &compared.courses.format;
                let caption = caption(format, units, in_short_lines);
                let sample = strip.sample(canvas, format, caption);
                let stands = |row: &&mut Vec<Sample<'_>>| {
                    let taken: f64 = row.iter().map(|s| s.width).sum();
                    taken + sample.width <= width
                };
                match strip.rows.last_mut().filter(stands) {
                    Some(row) => row.push(sample),
                    None => strip.rows.push(vec![sample]),
                }
            }
            strip
        };
        let [.., last] = SCALES;
        let tried = SCALES
            .into_iter()
            .flat_map(|scale| [false, true].map(|in_short_lines| set(scale, in_short_lines)));
        let mut in_one_row = tried.filter(|strip| strip.rows.len() <= 1);
        in_one_row.next().unwrap_or_else(|| set(last, true))
    }

    /// A length of a shingle on paper, in mm.
    fn mm(&self, inches: f64) -> f64 {
        inches * 25.4 / self.scale
    }

    fn name(&self) -> TextStyle {
        TextStyle::new(2.5 * self.text / 1.8).bold()
    }

    fn words(&self) -> TextStyle {
        TextStyle::new(self.text)
    }

    fn sample<'f>(
        &self,
        canvas: &Canvas<'_>,
        format: &'f ShingleFormat,
        caption: Vec<String>,
    ) -> Sample<'f> {
        let lines = caption.iter().map(|line| canvas.width(self.words(), line));
        let width = lines
            .chain([canvas.width(self.name(), &format.name)])
            .map(|wide| wide + CAPTION_GAP)
            .fold(self.mm(format.width_in) + GAP, f64::max);
        Sample {
            format,
            caption,
            width,
        }
    }

    /// The height of a row with its captions, in mm.
    pub(super) fn row_height(&self, row: &[Sample<'_>]) -> f64 {
        let highest = row.iter().map(|s| s.format.height_in).fold(0.0, f64::max);
        let lines = row.iter().map(|s| s.caption.len()).max().unwrap_or(0);
        let words = lines as f64 * self.words().pitch();
        self.name().height + UNDER_NAME + self.mm(highest) + words + UNDER_CAPTION
    }

    /// Every shingle of a row with what it is called above it and what shows on the roof shaded.
    pub(super) fn draw(&self, canvas: &mut Canvas<'_>, area: Area, row: &[Sample<'_>]) {
        let (name, words) = (self.name(), self.words());
        let across: f64 = row.iter().map(|s| s.width).sum();
        // The row is spread over the width.
        let gap = (area.width() - across) / row.len().max(1) as f64;
        let mut left = area.left;
        for Sample {
            format,
            caption,
            width: column,
        } in row
        {
            let (width, height) = (self.mm(format.width_in), self.mm(format.height_in));
            canvas.on(Layer::Tables);
            canvas.text(Point::new(left, area.top - name.height), name, &format.name);
            let top = area.top - name.height - UNDER_NAME;
            let butt = top - height;
            let shown_top = butt + self.mm(format.exposure_in);
            let shown = Area::new(left, butt, left + width, shown_top);
            canvas.on(Layer::Courses);
            canvas.fill(vec![shown.corners().to_vec()], Ink::Pale);
            canvas.rect(Area::new(left, butt, left + width, top), Pen::new(0.35));
            canvas.line(
                Point::new(left, shown.top),
                Point::new(left + width, shown.top),
                Pen::new(0.25),
            );
            canvas.on(Layer::Tables);
            for (i, line) in caption.iter().enumerate() {
                let y = butt - (i + 1) as f64 * words.pitch() - 0.4;
                canvas.text(Point::new(left, y), words, line);
            }
            left += column + gap;
        }
    }
}

/// Size, exposure and pieces of a shingle, in two lines or in three short ones.
fn caption(format: &ShingleFormat, units: OutputUnits, in_short_lines: bool) -> Vec<String> {
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let size = format!("{} × {}", small(format.width_in), small(format.height_in));
    let shows = format!("{} shows", small(format.exposure_in));
    let bundle = format!("{} a bundle", format.pieces_per_bundle);
    match in_short_lines {
        true => vec![size, shows, bundle],
        false => vec![size, format!("{shows}, {bundle}")],
    }
}
