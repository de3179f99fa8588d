//! The one file that knows how a PDF is put together. Pages come in, the bytes of a file come out.
//!
//! Coordinates are rounded to a hundredth of a point before they are written, so that the last bit of a sine makes no
//! difference between machines. Fonts are cut down to the characters used. Names of resources are our own and the
//! file's identity is a hash of its content: the same marks give the same bytes.

use std::collections::{BTreeMap, BTreeSet};

use flate2::{Compress, FlushCompress, Status};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat};
use printpdf::{
    FontId, FontMetrics, Op, ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage,
    PdfSaveOptions, Pt, Rect, TextItem,
};

use super::content::{self, Codes, resource};
use super::{DocumentInfo, Page};
use crate::report::canvas::{CharTable, Font, Mark, SUBSTITUTE};
use crate::{Finding, fonts};

/// Writes the pages as one file.
pub(super) fn write(pages: &[Page<'_>], info: &DocumentInfo) -> Result<Vec<u8>, Finding> {
    let mut document = PdfDocument::new(&info.title);
    let mut codes = Codes::new();
    let used = used_characters(pages);
    for (&font, characters) in &used {
        let (program, of_font) = subset(font, characters)?;
        let id = FontId(resource(font).to_owned());
        let fonts = &mut document.resources.fonts.map;
        fonts.insert(id, PdfFont::new(program));
        codes.insert(font, of_font);
    }
    document.pages = pages.iter().map(page).collect();
    if let Some(first) = document.pages.first_mut() {
        first.ops = uses(&used);
    }
    let mut warnings = Vec::new();
    let options = PdfSaveOptions {
        optimize: false,
        subset_fonts: false,
        secure: true,
        image_optimization: None,
    };
    let mut file = printpdf::serialize::to_lopdf_doc(&document, &options, &mut warnings);
    let mut compressor = Compressor::new();
    set_marks(&mut file, pages, &codes, &mut compressor);
    finish(&mut file, pages, info);
    for object in file.objects.values_mut() {
        if let Object::Stream(stream) = object {
            compressor.compress(stream);
        }
    }
    file.trailer.set("ID", identity_of(NO_IDENTITY));
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).map_err(|error| {
        Finding::error(
            "pdf-not-written",
            format!("The PDF cannot be put together: {error}."),
        )
    })?;
    identify(&mut bytes);
    Ok(bytes)
}

// ---- fonts

fn used_characters(pages: &[Page<'_>]) -> BTreeMap<Font, BTreeSet<char>> {
    let mut used: BTreeMap<Font, BTreeSet<char>> = BTreeMap::new();
    let mut seen: BTreeMap<Font, CharTable<()>> = BTreeMap::new();
    let items = pages.iter().flat_map(|page| &page.canvas.items);
    for item in items {
        let Mark::Text(text) = &item.mark else {
            continue;
        };
        let font = text.style.font;
        // Nearly every letter has been seen before.
        let seen = seen.entry(font).or_insert_with(CharTable::new);
        let letters = text.runs.iter().flat_map(|run| run.text.chars());
        for c in letters.chain([SUBSTITUTE]) {
            if seen.get(c).is_none() {
                seen.insert(c, ());
                used.entry(font).or_default().insert(c);
            }
        }
    }
    used
}

/// The typeface cut down to some characters, and their codes in it.
fn subset(
    font: Font,
    characters: &BTreeSet<char>,
) -> Result<(ParsedFont, CharTable<u16>), Finding> {
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
    let mut codes = CharTable::new();
    for &c in characters {
        if let Some(glyph) = face.glyph_index(c) {
            let new = remapper.remap(glyph.0);
            glyphs.insert(u32::from(c), new);
            codes.insert(c, new);
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
    Ok((program, codes))
}

// ---- pages

/// A page as printpdf knows it: its size. Its marks are set by [`set_marks`].
fn page(page: &Page<'_>) -> PdfPage {
    let points = |mm: f64| Pt((mm * 72_000.0 / 25.4).round() as f32 / 1_000.0);
    let area = Rect::from_wh(points(page.size.0), points(page.size.1));
    PdfPage {
        media_box: area.clone(),
        trim_box: area.clone(),
        crop_box: area,
        ops: Vec::new(),
    }
}

/// Operators that use every character once: printpdf embeds a font, and tells which letters its codes stand for, as far
/// as a page uses it. They are replaced by the marks of the page.
fn uses(used: &BTreeMap<Font, BTreeSet<char>>) -> Vec<Op> {
    let of_font = |(&font, characters): (&Font, &BTreeSet<char>)| {
        [
            Op::SetFont {
                font: PdfFontHandle::External(FontId(resource(font).to_owned())),
                size: Pt(1.0),
            },
            Op::ShowText {
                items: vec![TextItem::Text(characters.iter().collect())],
            },
        ]
    };
    std::iter::once(Op::StartTextSection)
        .chain(used.iter().flat_map(of_font))
        .chain([Op::EndTextSection])
        .collect()
}

/// Sets the content of every page. Each is compressed at once: hundreds of them take no room beside one another as they are.
fn set_marks(file: &mut Document, pages: &[Page<'_>], codes: &Codes, compressor: &mut Compressor) {
    let ids: Vec<ObjectId> = file.get_pages().into_values().collect();
    for (id, page) in ids.into_iter().zip(pages) {
        let content = file.get_dictionary(id).ok().and_then(|dictionary| {
            let content = dictionary.get(b"Contents").ok()?;
            content.as_reference().ok()
        });
        let Some(Object::Stream(stream)) = content.and_then(|id| file.objects.get_mut(&id)) else {
            continue;
        };
        stream.dict.remove(b"Filter");
        stream.set_content(content::stream(&page.canvas.items, codes));
        compressor.compress(stream);
    }
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
}

/// Level of compression: a light one. Denser ones take far longer for files hardly smaller.
const COMPRESSION: u32 = 2;

/// One for all streams: making one takes as long as compressing a small page.
struct Compressor(Compress);

impl Compressor {
    fn new() -> Self {
        Self(Compress::new(flate2::Compression::new(COMPRESSION), true))
    }

    /// Compresses what is not compressed yet.
    fn compress(&mut self, stream: &mut Stream) {
        if !stream.allows_compression || stream.dict.has(b"Filter") {
            return;
        }
        self.0.reset();
        // No more room than the stream takes as it is: one that does not get smaller stays as it is.
        let mut compressed = Vec::with_capacity(stream.content.len());
        let done = (self.0).compress_vec(&stream.content, &mut compressed, FlushCompress::Finish);
        if done.is_ok_and(|status| status == Status::StreamEnd) {
            stream.dict.set("Filter", name("FlateDecode"));
            compressed.shrink_to_fit();
            stream.set_content(compressed);
        }
    }
}

/// What stands in the place of the identity while it is computed.
const NO_IDENTITY: [u8; 16] = [0; 16];

fn identity_of(bytes: [u8; 16]) -> Object {
    let id = Object::String(bytes.to_vec(), StringFormat::Hexadecimal);
    Object::Array(vec![id.clone(), id])
}

/// Puts a hash of everything in the file into its trailer, at its end. An identity, not a signature.
fn identify(file: &mut [u8]) {
    // FNV-1a by words of eight bytes, once from its own offset and once from another. A product carries a word's upper
    // bits nowhere but up: they are folded back before the next.
    let seeds = (0xCBF2_9CE4_8422_2325_u64, 0x9E37_79B9_7F4A_7C15_u64);
    let (a, b) = file.chunks(8).fold(seeds, |(a, b), bytes| {
        let mut word = [0; 8];
        word[..bytes.len()].copy_from_slice(bytes);
        let word = u64::from_le_bytes(word);
        let mixed = |hash: u64| {
            let product = (hash ^ word).wrapping_mul(0x0000_0100_0000_01B3);
            product ^ product >> 32
        };
        (mixed(a), mixed(b))
    });
    let hexadecimal = |bytes: u128| format!("<{bytes:032X}>").into_bytes();
    let none = hexadecimal(u128::from_be_bytes(NO_IDENTITY));
    let hash = hexadecimal(u128::from(a) << 64 | u128::from(b));
    // Twice, as it was first made and as it is now.
    for _ in 0..2 {
        let place = file.windows(none.len()).rposition(|bytes| bytes == none);
        if let Some(place) = place {
            file[place..place + hash.len()].copy_from_slice(&hash);
        }
    }
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
