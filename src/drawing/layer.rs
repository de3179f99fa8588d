//! What the names of layers, groups and objects say.

use super::text;

/// What a name says that the things under it are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum NameRole {
    /// Nothing.
    #[default]
    Unsaid,
    /// Roof lines.
    Roof,
    /// Dimension lines.
    Dimension,
    /// Walls that rise above the roof.
    Wall,
    /// Openings.
    Opening,
    /// Pipes and vents.
    Pipe,
    /// Arrows from high to low.
    Fall,
    /// Notes: lines are left out, words are read.
    Note,
    /// A frame or title block: left out, words too, except for a written scale and a stated area.
    Sheet,
    /// Left out, words too, except for a written scale.
    LeftOut,
}

impl NameRole {
    /// Whether what is drawn there is no part of the roof.
    pub(super) const fn is_left_out(self) -> bool {
        matches!(self, Self::Sheet | Self::LeftOut)
    }
}

/// A name as it was understood.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct NameSays {
    pub(super) role: NameRole,
    /// The level above the lowest, where the name gives one.
    pub(super) level: Option<u32>,
}

const ROLE_WORDS: [(&str, NameRole); 24] = [
    ("roof", NameRole::Roof),
    ("scale", NameRole::Dimension),
    ("dimension", NameRole::Dimension),
    ("dims", NameRole::Dimension),
    ("dim", NameRole::Dimension),
    ("wall", NameRole::Wall),
    ("opening", NameRole::Opening),
    ("chimney", NameRole::Opening),
    ("skylight", NameRole::Opening),
    ("pipe", NameRole::Pipe),
    ("vent", NameRole::Pipe),
    ("fall", NameRole::Fall),
    ("slope", NameRole::Fall),
    ("note", NameRole::Note),
    ("text", NameRole::Note),
    ("annotation", NameRole::Note),
    ("frame", NameRole::Sheet),
    ("title", NameRole::Sheet),
    ("titleblock", NameRole::Sheet),
    ("sheet", NameRole::Sheet),
    ("grid", NameRole::LeftOut),
    ("photo", NameRole::LeftOut),
    ("ignore", NameRole::LeftOut),
    ("hatch", NameRole::LeftOut),
];

/// Reads a name as written in the file. Case, accents, hyphens, underscores and escapes do not matter.
pub(super) fn read_name(name: &str) -> NameSays {
    let words = words(name);
    let said = says(&words);
    if said != NameSays::default() {
        return said;
    }
    // "Map 1: Roof Lines": some programs put a part's own name first.
    match name.rsplit_once(':') {
        Some((_, last)) => says(&self::words(last)),
        None => said,
    }
}

fn says(words: &[String]) -> NameSays {
    let words = without_prefix(words);
    let role = |words: &[String]| words.first().map_or(NameRole::Unsaid, |w| role_of(w));
    if let Some((level, rest)) = level_in(words) {
        // `upper roof` says no more than `upper`: the roof beneath it may have no layer named roof.
        let role = match role(rest) {
            NameRole::Roof => NameRole::Unsaid,
            other => other,
        };
        return NameSays {
            role,
            level: Some(level),
        };
    }
    let said = role(words);
    // Pitches have no role: they are read wherever they stand.
    let may_go_on = said != NameRole::Unsaid
        || words
            .first()
            .is_some_and(|w| matches!(w.as_str(), "pitch" | "pitches"));
    let after = if may_go_on { words.get(1..) } else { None };
    NameSays {
        role: said,
        level: after.and_then(level_in).map(|(level, _)| level),
    }
}

/// A name's own numbering and the discipline letter of layer standards come before the word that counts.
fn without_prefix(mut words: &[String]) -> &[String] {
    while let [first, rest @ ..] = words {
        let skip = first.chars().all(|c| c.is_ascii_digit())
            || (first.chars().count() == 1 && !rest.is_empty())
            || (matches!(first.as_str(), "layer" | "anno") && !rest.is_empty());
        if !skip {
            break;
        }
        words = rest;
    }
    words
}

fn role_of(word: &str) -> NameRole {
    let word = word.trim_end_matches(|c: char| c.is_ascii_digit());
    if word.starts_with("roof") {
        return NameRole::Roof;
    }
    ROLE_WORDS
        .iter()
        .find(|(role, _)| word == *role || word.strip_prefix(role) == Some("s"))
        .map_or(NameRole::Unsaid, |(_, role)| *role)
}

/// The level that words begin with, and the words after it: `upper`, `level 2`, `level2`. It may stand alone, before a
/// role word or after it: `upper wall`, `roof level 2`.
fn level_in(words: &[String]) -> Option<(u32, &[String])> {
    let (word, rest) = words.split_first()?;
    if word == "upper" {
        return Some((1, rest));
    }
    let (number, rest) = match word.strip_prefix("level")? {
        "" => rest.split_first()?,
        _ => (word, rest),
    };
    let digits = number.strip_prefix("level").unwrap_or(number);
    let level = digits.parse::<u32>().ok()?;
    Some((level.saturating_sub(1).min(99), rest))
}

/// The words of a name in small letters: escapes undone, accents off, parted at signs and at capitals inside a word.
fn words(name: &str) -> Vec<String> {
    let mut out = vec![String::new()];
    let mut before_small = false;
    for c in unescape(name).chars() {
        let parts_here = c.is_uppercase() && before_small;
        before_small = c.is_lowercase();
        if parts_here {
            out.push(String::new());
        }
        if c.is_alphanumeric() {
            let last = out.len() - 1;
            out[last].extend(plain_letter(c).to_lowercase());
        } else {
            out.push(String::new());
        }
    }
    out.retain(|w| !w.is_empty());
    out
}

/// Undoes `_x0020_` and `_x20_`.
pub(super) fn unescape(name: &str) -> String {
    let mut out = String::with_capacity(name.len());
    let mut rest = name;
    while let Some(at) = rest.find("_x") {
        out.push_str(&rest[..at]);
        let after = &rest[at + 2..];
        let code = after
            .find('_')
            .filter(|&end| (1..=6).contains(&end))
            .and_then(|end| Some((end, u32::from_str_radix(&after[..end], 16).ok()?)))
            .and_then(|(end, code)| Some((end, char::from_u32(code)?)));
        match code {
            Some((end, c)) => {
                out.push(c);
                rest = &after[end + 1..];
            }
            None => {
                out.push_str("_x");
                rest = after;
            }
        }
    }
    out.push_str(rest);
    out
}

/// Latin letters without their accents.
fn plain_letter(c: char) -> char {
    match c {
        'á' | 'à' | 'â' | 'ä' | 'ã' | 'å' | 'Á' | 'À' | 'Â' | 'Ä' | 'Ã' | 'Å' => 'a',
        'é' | 'è' | 'ê' | 'ë' | 'É' | 'È' | 'Ê' | 'Ë' => 'e',
        'í' | 'ì' | 'î' | 'ï' | 'Í' | 'Ì' | 'Î' | 'Ï' => 'i',
        'ó' | 'ò' | 'ô' | 'ö' | 'õ' | 'Ó' | 'Ò' | 'Ô' | 'Ö' | 'Õ' => 'o',
        'ú' | 'ù' | 'û' | 'ü' | 'Ú' | 'Ù' | 'Û' | 'Ü' => 'u',
        c => c,
    }
}

/// A name as a person reads it.
pub(super) fn readable(name: &str) -> String {
    let plain = unescape(name);
    plain.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether an id was made by a program and tells nobody anything: `g12`, `path4-2`, `layer1`, `id0x55…`, a UUID.
pub(super) fn is_made_up(id: &str) -> bool {
    const STEMS: [&str; 22] = [
        "g", "path", "rect", "text", "tspan", "layer", "svg", "line", "polyline", "polygon",
        "circle", "ellipse", "use", "group", "id", "svg_", "shape", "surface", "clip", "page",
        "cell", "ts",
    ];
    let lower = id.to_lowercase();
    let stem =
        lower.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-' || c == '_' || c == '.');
    let hexish = lower.len() > 15 && lower.chars().filter(char::is_ascii_digit).count() > 5;
    stem.is_empty() || hexish || STEMS.contains(&stem)
}

/// Whether a pattern with `*` matches a name, or one of its spellings, case and escapes aside.
pub(super) fn matches(pattern: &str, name: &str) -> bool {
    let squeeze = |s: &str| -> String {
        text::normalise(&unescape(s))
            .chars()
            .map(|c| if matches!(c, '_' | '-') { ' ' } else { c })
            .map(plain_letter)
            .collect()
    };
    glob(squeeze(pattern).as_bytes(), squeeze(name).as_bytes())
}

fn glob(pattern: &[u8], name: &[u8]) -> bool {
    let (mut p, mut n) = (0, 0);
    let mut star: Option<(usize, usize)> = None;
    while n < name.len() {
        if p < pattern.len() && pattern[p] == b'*' {
            star = Some((p, n));
            p += 1;
        } else if p < pattern.len() && (pattern[p] == name[n] || pattern[p] == b'?') {
            p += 1;
            n += 1;
        } else if let Some((at, from)) = star {
            p = at + 1;
            n = from + 1;
            star = Some((at, from + 1));
        } else {
            return false;
        }
    }
    pattern[p..].iter().all(|&c| c == b'*')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_role_word_at_the_start_gives_the_role_in_any_spelling() {
        for name in [
            "roof",
            "Roof Lines",
            "ROOF_LINES",
            "Roof_x0020_Lines",
            "roof-lines-2",
            "RoofLines",
            "Rooflines",
            "Map 1: Roof Lines",
            "A-ROOF",
            "01 Roof",
            "Róof",
        ] {
            assert_eq!(read_name(name).role, NameRole::Roof, "{name}");
        }
        assert_eq!(read_name("Notes & Scale").role, NameRole::Note);
        assert_eq!(read_name("Notes _x0026_ Scale").role, NameRole::Note);
        assert_eq!(read_name("Dimensions").role, NameRole::Dimension);
        assert_eq!(read_name("main roof").role, NameRole::Unsaid);
        assert_eq!(read_name("ventilation").role, NameRole::Unsaid);
    }

    #[test]
    fn a_level_may_stand_alone_or_after_a_role() {
        assert_eq!(read_name("upper").level, Some(1));
        assert_eq!(read_name("Level 2").level, Some(1));
        assert_eq!(read_name("level_3").level, Some(2));
        assert_eq!(read_name("Roof level 2").level, Some(1));
        assert_eq!(read_name("Roof level 2").role, NameRole::Roof);
        assert_eq!(read_name("roof").level, None);
        assert_eq!(read_name("upper pitch").level, Some(1));
        assert_eq!(read_name("Pitches level 3").level, Some(2));
        assert_eq!(read_name("level").level, None);
    }

    #[test]
    fn a_role_may_stand_after_its_level() {
        for (name, role, level) in [
            ("upper fall", NameRole::Fall, 1),
            ("level 3 walls", NameRole::Wall, 2),
            ("Level2-Opening", NameRole::Opening, 1),
            ("fall upper", NameRole::Fall, 1),
            ("upper pitch", NameRole::Unsaid, 1),
            ("upper roof", NameRole::Unsaid, 1),
        ] {
            let said = read_name(name);
            assert_eq!((said.role, said.level), (role, Some(level)), "{name}");
        }
        // A word for something else says no level of what is in it.
        assert_eq!(read_name("main upper").level, None);
    }

    #[test]
    fn a_star_in_a_rule_matches_anything() {
        assert!(matches("roof*", "Roof_x0020_Lines"));
        assert!(matches("*lines", "roof lines"));
        assert!(!matches("roof", "roof lines"));
        assert!(matches("hip*", "hip-3"));
    }
}
