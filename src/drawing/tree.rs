//! The resolver at work: styles, transforms, references and text positions. Beside [`super::clip`] the only file that
//! knows its types.

use std::sync::Arc;

use usvg::tiny_skia_path::{PathSegment, Point as RawPoint, Transform};
use usvg::{BlendMode, Fill, Group, Node, Paint, roxmltree};

use super::Style;
use super::clip::Clips;
use super::clip_chain::Chains;
use super::curve::{Outline, Piece};
use super::deep_stack::STACK_BYTES;
use super::halves;
use super::prepass::Prepared;
use super::read::reader_failed;
use super::shape::{Letter, Shape, Shown};
use super::typeface::TYPEFACE;
use crate::finding::of_error;
use crate::geometry::{Point, Vector};
use crate::{Finding, fonts};

/// Markers become false lines, a reference to a missing filter or mask makes a shape vanish, and paint order splits a
/// shape in two; a broken miter limit stops the resolver. None of them changes where a line runs: each is set to a value
/// that does nothing. Letters spaced wide would look like words of one letter. The first word is what a file that uses
/// the property must hold.
const UNWANTED: [(&str, &str); 6] = [
    (
        "marker",
        "marker-start:none !important;marker-mid:none !important;marker-end:none !important;",
    ),
    ("paint-order", "paint-order:normal !important;"),
    ("mask", "mask:none !important;"),
    ("filter", "filter:none !important;"),
    ("letter-spacing", "letter-spacing:normal !important;"),
    ("miterlimit", "stroke-miterlimit:4 !important;"),
];

/// The rule against the unwanted properties that the file mentions: every property costs time at every element.
/// Clip paths are followed, but not those of the shapes inside clip paths, nor long chains of clip paths.
fn style_sheet(prepared: &Prepared) -> Option<String> {
    let text = &prepared.text;
    let rules: String = UNWANTED
        .iter()
        .filter(|(word, _)| text.contains(word))
        .map(|(_, rule)| *rule)
        .collect();
    let mut sheet = String::new();
    if !rules.is_empty() {
        sheet = format!("*{{{rules}}}");
    }
    if text.contains("clip-path") {
        let chains = match prepared.clip_chains {
            Chains::Long => "clipPath,",
            Chains::Short | Chains::None => "",
        };
        sheet += &format!("{chains}clipPath *{{clip-path:none !important}}");
    }
    (!sheet.is_empty()).then_some(sheet)
}

/// Anything fainter is not seen.
const FAINTEST: f32 = 0.02;
/// Nothing is seen beneath a fill stronger than this.
const OPAQUE: f32 = 0.98;

/// How what lies in a group is painted.
#[derive(Clone, Copy)]
struct Look {
    visible: bool,
    /// Whether a solid fill hides what lies beneath.
    covers: bool,
}

impl Look {
    fn inside(self, group: &Group) -> Self {
        let opacity = group.opacity().get();
        Self {
            visible: self.visible && opacity > FAINTEST,
            covers: self.covers && opacity > OPAQUE && group.blend_mode() == BlendMode::Normal,
        }
    }
}

/// Resolves the prepared text: a large one in two halves, by two threads.
pub(super) fn resolve(prepared: &Prepared) -> Result<Shown, Finding> {
    let sheet = style_sheet(prepared);
    let Some([head, tail]) = halves::of(&prepared.text) else {
        return resolve_text(&prepared.text, prepared, sheet);
    };
    let (head, tail) = std::thread::scope(|scope| {
        let resolve_tail = || resolve_text(&tail, prepared, sheet.clone());
        let thread = std::thread::Builder::new()
            .stack_size(STACK_BYTES)
            .spawn_scoped(scope, resolve_tail);
        let head = resolve_text(&head, prepared, sheet.clone());
        let tail = match thread {
            Ok(thread) => thread.join().unwrap_or_else(|_| Err(reader_failed())),
            Err(_) => resolve_tail(),
        };
        (head, tail)
    });
    let mut shown = head?;
    shown.append(tail?);
    Ok(shown)
}

fn resolve_text(
    text: &str,
    prepared: &Prepared,
    style_sheet: Option<String>,
) -> Result<Shown, Finding> {
    let options = options(style_sheet);
    let parsing = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..Default::default()
    };
    let failed = |error: String| {
        Finding::error(
            "cannot-resolve",
            format!("The drawing cannot be read: {}.", of_error(&error)),
        )
        .remedy("Open the drawing in a drawing program and save it again as plain SVG.")
    };
    let document = roxmltree::Document::parse_with_options(text, parsing)
        .map_err(|error| failed(error.to_string()))?;
    let tree = usvg::Tree::from_xmltree(&document, &options).map_err(|e| failed(e.to_string()))?;
    let face = ttf_parser::Face::parse(fonts::REGULAR, 0).ok();
    let offset = prepared
        .frame
        .view_box
        .map_or(Vector::default(), |b| Vector::new(b[0], b[1]));
    let mut walk = Walk {
        prepared,
        offset,
        face,
        clips: Clips::default(),
        shown: Shown::default(),
    };
    let look = Look {
        visible: true,
        covers: true,
    };
    walk.group(tree.root(), None, look, Transform::default());
    if walk.clips.is_too_much() {
        return Err(too_much_clipping());
    }
    Ok(walk.shown)
}

fn too_much_clipping() -> Finding {
    Finding::error(
        "too-much-clipping",
        "The drawing's clip paths have too many sides for all that they cut.",
    )
    .remedy("Trace the roof in a new drawing, or release the clip paths round it.")
}

fn options(style_sheet: Option<String>) -> usvg::Options<'static> {
    usvg::Options {
        style_sheet,
        fontdb: Arc::clone(&TYPEFACE),
        font_resolver: usvg::FontResolver {
            select_font: Box::new(|_, db| db.faces().next().map(|f| f.id)),
            select_fallback: Box::new(|_, _, _| None),
        },
        image_href_resolver: usvg::ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..usvg::Options::default()
    }
}

struct Walk<'p> {
    prepared: &'p Prepared,
    /// The root's viewBox starts here; the resolver moves it to the origin.
    offset: Vector,
    face: Option<ttf_parser::Face<'static>>,
    clips: Clips,
    shown: Shown,
}

impl Walk<'_> {
    /// `outer` maps to the root user space: what the resolver keeps for the group of a clipped symbol leaves out the place
    /// where the symbol is used.
    fn group(&mut self, group: &Group, element: Option<usize>, outer_look: Look, outer: Transform) {
        let transform = outer.pre_concat(group.transform());
        let element = self.element(group.id(), element);
        let look = outer_look.inside(group);
        if let Some(clip) = group.clip_path() {
            self.clips.enter(clip, transform, self.offset);
        }
        for node in group.children() {
            match node {
                Node::Group(inner) => self.group(inner, element, look, transform),
                Node::Path(path) => self.path(path, element, look),
                Node::Text(text) => self.text(text, element, look),
                Node::Image(_) => {}
            }
        }
        if group.clip_path().is_some() {
            self.clips.leave();
        }
    }

    /// The element of an id; nodes inside a reused element have none and belong to the one that uses it.
    fn element(&self, id: &str, outer: Option<usize>) -> Option<usize> {
        self.prepared.ids.element(id).or(outer)
    }

    fn path(&mut self, path: &usvg::Path, outer: Option<usize>, look: Look) {
        let Some(element) = self.element(path.id(), outer) else {
            return;
        };
        if !(look.visible && path.is_visible()) {
            return;
        }
        let transform = path.abs_transform();
        let outlines = outlines(path.data().segments(), transform, self.offset);
        let stroke = path.stroke().filter(|s| s.opacity().get() > FAINTEST);
        // Programs leave the fill of a line as it is by default, though a line holds none.
        let fill = path
            .fill()
            .filter(|f| f.opacity().get() > FAINTEST)
            .filter(|_| outlines.iter().any(Outline::may_hold_a_fill));
        if stroke.is_none() && fill.is_none() {
            return;
        }
        let hatched = fill.is_some_and(|f| self.is_hatch(f.paint()));
        let style = Style {
            stroke: stroke.map(|s| colour(s.paint())),
            fill: fill.filter(|_| !hatched).map(|f| colour(f.paint())),
            width: stroke.map_or(0.0, |s| f64::from(s.width().get()) * stretch(transform)),
            dashed: stroke.is_some_and(|s| is_dashed(s.dasharray())),
        };
        let mut shape = Shape {
            element,
            outlines,
            style,
            filled: fill.is_some(),
            // What cannot be cut as it is seen is not known to hide anything.
            opaque: look.covers && fill.is_some_and(is_solid) && !self.clips.hide_more(),
            hatched,
        };
        if self.clips.cut(&mut shape) {
            if self.clips.hide_more() {
                self.shown.clipped_by_text.push(element);
            }
            self.shown.shapes.push(shape);
        } else {
            self.shown.clipped_away.push(element);
        }
    }

    fn is_hatch(&self, paint: &Paint) -> bool {
        matches!(paint, Paint::LinearGradient(g) if self.prepared.hatches.contains(g.id()))
    }

    fn text(&mut self, text: &usvg::Text, outer: Option<usize>, look: Look) {
        let Some(element) = self.element(text.id(), outer) else {
            return;
        };
        for span in text.layouted() {
            let painted = span
                .fill
                .as_ref()
                .is_some_and(|f| f.opacity().get() > FAINTEST)
                || span.stroke.is_some();
            if !(look.visible && span.visible && painted) {
                continue;
            }
            let fill = span.fill.as_ref().map(|f| colour(f.paint()));
            for glyph in &span.positioned_glyphs {
                let place = text.abs_transform().pre_concat(glyph.transform());
                self.letter(glyph, place, element, fill.clone());
            }
        }
    }

    fn letter(
        &mut self,
        glyph: &usvg::layout::PositionedGlyph,
        place: Transform,
        element: usize,
        fill: Option<String>,
    ) {
        // One unit of `place` is a font unit.
        let (advance, em) = match &self.face {
            Some(face) => (
                face.glyph_hor_advance(ttf_parser::GlyphId(u16::try_from(glyph.id.0).unwrap_or(0)))
                    .unwrap_or(0),
                face.units_per_em(),
            ),
            None => (0, 2048),
        };
        let map = |x: f32, y: f32| mapped(place, RawPoint::from_xy(x, y), self.offset);
        let start = map(0.0, 0.0);
        let letter = Letter {
            element,
            text: glyph.text.clone(),
            start,
            end: map(f32::from(advance), 0.0),
            up: map(0.0, -f32::from(em)) - start,
            fill,
        };
        let sound = letter.start.is_finite() && letter.end.is_finite() && letter.up.length() > 0.0;
        if sound && self.clips.shows(&letter) {
            self.shown.letters.push(letter);
        }
    }
}

/// How many times longer lines become, on the mean of all directions.
fn stretch(t: Transform) -> f64 {
    f64::from(t.sx * t.sy - t.kx * t.ky).abs().sqrt()
}

/// Whether a fill is of one colour through which nothing shows.
fn is_solid(fill: &Fill) -> bool {
    matches!(fill.paint(), Paint::Color(_)) && fill.opacity().get() > OPAQUE
}

/// Dash lists of zeros draw a solid line.
fn is_dashed(dashes: Option<&[f32]>) -> bool {
    dashes.is_some_and(|d| d.iter().any(|&length| length > 0.0))
}

fn colour(paint: &Paint) -> String {
    let colour = match paint {
        Paint::Color(c) => *c,
        Paint::LinearGradient(g) => g.stops()[0].color(),
        Paint::RadialGradient(g) => g.stops()[0].color(),
        Paint::Pattern(_) => usvg::Color::black(),
    };
    let digit = |n: u8| char::from(b"0123456789abcdef"[usize::from(n & 15)]);
    let mut text = String::with_capacity(7);
    text.push('#');
    for part in [colour.red, colour.green, colour.blue] {
        text.push(digit(part >> 4));
        text.push(digit(part));
    }
    text
}

fn mapped(t: Transform, p: RawPoint, offset: Vector) -> Point {
    let (x, y) = (f64::from(p.x), f64::from(p.y));
    Point::new(
        f64::from(t.sx) * x + f64::from(t.kx) * y + f64::from(t.tx),
        f64::from(t.ky) * x + f64::from(t.sy) * y + f64::from(t.ty),
    ) + offset
}

pub(super) fn outlines(
    segments: usvg::tiny_skia_path::PathSegmentsIter<'_>,
    transform: Transform,
    offset: Vector,
) -> Vec<Outline> {
    let map = |p: RawPoint| mapped(transform, p, offset);
    let mut all: Vec<Outline> = Vec::new();
    let mut from = Point::default();
    for segment in segments {
        let piece = match segment {
            PathSegment::MoveTo(p) => {
                from = map(p);
                all.push(Outline {
                    start: from,
                    pieces: Vec::new(),
                    closed: false,
                });
                continue;
            }
            PathSegment::Close => {
                if let Some(last) = all.last_mut() {
                    last.closed = true;
                    from = last.start;
                }
                continue;
            }
            PathSegment::LineTo(p) => Piece::Line(map(p)),
            PathSegment::QuadTo(a, p) => {
                let (a, end) = (map(a), map(p));
                Piece::Cubic(from.lerp(a, 2.0 / 3.0), end.lerp(a, 2.0 / 3.0), end)
            }
            PathSegment::CubicTo(a, b, p) => Piece::Cubic(map(a), map(b), map(p)),
        };
        from = piece.end();
        match all.last_mut() {
            Some(last) if !last.closed => last.pieces.push(piece),
            Some(last) => {
                let start = last.start;
                all.push(Outline {
                    start,
                    pieces: vec![piece],
                    closed: false,
                });
            }
            None => {}
        }
    }
    all.retain(|o| !o.pieces.is_empty());
    all
}
