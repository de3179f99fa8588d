//! The drawing written back with layers on top: findings circled and numbered, falls that are asked about as arrows.
//!
//! Everything outside the added layers stays byte for byte as it was. The findings' layer is named so that it is left out
//! when the file is read again; the arrows are in a layer of falls, so that they then count as settled.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::Write as _;

use super::bytes::{self, Encoding};
use super::extent::Extent;
use super::options::Limits;
use super::prepass::escape;
use super::written::marked_of;
use super::{Drawing, xml};
use crate::geometry::{Point, Vector};
use crate::{Finding, Place};

/// A fall that is asked about: where the arrow stands, which way it points (any length), and what it is called.
#[derive(Clone, Debug, PartialEq)]
pub struct Fall {
    /// The middle of the arrow, in plan feet.
    pub at: Point,
    /// The direction that the water would run to.
    pub direction: Vector,
    /// The face's name or another short word, drawn beside it.
    pub name: String,
    /// The level of its face, 0 for the lowest: arrows of a higher one stand in a layer of that level.
    pub level: u32,
}

/// Layers that are added. Written on one line each, so that a comparison of the files shows exactly them.
const FINDINGS_LAYER: &str = "ignore findings";
const FALLS_LAYER: &str = "fall proposed";
const COLOUR: &str = "#d0006f";

/// Numbers that stand on one place go down from it, as far as this many lines: below that they stand on one another, for no
/// sheet is so long.
const MOST_LINES_DOWN: usize = 200;

/// Where numbers stand, by cells of a number's width and a line's height.
type Taken = BTreeMap<(i64, i64), Vec<Point>>;

/// Writes the drawing back with its findings and proposed falls marked. Numbers start at 1 and follow the order of
/// `findings`; a finding without a place keeps its number and is not drawn. The layer of findings keeps the name of the
/// file that they were found in.
///
/// # Errors
/// A finding when the original cannot be decoded or has no closing root tag to put the layers before.
pub fn write(
    original: &[u8],
    file_name: &str,
    drawing: &Drawing,
    findings: &[Finding],
    falls: &[Fall],
) -> Result<Vec<u8>, Finding> {
    let limits = Limits {
        bytes: usize::MAX,
        ..Limits::default()
    };
    let decoded = bytes::decode(original, &limits)?;
    let place = insertion(&decoded.text)?;
    let sheet = Sheet::of(drawing, &decoded.text, place.prefix);
    let mut layers = String::new();
    if !falls.is_empty() {
        layers += &sheet.falls(falls);
    }
    layers += &sheet.findings(findings, falls, file_name);
    let head = &decoded.text[..place.at];
    if decoded.packed {
        let mut plain = encode(head, decoded.encoding);
        plain.extend(encode(&layers, decoded.encoding));
        plain.extend(encode(&decoded.text[place.at..], decoded.encoding));
        return packed(&plain);
    }
    // The bytes are cut, not decoded and encoded again.
    let at = byte_offset(head, decoded.encoding, original);
    let mut out = original[..at].to_vec();
    out.extend(encode(&layers, decoded.encoding));
    out.extend(&original[at..]);
    Ok(out)
}

struct Insertion<'t> {
    at: usize,
    /// The root's name prefix with its colon, or nothing.
    prefix: &'t str,
}

fn insertion(text: &str) -> Result<Insertion<'_>, Finding> {
    let found = xml::root_start(text).and_then(|start| {
        let after = &text[start + 1..];
        let name = &after[..after.find(|c: char| c.is_whitespace() || c == '>' || c == '/')?];
        let ends = xml::tags(text).filter(|tag| tag.closes && tag.name == name);
        let at = ends.last()?.start;
        let prefix = name.find(':').map_or("", |colon| &name[..=colon]);
        Some(Insertion { at, prefix })
    });
    found.ok_or_else(|| {
        Finding::error(
            "cannot-mark",
            "The drawing has no closing </svg> before which marks could be put.",
        )
        .remedy("Open the drawing in a drawing program and save it again.")
    })
}

fn byte_offset(head: &str, encoding: Encoding, original: &[u8]) -> usize {
    match encoding {
        Encoding::Utf8 { mark } => head.len() + if mark { 3 } else { 0 },
        Encoding::Utf16Le | Encoding::Utf16Be => {
            let mark = original.starts_with(&[0xff, 0xfe]) || original.starts_with(&[0xfe, 0xff]);
            head.encode_utf16().count() * 2 + if mark { 2 } else { 0 }
        }
        Encoding::Latin1 => head.chars().count(),
    }
}

/// The layers are plain ASCII, whatever the encoding; other text is only encoded when a file is packed again.
fn encode(text: &str, encoding: Encoding) -> Vec<u8> {
    match encoding {
        Encoding::Utf8 { mark } => {
            let mut out = Vec::with_capacity(text.len() + 3);
            if mark && text.starts_with("<?xml") {
                out.extend([0xef, 0xbb, 0xbf]);
            }
            out.extend(text.as_bytes());
            out
        }
        Encoding::Utf16Le => text.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        Encoding::Utf16Be => text.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        Encoding::Latin1 => bytes::to_latin1(text),
    }
}

fn packed(plain: &[u8]) -> Result<Vec<u8>, Finding> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    encoder
        .write_all(plain)
        .and_then(|()| encoder.finish())
        .map_err(|error| {
            Finding::error(
                "cannot-mark",
                format!("The marked drawing cannot be packed: {error}."),
            )
        })
}

/// What marks need to know of the drawing.
struct Sheet<'d> {
    drawing: &'d Drawing,
    prefix: &'d str,
    /// The height of a number, in drawing units.
    size: f64,
    /// Undoes a transform of the root element itself.
    transform: Option<String>,
}

impl<'d> Sheet<'d> {
    fn of(drawing: &'d Drawing, text: &str, prefix: &'d str) -> Self {
        let points = drawing
            .strokes
            .iter()
            .flat_map(|s| s.points.iter().copied());
        let extent = Extent::of_points(points).map_or(40.0, |e| e.size());
        Self {
            drawing,
            prefix,
            size: extent / drawing.scale.feet_per_unit * 0.018,
            transform: root_transform(text),
        }
    }

    /// From plan feet to the root's user space.
    fn unit(&self, p: Point) -> Point {
        self.drawing.scale.to_units(p)
    }

    fn layer(&self, name: &str, more: &str, content: &str) -> String {
        let p = self.prefix;
        let id = name.replace(' ', "-");
        let transform = self
            .transform
            .as_ref()
            .map_or(String::new(), |t| format!(" transform=\"{t}\""));
        let text = format!(
            "<{p}g id=\"{id}\" xmlns:inkscape=\"http://www.inkscape.org/namespaces/inkscape\" \
             inkscape:groupmode=\"layer\" inkscape:label=\"{name}\" data-name=\"{name}\" \
             style=\"display:inline;opacity:1\"{transform}{more}>{content}</{p}g>\n"
        );
        ascii(&text)
    }

    fn line_style(&self) -> String {
        format!(
            "fill:none;stroke:{COLOUR};stroke-width:{:.6};stroke-linecap:round;stroke-dasharray:none",
            self.size * 0.12
        )
    }

    fn falls(&self, falls: &[Fall]) -> String {
        let mut content: BTreeMap<u32, String> = BTreeMap::new();
        for fall in falls {
            let content = content.entry(fall.level).or_default();
            let Some(u) = fall.direction.unit() else {
                continue;
            };
            let u = Vector::new(u.x, -u.y);
            let middle = self.unit(fall.at);
            let (tail, tip) = (
                middle - u * (2.0 * self.size),
                middle + u * (2.0 * self.size),
            );
            let back = tip - u * (0.8 * self.size);
            let side = u.turn_left() * (0.4 * self.size);
            let (left, right) = (back + side, back - side);
            let _ = write!(
                content,
                "<{}path d=\"M {} L {} M {} L {} L {}\" style=\"{}\"/>",
                self.prefix,
                pair(tail),
                pair(tip),
                pair(left),
                pair(tip),
                pair(right),
                self.line_style()
            );
        }
        content
            .iter()
            .map(|(level, content)| match level {
                0 => self.layer(FALLS_LAYER, "", content),
                // Said as the drawing's own layers say it.
                _ => self.layer(&format!("fall level {} proposed", level + 1), "", content),
            })
            .collect()
    }

    fn findings(&self, findings: &[Finding], falls: &[Fall], file_name: &str) -> String {
        let mut content = String::new();
        let mut taken = Taken::new();
        for (i, finding) in findings.iter().enumerate() {
            let places = finding.places.iter().filter_map(|p| self.point(p));
            for at in places {
                let at = self.unit(at);
                let message = format!("{}: {}", finding.code, finding.sentences());
                let _ = write!(
                    content,
                    "<{p}circle cx=\"{}\" cy=\"{}\" r=\"{:.6}\" style=\"{}\"><{p}desc>{}</{p}desc></{p}circle>",
                    at.x,
                    at.y,
                    self.size,
                    self.line_style(),
                    escape(message.trim()),
                    p = self.prefix
                );
                let beside = self.clear_of(&mut taken, at + Vector::new(1.2, -0.6) * self.size);
                content += &self.text(beside, &(i + 1).to_string());
            }
        }
        for fall in falls {
            let Some(u) = fall.direction.unit() else {
                continue;
            };
            let beside = self.unit(fall.at) + Vector::new(-u.y, -u.x) * self.size;
            content += &self.text(beside, &fall.name);
        }
        self.layer(FINDINGS_LAYER, &marked_of(file_name), &content)
    }

    /// The first place from here downwards for a number that no other number stands on, as far as a sheet goes down.
    fn clear_of(&self, taken: &mut Taken, from: Point) -> Point {
        // Two figures and a blank, and a line of them.
        let (width, line) = (1.7 * self.size, 1.1 * self.size);
        let meets = |a: &Point, b: Point| (a.x - b.x).abs() < width && (a.y - b.y).abs() < line;
        let cell = |p: Point| ((p.x / width).floor() as i64, (p.y / line).floor() as i64);
        let mut at = from;
        for _ in 0..MOST_LINES_DOWN {
            let (x, y) = cell(at);
            let mut near = (-1..=1).flat_map(|dx| {
                let (column, here) = (x.saturating_add(dx), y);
                taken.range((column, here.saturating_sub(1))..=(column, here.saturating_add(1)))
            });
            if !near.any(|(_, others)| others.iter().any(|other| meets(other, at))) {
                taken.entry((x, y)).or_default().push(at);
                break;
            }
            at.y += line;
        }
        at
    }

    fn text(&self, at: Point, text: &str) -> String {
        format!(
            "<{p}text x=\"{}\" y=\"{}\" style=\"font-size:{:.6}px;font-family:sans-serif;font-weight:bold;fill:{COLOUR};\
             stroke:none;text-anchor:start\">{}</{p}text>",
            at.x,
            at.y,
            self.size * 1.2,
            escape(text),
            p = self.prefix
        )
    }

    /// The point of a place; for a place that only names an element, a point on that element.
    fn point(&self, place: &Place) -> Option<Point> {
        if place.at.is_some() {
            return place.at;
        }
        let source = place.source.as_ref()?;
        let stroke = self.drawing.strokes.iter().find(|s| s.source == *source);
        if let Some(stroke) = stroke {
            return Some(stroke.points[0].midpoint(stroke.points[1]));
        }
        self.drawing
            .labels
            .iter()
            .find(|l| l.source == *source)
            .map(|l| l.at)
    }
}

fn pair(p: Point) -> String {
    format!("{} {}", p.x, p.y)
}

/// Characters beyond ASCII as references, so that every encoding can hold them.
fn ascii(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        if c.is_ascii() {
            out.push(c);
        } else {
            let _ = write!(out, "&#x{:x};", c as u32);
        }
    }
    out
}

/// The inverse of a transform on the root element, under which the layers would lie too.
fn root_transform(text: &str) -> Option<String> {
    let start = xml::root_start(text)?;
    let tag = &text[start..start + text[start..].find('>')?];
    let value = tag.split_once(" transform=")?.1;
    let quote = value.chars().next()?;
    let value = value[1..].split(quote).next()?;
    let t: svgtypes::Transform = value.parse().ok()?;
    let det = t.a * t.d - t.b * t.c;
    (det.abs() > 0.0).then(|| {
        let (a, b, c, d) = (t.d / det, -t.b / det, -t.c / det, t.a / det);
        let (e, f) = (-(a * t.e + c * t.f), -(b * t.e + d * t.f));
        format!("matrix({a} {b} {c} {d} {e} {f})")
    })
}
