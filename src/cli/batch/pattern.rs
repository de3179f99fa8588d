//! Patterns in quotes, such as `"lots/**/*.svg"`: looked for folder by folder, so that a file whose name is no text is met too.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};

use glob::{MatchOptions, Pattern};

use super::super::Failure;
use super::find::{Found, is_plan, is_result};

/// As shells match: a star stays within a name, and leaves hidden ones out.
const OPTIONS: MatchOptions = MatchOptions {
    case_sensitive: true,
    require_literal_separator: true,
    require_literal_leading_dot: true,
};

/// One part of a pattern, between slashes.
enum Part {
    /// `**`: any folders, or none. Hidden ones and links to folders are left out.
    Folders,
    /// A name without signs, such as `lots` or `..`.
    Plain(PathBuf),
    Name(Pattern),
}

/// The plans that a pattern names, from the last folder before its first sign.
pub(super) fn pattern(
    source: &Path,
    skipped: Option<&Path>,
    found: &mut Found,
) -> Result<(), Failure> {
    let absent = || {
        let told = format!("There is no plan, folder or list {}.", source.display());
        Failure::usage("source-absent", told)
    };
    let text = source.to_str().ok_or_else(absent)?;
    if !has_signs(text) {
        return Err(absent());
    }
    let mut parts = Vec::new();
    let mut fixed = PathBuf::new();
    for component in source.components() {
        let name = component.as_os_str().to_str().ok_or_else(absent)?;
        if parts.is_empty() && !has_signs(name) {
            fixed.push(component);
            continue;
        }
        parts.push(part(component, name).map_err(|why| {
            Failure::usage(
                "pattern-unreadable",
                format!("“{text}” is no pattern: {why}."),
            )
        })?);
    }
    let mut search = Search {
        skipped,
        unread: Vec::new(),
        met: BTreeSet::new(),
    };
    search.look(&fixed, &parts);
    found.unread.append(&mut search.unread);
    let root = found.root(&fixed);
    for path in search.met {
        found.add(root, path.strip_prefix(&fixed).unwrap_or(&path), true);
    }
    Ok(())
}

fn has_signs(text: &str) -> bool {
    text.contains(['*', '?', '['])
}

fn part(component: Component<'_>, name: &str) -> Result<Part, String> {
    if name == "**" {
        return Ok(Part::Folders);
    }
    if !has_signs(name) {
        return Ok(Part::Plain(component.as_os_str().into()));
    }
    // The place of the fault would be counted within the part.
    let pattern = Pattern::new(name).map_err(|e| e.msg.to_owned())?;
    Ok(Part::Name(pattern))
}

struct Search<'a> {
    /// Where results are, which are no plans.
    skipped: Option<&'a Path>,
    unread: Vec<String>,
    met: BTreeSet<PathBuf>,
}

impl Search<'_> {
    fn look(&mut self, at: &Path, parts: &[Part]) {
        let Some((part, rest)) = parts.split_first() else {
            // A pattern that ends in `**` names folders; any other has met its file.
            self.meet(at);
            return;
        };
        if let Part::Plain(name) = part {
            self.look(&at.join(name), rest);
            return;
        }
        if let Part::Folders = part {
            self.look(at, rest);
        }
        if is_result(at, self.skipped) {
            return;
        }
        for (path, name) in self.inside(at) {
            match part {
                Part::Folders => {
                    let link = path.is_symlink();
                    if path.is_dir() && !link && !name.starts_with('.') {
                        self.look(&path, parts);
                    }
                }
                Part::Name(pattern) if pattern.matches_with(&name, OPTIONS) => {
                    self.look(&path, rest);
                }
                _ => {}
            }
        }
    }

    fn meet(&mut self, path: &Path) {
        // Whether it can be read is seen, and told, where it is read.
        let is_there = path.symlink_metadata().is_ok();
        if is_plan(path) && is_there && !path.is_dir() && !is_result(path, self.skipped) {
            self.met.insert(path.to_path_buf());
        }
    }

    /// What is in a folder, with its names as words; nothing where it is no folder.
    fn inside(&mut self, at: &Path) -> Vec<(PathBuf, String)> {
        let here = if at.as_os_str().is_empty() {
            Path::new(".")
        } else {
            at
        };
        if !here.is_dir() {
            return Vec::new();
        }
        let entries = fs::read_dir(here).and_then(Iterator::collect::<Result<Vec<_>, _>>);
        match entries {
            Ok(entries) => (entries.iter())
                .map(|entry| {
                    let name = entry.file_name();
                    (at.join(&name), name.to_string_lossy().into_owned())
                })
                .collect(),
            Err(e) => {
                (self.unread).push(format!("{} cannot be looked into: {e}", here.display()));
                Vec::new()
            }
        }
    }
}
