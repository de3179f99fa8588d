//! From the bytes of a file to text: gzip, byte order marks, UTF-16, Latin-1, and what is no SVG at all.

use std::io::Read;

use super::options::Limits;
use crate::Finding;

/// How the text was wrapped in bytes, so that it can be wrapped again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Encoding {
    /// UTF-8, perhaps with a byte order mark.
    Utf8 {
        /// Whether the mark was there.
        mark: bool,
    },
    /// UTF-16, low byte first.
    Utf16Le,
    /// UTF-16, high byte first.
    Utf16Be,
    /// One byte for a character: ISO 8859-1, with the additions of Windows-1252.
    Latin1,
}

/// A file as text.
#[derive(Clone, Debug)]
pub(super) struct Decoded {
    /// The text, without a byte order mark.
    pub(super) text: String,
    /// How it was written.
    pub(super) encoding: Encoding,
    /// Whether it was packed with gzip.
    pub(super) packed: bool,
}

/// Unpacks and decodes.
pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Decoded, Finding> {
    if bytes.iter().all(u8::is_ascii_whitespace) {
        return Err(Finding::error("empty-file", "The file is empty.")
            .remedy("Save the drawing again as SVG."));
    }
    if bytes.len() > limits.bytes {
        return Err(too_large(limits));
    }
    let packed = bytes.starts_with(&[0x1f, 0x8b]);
    let unpacked;
    let plain = if packed {
        unpacked = gunzip(bytes, limits)?;
        &unpacked[..]
    } else {
        bytes
    };
    if let Some(what) = other_format(plain) {
        return Err(Finding::error(
            "not-svg",
            format!("The file is not an SVG drawing: it looks like {what}."),
        )
        .remedy("Save or export the plan as SVG and give that file."));
    }
    let (text, encoding) = to_text(plain)?;
    Ok(Decoded {
        text,
        encoding,
        packed,
    })
}

fn too_large(limits: &Limits) -> Finding {
    Finding::error(
        "too-large",
        format!(
            "The file holds more than {} MiB, more than any plan needs.",
            limits.bytes >> 20
        ),
    )
    .remedy("Remove embedded photographs and unneeded detail, or trace the roof in a new file.")
}

fn gunzip(bytes: &[u8], limits: &Limits) -> Result<Vec<u8>, Finding> {
    let mut out = Vec::new();
    let mut reader =
        flate2::read::MultiGzDecoder::new(bytes).take((limits.bytes as u64).saturating_add(1));
    if let Err(error) = reader.read_to_end(&mut out) {
        return Err(Finding::error(
            "broken-gzip",
            format!("The packed file (.svgz) is damaged: {error}."),
        )
        .remedy("Save the drawing again."));
    }
    if out.len() > limits.bytes {
        return Err(too_large(limits));
    }
    Ok(out)
}

/// What other kinds of file begin with.
fn other_format(bytes: &[u8]) -> Option<&'static str> {
    const MAGIC: [(&[u8], &str); 12] = [
        (b"%PDF", "a PDF"),
        (b"\x89PNG", "a PNG picture"),
        (b"\xff\xd8\xff", "a JPEG picture"),
        (b"GIF8", "a GIF picture"),
        (b"II*\0", "a TIFF picture"),
        (b"MM\0*", "a TIFF picture"),
        (b"PK\x03\x04", "a ZIP archive or an office document"),
        (b"%!PS", "a PostScript file"),
        (b"AC10", "a DWG drawing"),
        (b"AutoCAD Binary DXF", "a binary DXF drawing"),
        (b"RIFF", "a picture or sound"),
        (b"BM", "a bitmap picture"),
    ];
    if let Some((_, what)) = MAGIC.iter().find(|(magic, _)| bytes.starts_with(magic)) {
        return Some(what);
    }
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(400)]);
    let mut lines = head.lines().map(str::trim).filter(|l| !l.is_empty());
    match (lines.next(), lines.next()) {
        (Some("0"), Some("SECTION")) | (Some("999"), Some(_)) => Some("a DXF drawing"),
        _ => None,
    }
}

fn to_text(bytes: &[u8]) -> Result<(String, Encoding), Finding> {
    match bytes {
        [0xef, 0xbb, 0xbf, rest @ ..] => Ok((utf8(rest)?, Encoding::Utf8 { mark: true })),
        [0xff, 0xfe, rest @ ..] => Ok((utf16(rest, u16::from_le_bytes)?, Encoding::Utf16Le)),
        [0xfe, 0xff, rest @ ..] => Ok((utf16(rest, u16::from_be_bytes)?, Encoding::Utf16Be)),
        [b'<', 0, ..] => Ok((utf16(bytes, u16::from_le_bytes)?, Encoding::Utf16Le)),
        [0, b'<', ..] => Ok((utf16(bytes, u16::from_be_bytes)?, Encoding::Utf16Be)),
        _ => plain_bytes(bytes),
    }
}

fn plain_bytes(bytes: &[u8]) -> Result<(String, Encoding), Finding> {
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Ok((text.to_string(), Encoding::Utf8 { mark: false }));
    }
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(200)]).to_lowercase();
    let declared = head
        .split_once("encoding=")
        .map(|(_, after)| after.trim_start_matches(['"', '\'']).to_string())
        .unwrap_or_default();
    const ONE_BYTE: [&str; 4] = ["iso-8859-1", "latin1", "windows-1252", "us-ascii"];
    if ONE_BYTE.iter().any(|name| declared.starts_with(name)) {
        return Ok((bytes.iter().map(|&b| latin1(b)).collect(), Encoding::Latin1));
    }
    utf8(bytes).map(|text| (text, Encoding::Utf8 { mark: false }))
}

fn utf8(bytes: &[u8]) -> Result<String, Finding> {
    std::str::from_utf8(bytes)
        .map(str::to_string)
        .map_err(|error| {
            Finding::error(
                "bad-encoding",
                format!(
                    "The file is not text: byte {} is no UTF-8, and no other encoding is declared.",
                    error.valid_up_to() + 1
                ),
            )
            .remedy("Save the drawing as SVG with the encoding UTF-8.")
        })
}

fn utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, Finding> {
    let units: Vec<u16> = bytes.chunks_exact(2).map(|c| unit([c[0], c[1]])).collect();
    if bytes.len().is_multiple_of(2)
        && let Ok(text) = String::from_utf16(&units)
    {
        return Ok(text);
    }
    Err(Finding::error(
        "bad-encoding",
        "The file begins like UTF-16 text but is damaged.",
    )
    .remedy("Save the drawing as SVG with the encoding UTF-8."))
}

/// Windows-1252 where it differs from ISO 8859-1, of which it is a superset in practice.
const WINDOWS_1252: [(u8, char); 12] = [
    (0x91, '\u{2018}'),
    (0x92, '\u{2019}'),
    (0x93, '\u{201c}'),
    (0x94, '\u{201d}'),
    (0x95, '\u{2022}'),
    (0x96, '\u{2013}'),
    (0x97, '\u{2014}'),
    (0x85, '\u{2026}'),
    (0x80, '\u{20ac}'),
    (0x99, '\u{2122}'),
    (0x8b, '\u{2039}'),
    (0x9b, '\u{203a}'),
];

fn latin1(byte: u8) -> char {
    WINDOWS_1252
        .iter()
        .find(|(b, _)| *b == byte)
        .map_or(char::from(byte), |(_, c)| *c)
}

/// Text back to the bytes that [`decode`] took for one-byte text.
pub(super) fn to_latin1(text: &str) -> Vec<u8> {
    text.chars()
        .map(|c| {
            WINDOWS_1252
                .iter()
                .find(|(_, w)| *w == c)
                .map_or_else(|| u8::try_from(u32::from(c)).unwrap_or(b'?'), |(b, _)| *b)
        })
        .collect()
}
