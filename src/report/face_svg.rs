//! The layout of one face as an SVG: every piece, every joint, and the numbers that two pieces of one shingle share.

use std::fmt::Write;

use super::svg::{coordinate, escaped};
use super::{OutputUnits, number};
use crate::courses::{CourseFace, EdgeKind, FaceLayout, Piece, PieceKind};
use crate::drawing::written::DRAWN;
use crate::geometry::{Point, ring};
use crate::units::{Length, True};

/// Half an inch of paper a foot, 1:24: a course of 5 in is 5 mm high, which its numbers fit in.
const MM_PER_INCH: f64 = 25.4 / 24.0;
/// Room round the face, in mm.
const MARGIN: f64 = 16.0;
/// Height of the largest numbers, in mm, and the part of it that a figure is wide.
const FIGURE: f64 = 2.6;
const FIGURE_WIDTH: f64 = 0.58;

/// One face's layout at 1:24, 1 unit being 1 mm: a group a course with one path a piece, whose `title` says what it
/// is; the joints; the outline with the kind of every side; the numbers. Pieces with one number are of one shingle.
pub fn face_svg(name: &str, face: &CourseFace, layout: &FaceLayout, units: OutputUnits) -> String {
    let pieces = layout.pieces();
    let points = || {
        let of_pieces = pieces.iter().flat_map(|p| p.polygon.iter());
        of_pieces.chain(&face.outer.points)
    };
    let fold = |pick: fn(f64, f64) -> f64, of: fn(&Point) -> f64| {
        points().map(of).reduce(pick).unwrap_or(0.0)
    };
    let (left, right) = (fold(f64::min, |p| p.x), fold(f64::max, |p| p.x));
    let (low, high) = (fold(f64::min, |p| p.y), fold(f64::max, |p| p.y));
    let sheet = Sheet {
        left,
        high,
        pieces: &pieces,
        layout,
        units,
    };
    let width = coordinate((right - left) * MM_PER_INCH + 2.0 * MARGIN);
    let height = coordinate((high - low) * MM_PER_INCH + 2.0 * MARGIN);
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = write!(
        out,
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\" font-family=\"'Liberation Sans', Arial, Helvetica, sans-serif\">\n\
         {DRAWN}\n<title>Courses of face {}, 1:24, seen from outside with the eave down</title>\n{HATCHES}",
        escaped(name)
    );
    sheet.courses(&mut out);
    sheet.joints(&mut out);
    sheet.outline(face, &mut out);
    sheet.numbers(&mut out);
    out.push_str("</svg>\n");
    out
}

/// The piece that opens a run is hatched rising to the right, the one that closes it falling.
const HATCHES: &str = "<defs>\n\
     <pattern id=\"opening\" width=\"2\" height=\"2\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 2L2 0\" stroke=\"#000000\" stroke-width=\"0.12\"/></pattern>\n\
     <pattern id=\"closing\" width=\"2\" height=\"2\" patternUnits=\"userSpaceOnUse\"><path d=\"M0 0L2 2\" stroke=\"#000000\" stroke-width=\"0.12\"/></pattern>\n\
     </defs>\n";

struct Sheet<'a> {
    left: f64,
    high: f64,
    pieces: &'a [Piece],
    layout: &'a FaceLayout,
    units: OutputUnits,
}

impl Sheet<'_> {
    fn paper(&self, p: Point) -> (f64, f64) {
        (
            (p.x - self.left) * MM_PER_INCH + MARGIN,
            (self.high - p.y) * MM_PER_INCH + MARGIN,
        )
    }
    fn path(&self, points: &[Point]) -> String {
        let mut data = String::new();
        for (i, p) in points.iter().enumerate() {
            let (x, y) = self.paper(*p);
            let letter = if i == 0 { 'M' } else { 'L' };
            let _ = write!(data, "{letter}{} {}", coordinate(x), coordinate(y));
        }
        data + "Z"
    }

    fn courses(&self, out: &mut String) {
        out.push_str("<g id=\"pieces\" stroke=\"#000000\" stroke-width=\"0.15\" stroke-linejoin=\"round\">\n");
        let mut open = None;
        for piece in self.pieces {
            if open != Some(piece.course) {
                if open.is_some() {
                    out.push_str("</g>\n");
                }
                let _ = writeln!(out, "<g id=\"course-{}\">", piece.course + 1);
                open = Some(piece.course);
            }
            let fill = match piece.kind {
                PieceKind::Whole => "#ffffff",
                PieceKind::Opening | PieceKind::Single => "url(#opening)",
                PieceKind::Closing => "url(#closing)",
            };
            let _ = writeln!(
                out,
                "<path d=\"{}\" fill=\"{fill}\"><title>{}</title></path>",
                self.path(&piece.polygon),
                self.words(piece)
            );
        }
        if open.is_some() {
            out.push_str("</g>\n");
        }
        out.push_str("</g>\n");
    }

    /// What a piece is: `course 3, opening piece, 12⅜″ at its longest, of shingle 7`.
    fn words(&self, piece: &Piece) -> String {
        let what = match piece.kind {
            PieceKind::Whole => return format!("course {}, whole", piece.course + 1),
            PieceKind::Opening => "opening piece",
            PieceKind::Closing => "closing piece",
            PieceKind::Single => "one piece",
        };
        let xs = || piece.polygon.iter().map(|p| p.x);
        let wide = xs().fold(f64::MIN, f64::max) - xs().fold(f64::MAX, f64::min);
        let of = match piece.pair {
            Some(pair) => format!("of shingle {}", pair + 1),
            None => "its rest is waste".to_owned(),
        };
        format!(
            "course {}, {what}, {} at its longest in the exposed strip, {of}",
            piece.course + 1,
            self.units.small(Length::<True>::inches(wide))
        )
    }

    fn joints(&self, out: &mut String) {
        out.push_str("<g id=\"joints\" stroke=\"#000000\" stroke-width=\"0.25\">\n");
        for run in &self.layout.runs {
            for &joint in &run.joints_in {
                let low = self.paper(Point::new(joint, run.butt_height_in));
                let high = self.paper(Point::new(joint, run.butt_height_in + run.strip_in));
                let _ = writeln!(
                    out,
                    "<path d=\"M{} {}V{}\"/>",
                    coordinate(low.0),
                    coordinate(low.1),
                    coordinate(high.1)
                );
            }
        }
        out.push_str("</g>\n");
    }

    fn outline(&self, face: &CourseFace, out: &mut String) {
        out.push_str("<g id=\"outline\" fill=\"none\" stroke=\"#000000\" stroke-width=\"0.5\" stroke-linecap=\"round\">\n");
        for side_ring in face.rings() {
            let n = side_ring.points.len();
            for i in 0..n {
                let a = self.paper(side_ring.points[i]);
                let b = self.paper(side_ring.points[(i + 1) % n]);
                let _ = writeln!(
                    out,
                    "<path d=\"M{} {}L{} {}\"><title>{}</title></path>",
                    coordinate(a.0),
                    coordinate(a.1),
                    coordinate(b.0),
                    coordinate(b.1),
                    kind_words(side_ring.kinds[i])
                );
            }
        }
        out.push_str("</g>\n");
    }

    /// The number of every course at its left, and of every shared shingle in both of its pieces.
    fn numbers(&self, out: &mut String) {
        out.push_str("<g id=\"numbers\" fill=\"#000000\" text-anchor=\"middle\" stroke=\"#ffffff\" stroke-width=\"0.5\" paint-order=\"stroke\">\n");
        let mut last = None;
        for run in &self.layout.runs {
            if last == Some(run.course) {
                continue;
            }
            last = Some(run.course);
            let out_most = run.butt_in.0.min(run.top_in.0);
            let at = self.paper(Point::new(
                out_most,
                run.butt_height_in + run.strip_in / 2.0,
            ));
            text(
                out,
                (at.0 - 4.0, at.1),
                FIGURE,
                &number::count(run.course + 1),
            );
        }
        for piece in self.pieces {
            let Some(pair) = piece.pair else { continue };
            let words = (pair + 1).to_string();
            let xs = || piece.polygon.iter().map(|p| p.x);
            let ys = || piece.polygon.iter().map(|p| p.y);
            // Half of the greatest width is there all along the middle of a triangle.
            let wide =
                (xs().fold(f64::MIN, f64::max) - xs().fold(f64::MAX, f64::min)) * MM_PER_INCH;
            let high =
                (ys().fold(f64::MIN, f64::max) - ys().fold(f64::MAX, f64::min)) * MM_PER_INCH;
            let room = 0.8 * wide / (FIGURE_WIDTH * words.len() as f64);
            let size = FIGURE.min(0.7 * high).min(room).max(0.8);
            text(
                out,
                self.paper(ring::centroid(&piece.polygon)),
                size,
                &words,
            );
        }
        out.push_str("</g>\n");
    }
}

/// A text whose middle is at a place.
fn text(out: &mut String, at: (f64, f64), size: f64, words: &str) {
    let _ = writeln!(
        out,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\">{words}</text>",
        coordinate(at.0),
        // Figures are about 0.72 of the size high.
        coordinate(at.1 + 0.36 * size),
        coordinate(size)
    );
}

const fn kind_words(kind: EdgeKind) -> &'static str {
    match kind {
        EdgeKind::Eave => "eave",
        EdgeKind::Rake => "rake",
        EdgeKind::Hip => "hip",
        EdgeKind::ValleyThrough => "valley, run through",
        EdgeKind::ValleyCut => "valley, trimmed",
        EdgeKind::ValleyOpen => "valley, open",
        EdgeKind::Ridge => "ridge",
        EdgeKind::HighEdge => "high edge",
        EdgeKind::PitchChange => "pitch change",
        EdgeKind::InPlane => "in-plane line",
        EdgeKind::Wall => "wall",
        EdgeKind::Apron => "apron",
    }
}
