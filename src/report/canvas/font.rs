//! The one typeface, measured.

use std::sync::OnceLock;

use ttf_parser::Face;

use super::CharTable;
use crate::{Finding, fonts};

/// A weight of the typeface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Font {
    #[default]
    Regular,
    Bold,
}

/// Capital height of the typeface over its size: 1,409 of 2,048 units (its OS/2 table).
pub(crate) const CAPITAL_HEIGHT: f64 = 1409.0 / 2048.0;
/// Descender depth over the capital height: the letters g, j, p, y reach 0.30 below the line.
pub(crate) const DESCENT: f64 = 0.30;

/// Printed for a character that the typeface lacks.
pub(crate) const SUBSTITUTE: char = '□';

/// Both weights with the advances of their characters.
#[derive(Clone, Debug)]
pub(crate) struct Fonts {
    regular: Metrics,
    bold: Metrics,
}

#[derive(Clone, Debug)]
struct Metrics {
    /// Advances as shares of the size.
    advances: CharTable<f64>,
}

impl Fonts {
    /// The bundled typeface, read once a process: it is the same for every plan.
    pub(crate) fn load() -> Result<&'static Self, Finding> {
        static READ: OnceLock<Result<Fonts, Finding>> = OnceLock::new();
        READ.get_or_init(Self::read).as_ref().map_err(Clone::clone)
    }
    fn read() -> Result<Self, Finding> {
        Ok(Self {
            regular: Metrics::read(fonts::REGULAR)?,
            bold: Metrics::read(fonts::BOLD)?,
        })
    }
    fn metrics(&self, font: Font) -> &Metrics {
        match font {
            Font::Regular => &self.regular,
            Font::Bold => &self.bold,
        }
    }
    /// Whether the typeface can draw a character.
    pub(crate) fn has(&self, font: Font, c: char) -> bool {
        self.metrics(font).advances.get(c).is_some()
    }
    /// Advance of a character, or of what is printed for it, as a share of the size.
    pub(crate) fn advance(&self, font: Font, c: char) -> f64 {
        printed(&self.metrics(font).advances, c)
    }
}

impl Metrics {
    fn read(bytes: &[u8]) -> Result<Self, Finding> {
        let face = Face::parse(bytes, 0).map_err(|error| {
            Finding::error(
                "typeface-unreadable",
                format!("The bundled typeface cannot be read: {error}."),
            )
        })?;
        let units = f64::from(face.units_per_em());
        let mut advances = CharTable::new();
        for table in face
            .tables()
            .cmap
            .into_iter()
            .flat_map(|cmap| cmap.subtables)
        {
            if !table.is_unicode() {
                continue;
            }
            table.codepoints(|code| {
                let Some(c) = char::from_u32(code) else {
                    return;
                };
                if let Some(glyph) = face.glyph_index(c) {
                    let advance = f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) / units;
                    advances.insert(c, advance);
                }
            });
        }
        Ok(Self { advances })
    }
}

/// Advance of a character, or of what is printed for it.
fn printed(advances: &CharTable<f64>, c: char) -> f64 {
    let own = advances.get(c).or_else(|| advances.get(SUBSTITUTE));
    own.unwrap_or(0.0)
}
