//! The typeface by which texts are set in place. How wide its letters are is read; what they look like is not.

use std::ops::Range;
use std::sync::{Arc, LazyLock};

use usvg::fontdb::Database;

use crate::fonts;

/// The one typeface as the resolver wants it, made once: of what is only looked at to be drawn, as little as it takes.
pub(super) static TYPEFACE: LazyLock<Arc<Database>> = LazyLock::new(|| {
    let mut font = fonts::REGULAR.to_vec();
    hide_old_pairs(&mut font);
    draw_as_triangles(&mut font);
    let mut database = Database::new();
    database.load_font_data(font);
    Arc::new(database)
});

/// A font's table of tables: 12 bytes, the third pair of which counts the tables, and for each its tag, a sum, and where it
/// lies and how long it is, in 4 bytes each (OpenType 1.9, "Table directory").
const DIRECTORY: usize = 12;
const RECORD: usize = 16;

/// Where a table's record lies.
fn record(font: &[u8], tag: [u8; 4]) -> Option<usize> {
    let tables = usize::from(number(font, 4)?);
    let mut records = (0..tables).map(|table| DIRECTORY + table * RECORD);
    records.find(|&at| font.get(at..at + 4) == Some(&tag))
}

/// Where a table lies.
fn table(font: &[u8], tag: [u8; 4]) -> Option<Range<usize>> {
    let record = record(font, tag)?;
    let from = long(font, record + 8)?;
    Some(from..from.checked_add(long(font, record + 12)?)?)
}

fn number(font: &[u8], at: usize) -> Option<u16> {
    let bytes = font.get(at..at + 2)?;
    Some(u16::from_be_bytes([bytes[0], bytes[1]]))
}

fn long(font: &[u8], at: usize) -> Option<usize> {
    let [high, low] = [number(font, at)?, number(font, at + 2)?].map(usize::from);
    Some(high << 16 | low)
}

/// Hides the `kern` table. Letters are set by the pairs of the GPOS table, which come before it (OpenType 1.9, kern); but
/// the resolver's shaper sorts all pairs of `kern` anew for every text.
fn hide_old_pairs(font: &mut [u8]) {
    if let Some(at) = record(font, *b"kern") {
        font[at..at + 4].copy_from_slice(b"kerm");
    }
}

/// A letter's outline begins with how many contours it has and with its bounds, of 2 bytes each: left, bottom, right, top.
const BOUNDS: usize = 2;
const OUTLINE: usize = 10;
/// A triangle's outline: its last point, no instructions, three points on the curve of which the second lies as high as the
/// first and the third as far to the right as the second; 4 numbers follow (OpenType 1.9, glyf, "Simple Glyph Description").
const TRIANGLE: [u8; 7] = [0, 2, 0, 0, 0x01, 0x21, 0x11];

/// Draws every letter as a triangle with the same bounds. The resolver takes each letter's outline to where it stands in
/// every text, though only its place and width are read.
fn draw_as_triangles(font: &mut [u8]) {
    for letter in letters(font).unwrap_or_default() {
        let Some(outline) = font.get_mut(letter) else {
            continue;
        };
        // Empty ones stay so, and a few that are put together of others and are shorter than a triangle.
        if outline.len() < OUTLINE + TRIANGLE.len() + 8 {
            continue;
        }
        let bound = |side: usize| {
            let at = BOUNDS + 2 * side;
            i16::from_be_bytes([outline[at], outline[at + 1]])
        };
        let [left, bottom, right, top] = [0, 1, 2, 3].map(bound);
        let across = [
            left,
            right.wrapping_sub(left),
            bottom,
            top.wrapping_sub(bottom),
        ];
        outline[..BOUNDS].copy_from_slice(&1_i16.to_be_bytes());
        outline[OUTLINE..][..TRIANGLE.len()].copy_from_slice(&TRIANGLE);
        let numbers = outline[OUTLINE + TRIANGLE.len()..].chunks_exact_mut(2);
        for (bytes, number) in numbers.zip(across) {
            bytes.copy_from_slice(&number.to_be_bytes());
        }
    }
}

/// Where each letter's outline lies (OpenType 1.9, loca): where it begins, and where the next one does.
fn letters(font: &[u8]) -> Option<Vec<Range<usize>>> {
    let [head, loca, glyf] = [*b"head", *b"loca", *b"glyf"].map(|tag| table(font, tag));
    let (head, loca, glyf) = (head?, loca?, glyf?);
    // `indexToLocFormat` of the head table: places in 4 bytes, or halves of them in 2.
    let is_long = number(font, head.start + 50)? != 0;
    let size = if is_long { 4 } else { 2 };
    let places: Vec<usize> = loca
        .step_by(size)
        .map_while(|at| match is_long {
            true => long(font, at),
            false => number(font, at).map(|half| 2 * usize::from(half)),
        })
        .map(|place| glyf.start + place)
        .collect();
    Some(places.windows(2).map(|ends| ends[0]..ends[1]).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table_of<'a>(font: &'a [u8], tag: &[u8; 4]) -> Option<&'a [u8]> {
        let font = ttf_parser::RawFace::parse(font, 0).ok()?;
        font.table(ttf_parser::Tag::from_bytes(tag))
    }

    /// Of the pairs that the shaper knows, those of GPOS are left, and all else stays as it was.
    #[test]
    fn the_typeface_is_read_without_its_old_table_of_pairs() {
        let mut font = fonts::REGULAR.to_vec();
        hide_old_pairs(&mut font);
        assert!(table_of(fonts::REGULAR, b"kern").is_some());
        assert!(table_of(&font, b"kern").is_none());
        let tags = [
            b"GPOS", b"cmap", b"glyf", b"head", b"hhea", b"hmtx", b"loca", b"maxp",
        ];
        for tag in tags {
            assert!(table_of(&font, tag).is_some());
            assert_eq!(table_of(&font, tag), table_of(fonts::REGULAR, tag));
        }
    }

    /// As another reader of fonts sees it: as wide and as high as before, and three lines at most.
    #[test]
    fn letters_are_triangles_with_the_bounds_and_widths_that_they_had() {
        #[derive(Default)]
        struct Lines(usize);
        impl ttf_parser::OutlineBuilder for Lines {
            fn move_to(&mut self, _: f32, _: f32) {}
            fn line_to(&mut self, _: f32, _: f32) {
                self.0 += 1;
            }
            fn quad_to(&mut self, _: f32, _: f32, _: f32, _: f32) {
                self.0 += 100;
            }
            fn curve_to(&mut self, _: f32, _: f32, _: f32, _: f32, _: f32, _: f32) {
                self.0 += 100;
            }
            fn close(&mut self) {}
        }
        let mut font = fonts::REGULAR.to_vec();
        draw_as_triangles(&mut font);
        let face = |data| {
            ttf_parser::Face::parse(data, 0).unwrap_or_else(|e| unreachable!("a typeface: {e}"))
        };
        let (before, after) = (face(fonts::REGULAR), face(font.as_slice()));
        let mut drawn = 0;
        for letter in (' '..='~').chain("′″°²½¼¾⅛–×Ø".chars()) {
            let Some(glyph) = before.glyph_index(letter) else {
                continue;
            };
            let (mut old, mut new) = (Lines::default(), Lines::default());
            let bounds = before.outline_glyph(glyph, &mut old);
            assert_eq!(after.outline_glyph(glyph, &mut new), bounds, "{letter}");
            assert_eq!(
                before.glyph_hor_advance(glyph),
                after.glyph_hor_advance(glyph)
            );
            if bounds.is_some() {
                assert!((2..=3).contains(&new.0), "{letter}: {} of {}", new.0, old.0);
                drawn += 1;
            }
        }
        assert!(drawn > 100, "{drawn}");
    }

    #[test]
    fn what_is_no_typeface_is_left_alone() {
        for bytes in [
            &[][..],
            &[0, 1, 0, 0, 9],
            &[0, 1, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0],
        ] {
            let mut font = bytes.to_vec();
            hide_old_pairs(&mut font);
            draw_as_triangles(&mut font);
            assert_eq!(font, bytes);
        }
    }
}
