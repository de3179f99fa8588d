//! Which plans a batch is about: every one has a name of its own and a place among the others.

use std::collections::BTreeSet;
use std::fs;
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use eavewright::Finding;
use eavewright::batch::{Shard, content_key, file_stem, plan_name};

use super::super::Failure;

/// A plan: its name, and where it is. Kept small, for there may be a million.
pub(super) struct Plan {
    pub(super) name: Box<str>,
    /// Where its results go, where that is not what follows from the name.
    stem: Option<Box<str>>,
    root: u32,
    /// Its path from the root, where the name is another.
    path: Option<Box<Path>>,
}

impl Plan {
    /// Where its results go, without an ending.
    pub(super) fn stem(&self) -> String {
        (self.stem.as_ref()).map_or_else(|| file_stem(&self.name), ToString::to_string)
    }
}

/// The plans of a batch in the order of their names.
pub(super) struct Found {
    pub(super) plans: Vec<Plan>,
    /// Folders that could not be looked into, in words.
    pub(super) unread: Vec<String>,
    roots: Vec<PathBuf>,
}

impl Found {
    pub(super) fn path(&self, plan: &Plan) -> PathBuf {
        let root = &self.roots[plan.root as usize];
        match &plan.path {
            Some(path) => root.join(path),
            None => root.join(&*plan.name),
        }
    }

    fn root(&mut self, root: &Path) -> u32 {
        if self.roots.last().is_none_or(|last| last != root) {
            self.roots.push(root.to_path_buf());
        }
        (self.roots.len() - 1) as u32
    }

    fn add(&mut self, root: u32, path: &Path) {
        let mut name = plan_name(path);
        if path.to_str().is_none() {
            // Two names with different bytes may look alike once they are words.
            name += &format!("~{}", short_hash(path));
        }
        let kept = (Path::new(&name) != path).then(|| path.into());
        self.plans.push(Plan {
            name: name.into(),
            stem: None,
            root,
            path: kept,
        });
    }

    /// In order, each plan once, no two with the same name or the same place for their results.
    fn settle(&mut self) {
        self.plans.sort_by(|a, b| a.name.cmp(&b.name));
        let mut start = 0;
        while start < self.plans.len() {
            let same = self.plans[start..]
                .iter()
                .take_while(|p| p.name == self.plans[start].name)
                .count();
            if same > 1 {
                self.part(start, same);
            }
            start += same;
        }
        self.plans.sort_by(|a, b| a.name.cmp(&b.name));
        self.plans.dedup_by(|a, b| a.name == b.name);
        self.part_results();
    }

    /// Plans whose results would go to the same place, `a.svg` and `a.svgz`, take a mark of their names there.
    fn part_results(&mut self) {
        let mark = |plan: &Plan| short_hash(Path::new(&plan.stem().to_lowercase()));
        let mut marks: Vec<String> = self.plans.iter().map(mark).collect();
        marks.sort_unstable();
        let twice: BTreeSet<String> = (marks.windows(2))
            .filter(|pair| pair[0] == pair[1])
            .map(|pair| pair[0].clone())
            .collect();
        if twice.is_empty() {
            return;
        }
        for plan in &mut self.plans {
            if twice.contains(&mark(plan)) {
                let own = short_hash(Path::new(&*plan.name));
                plan.stem = Some(format!("{}~{own}", plan.stem()).into());
            }
        }
    }

    /// Plans of one name from different places take a mark of their place.
    fn part(&mut self, start: usize, count: usize) {
        let paths: Vec<PathBuf> = (start..start + count)
            .map(|n| self.path(&self.plans[n]))
            .collect();
        for n in 1..count {
            if paths[n] != paths[0] {
                let plan = &mut self.plans[start + n];
                let mark = short_hash(&paths[n]);
                plan.path
                    .get_or_insert_with(|| Path::new(&*plan.name).into());
                plan.name = format!("{}~{mark}", plan.name).into();
            }
        }
    }
}

/// Sixteen hexadecimal signs.
fn short_hash(path: &Path) -> String {
    content_key(&[path.as_os_str().as_encoded_bytes()])[..16].to_owned()
}

/// The plans of all sources, less what is another share's. `out` is never searched: it holds results.
pub(super) fn plans(
    sources: &[PathBuf],
    out: &Path,
    shard: Option<Shard>,
) -> Result<Found, Failure> {
    let mut found = Found {
        plans: Vec::new(),
        unread: Vec::new(),
        roots: Vec::new(),
    };
    let out = out.canonicalize().ok();
    for source in sources {
        if source.as_os_str() == "-" {
            let mut text = String::new();
            (io::stdin().read_to_string(&mut text)).map_err(|e| no_list(source, &e))?;
            list(&text, Path::new(""), &mut found);
        } else if source.is_dir() {
            let root = found.root(source);
            folder(source, Path::new(""), root, out.as_deref(), &mut found);
        } else if is_plan(source) && source.is_file() {
            one(source, &mut found);
        } else if source.is_file() {
            let text = fs::read_to_string(source).map_err(|e| no_list(source, &e))?;
            list(&text, source.parent().unwrap_or(Path::new("")), &mut found);
        } else {
            pattern(source, out.as_deref(), &mut found)?;
        }
    }
    if found.plans.is_empty() && found.unread.is_empty() {
        let told = Finding::error("no-plans", "There is no plan (.svg, .svgz) in what was given.")
            .remedy("Give a folder, a pattern in quotes such as \"lots/**/*.svg\", or a file that lists plans, one path a line.");
        return Err(Failure::Usage(vec![told]));
    }
    found.settle();
    if let Some(shard) = shard {
        found.plans.retain(|plan| shard.takes(&plan.name));
    }
    found.plans.shrink_to_fit();
    Ok(found)
}

fn no_list(source: &Path, why: &io::Error) -> Failure {
    let told = format!("The list {} cannot be read: {why}.", source.display());
    let told = Finding::error("list-unreadable", told)
        .remedy("A list is UTF-8 text with one plan's path on each line.");
    Failure::Usage(vec![told])
}

fn is_plan(path: &Path) -> bool {
    let ending = path.extension().and_then(|e| e.to_str());
    ending.is_some_and(|e| e.eq_ignore_ascii_case("svg") || e.eq_ignore_ascii_case("svgz"))
}

fn one(path: &Path, found: &mut Found) {
    let root = found.root(Path::new(""));
    found.add(root, path);
}

/// The paths of a list, from the folder that the list is in. Blank lines are passed over, and lines may end as they do
/// on any system.
fn list(text: &str, folder: &Path, found: &mut Found) {
    let root = found.root(folder);
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    for line in text.lines().filter(|line| !line.trim().is_empty()) {
        found.add(root, Path::new(line.trim_end_matches('\r')));
    }
}

/// All plans in a folder and the folders in it, but for hidden ones. A link to a folder is not followed: it may lead
/// back.
fn folder(at: &Path, from_root: &Path, root: u32, out: Option<&Path>, found: &mut Found) {
    if out.is_some_and(|out| at.canonicalize().is_ok_and(|at| at == out)) {
        return;
    }
    let entries = match fs::read_dir(at) {
        Ok(entries) => entries,
        Err(e) => {
            (found.unread).push(format!("{} cannot be looked into: {e}", at.display()));
            return;
        }
    };
    for entry in entries {
        let entry = match entry {
            Ok(entry) => entry,
            Err(e) => {
                (found.unread).push(format!("{} cannot be read on: {e}", at.display()));
                return;
            }
        };
        let (name, kind) = (entry.file_name(), entry.file_type());
        let inner = from_root.join(&name);
        if name.as_encoded_bytes().starts_with(b".") {
            continue;
        }
        if kind.is_ok_and(|k| k.is_dir()) {
            folder(&entry.path(), &inner, root, out, found);
        } else if is_plan(&inner) && entry.path().is_file() {
            found.add(root, &inner);
        }
    }
}

/// The plans that a pattern names, from the last folder before its first sign.
fn pattern(source: &Path, out: Option<&Path>, found: &mut Found) -> Result<(), Failure> {
    let absent = || {
        let told = format!("There is no plan, folder or list {}.", source.display());
        Failure::usage("source-absent", told)
    };
    let text = source.to_str().ok_or_else(absent)?;
    if !text.contains(['*', '?', '[']) {
        return Err(absent());
    }
    let options = glob::MatchOptions {
        case_sensitive: true,
        require_literal_separator: true,
        require_literal_leading_dot: true,
    };
    let matches = glob::glob_with(text, options).map_err(|e| {
        let told = format!("“{text}” is no pattern: {e}.");
        Failure::usage("pattern-unreadable", told)
    })?;
    let fixed: PathBuf = (source.components())
        .take_while(|part| !(part.as_os_str().to_string_lossy()).contains(['*', '?', '[']))
        .collect();
    let root = found.root(&fixed);
    for path in matches {
        match path {
            Ok(path) => {
                let result = out
                    .is_some_and(|out| path.canonicalize().is_ok_and(|path| path.starts_with(out)));
                if is_plan(&path) && path.is_file() && !result {
                    found.add(root, path.strip_prefix(&fixed).unwrap_or(&path));
                }
            }
            Err(e) => found.unread.push(format!("{e}")),
        }
    }
    Ok(())
}
