//! The one file that knows how a PDF is written. Marks in millimetres go in, the bytes of a file come out.
//!
//! Coordinates are rounded to a thousandth of a point before they are written, and minus zero to zero, so that the
//! last bit of a sine makes no difference between machines. Fonts are cut down to the characters used. Names of
//! resources are our own and the file's identity is a hash of its content: the same marks give the same bytes.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write as _;

use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat};
use printpdf::{
    Color, FontId, FontMetrics, Greyscale, Line, LineCapStyle, LineDashPattern, LineJoinStyle,
    LinePoint, Op, PaintMode, ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage,
    PdfSaveOptions, Point as PdfPoint, Polygon, PolygonRing, Pt, Rect, Rgb, TextItem, TextMatrix,
    TextRenderingMode, WindingOrder,
};

use super::{DocumentInfo, Page};
use crate::geometry::Point;
use crate::report::canvas::{Font, Ink, Item, Mark, Pen, Text};
use crate::{Finding, fonts};

/// Printed for a character that the typeface lacks.
pub(super) const SUBSTITUTE: char = '□';

/// Points in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Writes the pages as one file.
pub(super) fn write(pages: &[Page<'_>], info: &DocumentInfo) -> Result<Vec<u8>, Finding> {
    let mut document = PdfDocument::new(&info.title);
    for (font, characters) in used_characters(pages) {
        let (id, program) = subset(font, &characters)?;
        document
            .resources
            .fonts
            .map
            .insert(id, PdfFont::new(program));
    }
    document.pages = pages.iter().map(page).collect();
    let mut warnings = Vec::new();
    let options = PdfSaveOptions {
        optimize: true,
        subset_fonts: false,
        secure: true,
        image_optimization: None,
    };
    let mut file = printpdf::serialize::to_lopdf_doc(&document, &options, &mut warnings);
    finish(&mut file, pages, info);
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).map_err(|error| {
        Finding::error(
            "pdf-not-written",
            format!("The PDF cannot be put together: {error}."),
        )
    })?;
    Ok(bytes)
}

// ---- fonts

fn resource(font: Font) -> FontId {
    FontId(
        match font {
            Font::Regular => "Regular",
            Font::Bold => "Bold",
        }
        .to_owned(),
    )
}

fn used_characters(pages: &[Page<'_>]) -> BTreeMap<Font, BTreeSet<char>> {
    let mut used: BTreeMap<Font, BTreeSet<char>> = BTreeMap::new();
    for page in pages {
        for item in &page.canvas.items {
            if let Mark::Text(text) = &item.mark {
                let set = used.entry(text.style.font).or_default();
                set.insert(SUBSTITUTE);
                set.extend(text.runs.iter().flat_map(|run| run.text.chars()));
            }
        }
    }
    used
}

/// The typeface cut down to some characters.
fn subset(font: Font, characters: &BTreeSet<char>) -> Result<(FontId, ParsedFont), Finding> {
    let broken = |what: String| {
        Finding::error(
            "typeface-unreadable",
            format!("The bundled typeface cannot be embedded: {what}."),
        )
    };
    let (bytes, name) = match font {
        Font::Regular => (fonts::REGULAR, "EAVREG+LiberationSans"),
        Font::Bold => (fonts::BOLD, "EAVBLD+LiberationSans-Bold"),
    };
    let face = ttf_parser::Face::parse(bytes, 0).map_err(|e| broken(e.to_string()))?;
    let mut remapper = subsetter::GlyphRemapper::new();
    let (mut glyphs, mut advances) = (BTreeMap::new(), BTreeMap::new());
    for &c in characters {
        if let Some(glyph) = face.glyph_index(c) {
            let new = remapper.remap(glyph.0);
            glyphs.insert(u32::from(c), new);
            advances.insert(new, face.glyph_hor_advance(glyph).unwrap_or(0));
        }
    }
    let small = subsetter::subset(bytes, 0, &remapper).map_err(|e| broken(format!("{e:?}")))?;
    let metrics = FontMetrics {
        ascent: face.ascender(),
        descent: face.descender(),
    };
    let program = ParsedFont::with_glyph_data(
        small,
        0,
        Some(name.to_owned()),
        glyphs,
        advances,
        face.units_per_em(),
        metrics,
    );
    Ok((resource(font), program))
}

// ---- marks

fn page(page: &Page<'_>) -> PdfPage {
    let (width, height) = page.size;
    let area = Rect::from_wh(points(width), points(height));
    let mut writer = Marks::default();
    for item in &page.canvas.items {
        writer.item(item);
    }
    PdfPage {
        media_box: area.clone(),
        trim_box: area.clone(),
        crop_box: area,
        ops: writer.ops,
    }
}

/// Rounded to so many places, without a minus zero.
fn tidy(value: f64, places: i32) -> f32 {
    let unit = 10_f64.powi(places);
    let rounded = (value * unit).round() / unit;
    if rounded == 0.0 { 0.0 } else { rounded as f32 }
}

fn points(mm: f64) -> Pt {
    Pt(tidy(mm * POINTS_PER_MM, 3))
}

fn line_points(points_mm: &[Point]) -> Vec<LinePoint> {
    points_mm
        .iter()
        .map(|p| LinePoint {
            p: PdfPoint {
                x: points(p.x),
                y: points(p.y),
            },
            bezier: false,
        })
        .collect()
}

fn color(ink: Ink) -> Color {
    let grey = |share| {
        Color::Greyscale(Greyscale {
            percent: share,
            icc_profile: None,
        })
    };
    match ink {
        Ink::Black => grey(0.0),
        Ink::White => grey(1.0),
        Ink::Grey => grey(0.33),
        Ink::Pale => grey(0.75),
        Ink::Accent => Color::Rgb(Rgb {
            r: 0.639,
            g: 0.071,
            b: 0.047,
            icc_profile: None,
        }),
    }
}

/// Ops so far, and the graphics state that they leave: what is set already is not set again.
#[derive(Default)]
struct Marks {
    ops: Vec<Op>,
    state: State,
}

#[derive(Default)]
struct State {
    pen: Option<Pen>,
    fill: Option<Ink>,
}

impl Marks {
    fn item(&mut self, item: &Item) {
        match &item.mark {
            Mark::Stroke {
                points,
                closed,
                pen,
            } => self.stroke(points, *closed, *pen),
            Mark::Fill { rings, ink } => self.fill(rings, *ink),
            Mark::Text(text) => self.text(text),
        }
    }

    fn stroke(&mut self, points_mm: &[Point], closed: bool, pen: Pen) {
        self.pen(pen);
        self.ops.push(Op::DrawLine {
            line: Line {
                points: line_points(points_mm),
                is_closed: closed,
            },
        });
    }

    fn fill(&mut self, rings: &[Vec<Point>], ink: Ink) {
        self.fill_ink(ink);
        self.polygon(rings, PaintMode::Fill);
    }

    fn polygon(&mut self, rings: &[Vec<Point>], mode: PaintMode) {
        let rings = rings
            .iter()
            .map(|ring| PolygonRing {
                points: line_points(ring),
            })
            .collect();
        self.ops.push(Op::DrawPolygon {
            polygon: Polygon {
                rings,
                mode,
                winding_order: WindingOrder::EvenOdd,
            },
        });
    }

    fn pen(&mut self, pen: Pen) {
        let old = self.state.pen;
        if old.map(|p| p.ink) != Some(pen.ink) {
            self.ops.push(Op::SetOutlineColor {
                col: color(pen.ink),
            });
        }
        if old.map(|p| p.width) != Some(pen.width) {
            self.ops.push(Op::SetOutlineThickness {
                pt: points(pen.width),
            });
        }
        if old.map(|p| p.dash) != Some(pen.dash) {
            let pattern: Vec<f32> = pen.dash.iter().map(|&mm| points(mm).0).collect();
            self.ops.push(Op::SetLineDashPattern {
                dash: LineDashPattern::new(0.0, &pattern),
            });
        }
        if old.map(|p| p.round) != Some(pen.round) {
            let (cap, join) = if pen.round {
                (LineCapStyle::Round, LineJoinStyle::Round)
            } else {
                (LineCapStyle::Butt, LineJoinStyle::Miter)
            };
            self.ops.push(Op::SetLineCapStyle { cap });
            self.ops.push(Op::SetLineJoinStyle { join });
        }
        self.state.pen = Some(pen);
    }

    fn fill_ink(&mut self, ink: Ink) {
        if self.state.fill != Some(ink) {
            self.ops.push(Op::SetFillColor { col: color(ink) });
            self.state.fill = Some(ink);
        }
    }

    fn text(&mut self, text: &Text) {
        let style = text.style;
        if style.halo > 0.0 {
            // Reads as nothing: the text proper follows.
            self.spelled("", |marks| {
                marks.show(text, Ink::White, style.halo, TextRenderingMode::Stroke);
            });
        }
        let mode = if style.outline > 0.0 {
            TextRenderingMode::FillStroke
        } else {
            TextRenderingMode::Fill
        };
        // A reader that guesses words from places of letters guesses wrong on a slope.
        if text.is_set() || style.angle_deg != 0.0 {
            self.spelled(&text.content, |marks| {
                marks.show(text, style.ink, style.outline, mode);
            });
        } else {
            self.show(text, style.ink, style.outline, mode);
        }
    }

    /// Wraps marks that read as something other than their glyphs spell.
    fn spelled(&mut self, reads: &str, draw: impl FnOnce(&mut Self)) {
        let data = utf16(reads);
        let actual = printpdf::DictItem::String {
            data,
            literal: false,
        };
        self.ops.push(Op::BeginMarkedContentWithProperties {
            tag: "Span".to_owned(),
            properties: printpdf::DictItem::Dict {
                map: BTreeMap::from([("ActualText".to_owned(), actual)]),
            },
        });
        draw(self);
        self.ops.push(Op::EndMarkedContent);
    }

    fn show(&mut self, text: &Text, ink: Ink, outline: f64, mode: TextRenderingMode) {
        if outline > 0.0 {
            self.pen(Pen::new(outline).ink(ink).round());
        }
        self.fill_ink(ink);
        self.ops.push(Op::StartTextSection);
        self.ops.push(Op::SetTextRenderingMode { mode });
        let along = text.along();
        let up = along.turn_left();
        for run in &text.runs {
            let at = text.start + along * run.along + up * run.raise;
            self.ops.push(Op::SetFont {
                font: PdfFontHandle::External(resource(text.style.font)),
                size: points(text.style.size() * run.scale),
            });
            let (cos, sin) = (tidy(along.x, 6), tidy(along.y, 6));
            self.ops.push(Op::SetTextMatrix {
                matrix: TextMatrix::Raw([
                    cos,
                    sin,
                    if sin == 0.0 { 0.0 } else { -sin },
                    cos,
                    points(at.x).0,
                    points(at.y).0,
                ]),
            });
            self.ops.push(Op::ShowText {
                items: vec![TextItem::Text(printable(text.style.font, &run.text))],
            });
        }
        self.ops.push(Op::EndTextSection);
    }
}

/// With a box for every character that the typeface lacks.
fn printable(font: Font, text: &str) -> String {
    let bytes = match font {
        Font::Regular => fonts::REGULAR,
        Font::Bold => fonts::BOLD,
    };
    if text.is_ascii() {
        return text.to_owned();
    }
    let Ok(face) = ttf_parser::Face::parse(bytes, 0) else {
        return text.to_owned();
    };
    text.chars()
        .map(|c| face.glyph_index(c).map_or(SUBSTITUTE, |_| c))
        .collect()
}

// ---- the document round the pages

/// UTF-16, big end first, with its mark: what a PDF wants for text outside ASCII.
fn utf16(text: &str) -> Vec<u8> {
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(text.encode_utf16().flat_map(u16::to_be_bytes));
    bytes
}

fn text_object(text: &str) -> Object {
    Object::String(utf16(text), StringFormat::Hexadecimal)
}

fn dictionary<const N: usize>(entries: [(&str, Object); N]) -> Dictionary {
    let mut out = Dictionary::new();
    for (key, value) in entries {
        out.set(key, value);
    }
    out
}

fn name(text: &str) -> Object {
    Object::Name(text.as_bytes().to_vec())
}

/// Title, language, page labels, bookmarks, identity; and no claim of a standard that the file does not keep.
fn finish(file: &mut Document, pages: &[Page<'_>], info: &DocumentInfo) {
    file.version = "1.7".to_owned();
    let page_ids: Vec<ObjectId> = file.get_pages().into_values().collect();
    let outline = outline(file, pages, &page_ids);
    let labels = dictionary([(
        "Nums",
        Object::Array(vec![
            Object::Integer(0),
            Object::Dictionary(dictionary([("S", name("D")), ("P", text_object("Sheet "))])),
        ]),
    )]);
    let preferences = dictionary([("DisplayDocTitle", Object::Boolean(true))]);
    if let Ok(catalog) = file.catalog_mut() {
        catalog.set("Lang", Object::string_literal("en-US"));
        catalog.set("PageMode", name("UseOutlines"));
        catalog.set("PageLayout", name("SinglePage"));
        catalog.set("Outlines", Object::Reference(outline));
        catalog.set("PageLabels", Object::Dictionary(labels));
        catalog.set("ViewerPreferences", Object::Dictionary(preferences));
    }
    let producer = concat!("eavewright ", env!("CARGO_PKG_VERSION"));
    let mut about = dictionary([
        ("Title", text_object(&info.title)),
        ("Producer", Object::string_literal(producer)),
    ]);
    if !info.author.is_empty() {
        about.set("Author", text_object(&info.author));
    }
    let about = file.add_object(about);
    file.trailer.set("Info", Object::Reference(about));
    file.prune_objects();
    file.renumber_objects();
    file.trailer.remove(b"ID");
    compress(file);
    let identity = identity(file);
    file.trailer.set("ID", identity);
}

/// Level of compression: the usual one. The densest takes far longer for files hardly smaller.
const COMPRESSION: u32 = 6;

/// Compresses what is not compressed yet.
fn compress(file: &mut Document) {
    for object in file.objects.values_mut() {
        let Object::Stream(stream) = object else {
            continue;
        };
        if !stream.allows_compression || stream.dict.has(b"Filter") {
            continue;
        }
        let level = flate2::Compression::new(COMPRESSION);
        let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), level);
        // Writing to memory does not fail; were it to, the stream stays as it is.
        let compressed = encoder
            .write_all(&stream.content)
            .and_then(|()| encoder.finish());
        if let Some(compressed) = compressed.ok().filter(|c| c.len() < stream.content.len()) {
            stream.dict.set("Filter", name("FlateDecode"));
            stream.set_content(compressed);
        }
    }
}

/// A hash of everything in the file. An identity, not a signature.
fn identity(file: &mut Document) -> Object {
    let mut content = Vec::new();
    // Writing to memory does not fail; were it to, the hash of what came out is as good an identity.
    let _ = file.save_to(&mut content);
    let hash = |seed: u64| {
        content.iter().fold(seed, |hash, &byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01B3)
        })
    };
    // FNV-1a, once from its own offset and once from another.
    let mut bytes = hash(0xCBF2_9CE4_8422_2325).to_be_bytes().to_vec();
    bytes.extend(hash(0x9E37_79B9_7F4A_7C15).to_be_bytes());
    let id = Object::String(bytes, StringFormat::Hexadecimal);
    Object::Array(vec![id.clone(), id])
}

/// A bookmark, and those under it.
struct Bookmark {
    title: String,
    page: usize,
    under: Vec<Bookmark>,
}

/// One bookmark a sheet; sheets of one kind stand under one head.
fn bookmarks(pages: &[Page<'_>]) -> Vec<Bookmark> {
    let mut out: Vec<(Option<&str>, Bookmark)> = Vec::new();
    for (index, page) in pages.iter().enumerate() {
        let own = Bookmark {
            title: format!("{} {}", index + 1, page.title),
            page: index,
            under: Vec::new(),
        };
        let Some(group) = page.group.as_deref() else {
            out.push((None, own));
            continue;
        };
        match out.last_mut() {
            Some((Some(open), head)) if *open == group => head.under.push(own),
            _ => {
                let head = Bookmark {
                    title: group.to_owned(),
                    page: index,
                    under: vec![own],
                };
                out.push((Some(group), head));
            }
        }
    }
    out.into_iter().map(|(_, bookmark)| bookmark).collect()
}

fn outline(file: &mut Document, pages: &[Page<'_>], page_ids: &[ObjectId]) -> ObjectId {
    let root = file.new_object_id();
    let marks = bookmarks(pages);
    let mut entries = dictionary([("Type", name("Outlines"))]);
    if let Some((first, last)) = siblings(file, root, &marks, page_ids) {
        entries.set("First", Object::Reference(first));
        entries.set("Last", Object::Reference(last));
        entries.set("Count", Object::Integer(marks.len() as i64));
    }
    file.objects.insert(root, Object::Dictionary(entries));
    root
}

/// Adds bookmarks that stand under one parent; returns the first and the last.
fn siblings(
    file: &mut Document,
    parent: ObjectId,
    marks: &[Bookmark],
    page_ids: &[ObjectId],
) -> Option<(ObjectId, ObjectId)> {
    let ids: Vec<ObjectId> = marks.iter().map(|_| file.new_object_id()).collect();
    for (i, mark) in marks.iter().enumerate() {
        let mut entry = dictionary([
            ("Title", text_object(&mark.title)),
            ("Parent", Object::Reference(parent)),
        ]);
        if let Some(&page) = page_ids.get(mark.page) {
            let target = vec![Object::Reference(page), name("Fit")];
            entry.set("Dest", Object::Array(target));
        }
        if i > 0 {
            entry.set("Prev", Object::Reference(ids[i - 1]));
        }
        if let Some(&next) = ids.get(i + 1) {
            entry.set("Next", Object::Reference(next));
        }
        if let Some((first, last)) = siblings(file, ids[i], &mark.under, page_ids) {
            entry.set("First", Object::Reference(first));
            entry.set("Last", Object::Reference(last));
            // Closed: a long list of faces would push the other sheets out of view.
            entry.set("Count", Object::Integer(-(mark.under.len() as i64)));
        }
        file.objects.insert(ids[i], Object::Dictionary(entry));
    }
    Some((*ids.first()?, *ids.last()?))
}
