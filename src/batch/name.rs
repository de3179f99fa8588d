//! What a plan is called in tables and files: the same on every machine and every system.

use std::path::{Component, Path};

use super::content_key;

/// File names are cut at this many bytes: most file systems take 255, and an ending and a mark are put on.
const LONGEST_NAME_BYTES: usize = 200;

/// The name of a plan: its path from the folder that was asked for, with `/` between the parts on every system. What
/// leads out of that folder is kept as a word, so that the name never does: `..` becomes `up`, and the root goes.
///
/// ```
/// use eavewright::batch::plan_name;
/// use std::path::Path;
/// assert_eq!(plan_name(Path::new("./lots/7.svg")), "lots/7.svg");
/// assert_eq!(plan_name(Path::new("../7.svg")), "up/7.svg");
/// assert_eq!(plan_name(Path::new("/srv/7.svg")), "srv/7.svg");
/// ```
pub fn plan_name(path: &Path) -> String {
    let parts = path.components().filter_map(|part| match part {
        Component::Normal(part) => Some(part.to_string_lossy().into_owned()),
        Component::ParentDir => Some("up".to_owned()),
        Component::Prefix(prefix) => Some(
            prefix
                .as_os_str()
                .to_string_lossy()
                .replace(|c: char| !c.is_alphanumeric(), ""),
        ),
        Component::RootDir | Component::CurDir => None,
    });
    parts.collect::<Vec<_>>().join("/")
}

/// Where the results of a plan of this name go, without the ending: the name without `.svg`, each part such as every
/// file system takes. One that is too long, is the name of a device (`con`, `nul`) or has signs that some system
/// refuses ends in its hash, so that two never become one.
///
/// ```
/// use eavewright::batch::file_stem;
/// assert_eq!(file_stem("lots/7.svg"), "lots/7");
/// assert_eq!(file_stem("lots/7.v2"), "lots/7.v2");
/// assert!(file_stem("lots/nul.svg").starts_with("lots/nul~"));
/// ```
pub fn file_stem(name: &str) -> String {
    let parts: Vec<String> = without_ending(name).split('/').map(storable).collect();
    parts.join("/")
}

/// A name without the ending of a drawing, if it has one and more before it.
///
/// ```
/// use eavewright::batch::without_ending;
/// assert_eq!(without_ending("7.SVG"), "7");
/// assert_eq!(without_ending("7.svg.gz"), "7");
/// assert_eq!(without_ending("7.gz"), "7.gz");
/// ```
pub fn without_ending(name: &str) -> &str {
    let ending = [".svg", ".svgz", ".svg.gz"].into_iter().find(|ending| {
        name.len() > ending.len()
            && name
                .get(name.len() - ending.len()..)
                .is_some_and(|tail| tail.eq_ignore_ascii_case(ending))
    });
    ending.map_or(name, |ending| &name[..name.len() - ending.len()])
}

/// Names that are devices on Windows, whatever stands behind a point after them.
const DEVICES: [&str; 6] = ["con", "prn", "aux", "nul", "com", "lpt"];

fn storable(part: &str) -> String {
    let refused = |c: char| c.is_control() || r#"<>:"|?*\"#.contains(c);
    let plain: String = (part.chars())
        .map(|c| if refused(c) { '_' } else { c })
        .collect();
    let odd_end = part.ends_with([' ', '.']);
    if plain == part && part.len() <= LONGEST_NAME_BYTES && !odd_end && !is_device(part) {
        return plain;
    }
    let hash = content_key(&[part.as_bytes()]);
    let mut cut = plain.len().min(LONGEST_NAME_BYTES - 17);
    while !plain.is_char_boundary(cut) {
        cut -= 1;
    }
    let kept = &plain[..cut];
    // Not behind a point: `nul.v2~...` is a device still.
    match kept.split_once('.').filter(|_| is_device(part)) {
        Some((device, rest)) => format!("{device}~{}.{rest}", &hash[..16]),
        None => format!("{kept}~{}", &hash[..16]),
    }
}

fn is_device(part: &str) -> bool {
    let base = part.split('.').next().unwrap_or_default();
    let base = base.trim_end_matches(' ').to_lowercase();
    DEVICES.iter().enumerate().any(|(n, device)| {
        let number = base.strip_prefix(device);
        match number {
            Some("") => n < 4,
            Some(number) => {
                n >= 4
                    && matches!(number.chars().next(), Some('0'..='9' | '¹' | '²' | '³'))
                    && number.chars().count() == 1
            }
            None => false,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::file_stem;

    #[test]
    fn a_name_too_long_for_a_file_is_cut_between_letters_and_stays_its_own() {
        let long = |last: &str| format!("{}{last}.svg", "屋根".repeat(60));
        let (a, b) = (file_stem(&long("甲")), file_stem(&long("乙")));
        assert!(a.len() <= 200 && b.len() <= 200);
        assert!(a.starts_with("屋根屋根"));
        assert_ne!(a, b);
    }

    #[test]
    fn a_name_that_some_system_refuses_is_kept_under_another_and_stays_its_own() {
        for name in [
            "CON",
            "nul.v2",
            "Com1",
            "lpt9.a.b",
            "a:b",
            "what?",
            "end.",
            "aux ",
            "tab\t",
            "back\\slash",
        ] {
            let kept = file_stem(&format!("{name}.svg"));
            assert!(
                kept.contains('~') && !super::is_device(&kept),
                "{name}: {kept}"
            );
            assert!(!kept.contains([':', '?', '\t', '\\']) && !kept.ends_with([' ', '.']));
        }
        for name in [
            "console",
            "com",
            "com10",
            "lots/null",
            "屋根",
            "Straße 7",
            "a~b",
            "v1.2",
        ] {
            assert_eq!(file_stem(&format!("{name}.svg")), name);
        }
        assert_ne!(file_stem("a:b.svg"), file_stem("a?b.svg"));
    }

    #[test]
    fn only_the_ending_of_a_drawing_is_taken_off() {
        assert_eq!(file_stem("A.SVG"), "A");
        assert_eq!(file_stem("a.svgz"), "a");
        assert_eq!(file_stem(".svg"), ".svg");
        assert_eq!(file_stem("é.svg"), "é");
    }
}
