//! Which plans a batch is about: every one has a name of its own and a place among the others.

use std::collections::BTreeSet;
use std::fs::{self, FileType};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io;
use std::path::{Path, PathBuf};

use rayon::iter::{IntoParallelRefIterator as _, ParallelIterator as _};

use eavewright::Finding;
use eavewright::batch::{Shard, content_key, file_stem, plan_name, without_ending};

use super::super::own::{self, Kind, listed};
use super::super::{Failure, road};
use super::pattern::pattern;
use super::store::{PLANS, Store};

/// A plan: its name, and where it is. Kept small, for there may be a million.
pub(super) struct Plan {
    pub(super) name: Box<str>,
    /// Where its results go, where that is not what follows from the name.
    stem: Option<Box<str>>,
    root: u32,
    /// Whether it was met in a folder or by a pattern, and not named itself.
    met: bool,
    /// Whether another plan from another place has its name, but for a mark.
    pub(super) shares_name: bool,
    /// Its path from the root, where the name is another.
    path: Option<Box<Path>>,
}

impl Plan {
    /// Where its results go, without an ending.
    pub(super) fn stem(&self) -> String {
        (self.stem.as_ref()).map_or_else(|| file_stem(&self.name), ToString::to_string)
    }
}

/// What is told of files of a kind, in front of their names.
const TOLD: [(Kind, &str); 3] = [
    (
        Kind::Drawing,
        "left out, as this program drew it (give a file itself to have it taken off)",
    ),
    (
        Kind::Marked,
        "left out, as it is a plan of this batch with this program's marks on it (give a file itself to have it taken off)",
    ),
    (
        Kind::MarkedAlone,
        "taken as a plan, though it bears this program's marks on another plan that is not in this batch",
    ),
];

/// The plans of a batch in the order of their names.
pub(super) struct Found {
    pub(super) plans: Vec<Plan>,
    /// Folders that could not be looked into, in words.
    pub(super) unread: Vec<String>,
    /// What else was given and is not among the plans, in words.
    pub(super) told: Vec<String>,
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

    pub(super) fn root(&mut self, root: &Path) -> u32 {
        if self.roots.last().is_none_or(|last| last != root) {
            self.roots.push(root.to_path_buf());
        }
        (self.roots.len() - 1) as u32
    }

    pub(super) fn add(&mut self, root: u32, path: &Path, met: bool) {
        let mut name = plan_name(path);
        if path.to_str().is_none() {
            // Two names with different bytes may look alike once they are words.
            name += &format!("~{}", short_hash(&[path.as_os_str().as_encoded_bytes()]));
        }
        let kept = (Path::new(&name) != path).then(|| path.into());
        self.plans.push(Plan {
            name: name.into(),
            stem: None,
            root,
            met,
            shares_name: false,
            path: kept,
        });
    }

    /// Each file once, however its path is written. A link to another plan is a plan of its own: that is how one model
    /// is drawn once for several lots.
    fn once(&mut self, results: Option<&Path>, tables: &[PathBuf]) -> Result<(), Failure> {
        let mut folders = Folders::default();
        let mut marks: Vec<(u64, usize)> = Vec::with_capacity(self.plans.len());
        for (n, plan) in self.plans.iter().enumerate() {
            let place = folders.place(&self.path(plan));
            let among = results.is_some_and(|results| place.starts_with(results));
            if among || tables.contains(&place) {
                return Err(among_results(&place));
            }
            let mut mark = DefaultHasher::new();
            place.hash(&mut mark);
            marks.push((mark.finish(), n));
        }
        marks.sort_unstable();
        let mut again = BTreeSet::new();
        for same in marks.chunk_by(|a, b| a.0 == b.0).filter(|s| s.len() > 1) {
            let mut places = BTreeSet::new();
            for &(_, n) in same {
                if !places.insert(folders.place(&self.path(&self.plans[n]))) {
                    again.insert(n);
                }
            }
        }
        let names: Vec<String> = (again.iter())
            .map(|&n| self.path(&self.plans[n]).display().to_string())
            .collect();
        if !names.is_empty() {
            self.told.push(format!(
                "given more than once and taken off once: {}",
                listed(&names)
            ));
        }
        let mut n = 0;
        self.plans.retain(|_| {
            n += 1;
            !again.contains(&(n - 1))
        });
        Ok(())
    }

    /// In order, no two with the same name or the same place for their results.
    fn settle(&mut self) {
        // Those of one name by their place, so that every machine gives the same ones a mark.
        let place = |p: &Plan| (p.root, p.path.clone());
        (self.plans).sort_by(|a, b| a.name.cmp(&b.name).then_with(|| place(a).cmp(&place(b))));
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
        self.part_results();
    }

    /// Leaves out other shares' plans, and of what was met and not named, what this program drew itself: its drawings of
    /// roofs, and plans with its marks on them where the plan itself is in the batch as well.
    fn leave_out(&mut self, shard: Option<Shard>) {
        let own = |plan: &Plan| shard.is_none_or(|shard| shard.takes(&plan.name));
        // `None` for what is of another share.
        let kinds: Vec<Option<Kind>> = (self.plans.par_iter())
            .map(|plan| own(plan).then(|| self.kind(plan)))
            .collect();
        for (kind, words) in TOLD {
            let names: Vec<String> = (kinds.iter().zip(&self.plans))
                .filter(|(k, _)| **k == Some(kind))
                .map(|(_, plan)| self.path(plan).display().to_string())
                .collect();
            if !names.is_empty() {
                self.told.push(format!("{words}: {}", listed(&names)));
            }
        }
        let mut kinds = kinds.into_iter();
        (self.plans)
            .retain(|_| matches!(kinds.next().flatten(), Some(Kind::Plan | Kind::MarkedAlone)));
    }

    fn kind(&self, plan: &Plan) -> Kind {
        let path = self.path(plan);
        let bytes = || super::one::bytes(&path).ok();
        match plan.met.then(bytes).flatten() {
            Some(bytes) => own::kind(&path, &bytes, |other| self.holds(plan.root, other)),
            None => Kind::Plan,
        }
    }

    /// Whether a path under this root is that of a plan.
    fn holds(&self, root: u32, path: &Path) -> bool {
        let from_root = (path.strip_prefix(&self.roots[root as usize])).unwrap_or(path);
        let name = plan_name(from_root);
        // One of several of that name bears a mark behind it.
        [format!("{name}~{}", place_mark(root, from_root)), name]
            .iter()
            .filter_map(|name| self.plans.binary_search_by(|p| (*p.name).cmp(name)).ok())
            .any(|n| self.path(&self.plans[n]) == path)
    }

    /// Plans whose results would go to the same place, `a.svg` and `a.svgz`, take a mark of their names there.
    fn part_results(&mut self) {
        let mark = |plan: &Plan| short_hash(&[plan.stem().to_lowercase().as_bytes()]);
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
                let own = short_hash(&[plan.name.as_bytes()]);
                plan.stem = Some(format!("{}~{own}", plan.stem()).into());
            }
        }
    }

    /// Plans of one name from different places take a mark of their place.
    fn part(&mut self, start: usize, count: usize) {
        for plan in &mut self.plans[start..start + count] {
            plan.shares_name = true;
        }
        for plan in &mut self.plans[start + 1..start + count] {
            let path = plan.path.as_deref().unwrap_or(Path::new(&*plan.name));
            let mark = place_mark(plan.root, path);
            plan.path
                .get_or_insert_with(|| Path::new(&*plan.name).into());
            plan.name = format!("{}~{mark}", plan.name).into();
        }
    }
}

/// Folders by the one name that the system has for them. Plans of one folder mostly follow one another.
#[derive(Default)]
struct Folders {
    given: PathBuf,
    name: PathBuf,
}

impl Folders {
    /// One name for all ways to write a file's path.
    fn place(&mut self, path: &Path) -> PathBuf {
        let (Some(folder), Some(file)) = (path.parent(), path.file_name()) else {
            return path.to_path_buf();
        };
        if self.name.as_os_str().is_empty() || folder != self.given {
            let there = if folder.as_os_str().is_empty() {
                Path::new(".")
            } else {
                folder
            };
            self.name = there.canonicalize().unwrap_or_else(|_| there.into());
            self.given = folder.into();
        }
        self.name.join(file)
    }
}

fn among_results(at: &Path) -> Failure {
    let told = format!(
        "{} is where the results would go: they would take the place of plans.",
        at.display()
    );
    let told =
        Finding::error("results-among-plans", told).remedy("Give another folder with --out.");
    Failure::Usage(vec![told])
}

/// The mark of a plan's place: which source it was met in, counted as they were given, and where in it. Machines that
/// share a batch have the folders at different paths, and must give a plan the same name.
fn place_mark(root: u32, from_root: &Path) -> String {
    let root = root.to_le_bytes();
    short_hash(&[&root, from_root.as_os_str().as_encoded_bytes()])
}

/// Sixteen hexadecimal signs.
fn short_hash(parts: &[&[u8]]) -> String {
    content_key(parts)[..16].to_owned()
}

/// The plans of all sources, less what is another share's. Where results are is never searched.
pub(super) fn plans(sources: &[PathBuf], store: &Store) -> Result<Found, Failure> {
    let (out, shard) = (&store.folder, store.shard);
    let mut found = Found {
        plans: Vec::new(),
        unread: Vec::new(),
        told: Vec::new(),
        roots: Vec::new(),
    };
    let results = out.join(PLANS).canonicalize().ok();
    let results = results.as_deref();
    // A folder of that name that no batch has written into is searched like any other.
    let skipped = results.filter(|_| out.join(super::lock::WHOLE).exists());
    for source in sources {
        if source.as_os_str() == "-" {
            let text = road::standard_input().map_err(|e| no_list(source, &e))?;
            list(&text, Path::new(""), &mut found);
        } else if source.is_dir() {
            if is_result(source, skipped) {
                return Err(among_results(source));
            }
            let root = found.root(source);
            folder(source, Path::new(""), root, skipped, &mut found);
        } else if is_plan(source) && source.is_file() {
            one(source, &mut found);
        } else if is_list(source) {
            let text = road::text(source).map_err(|e| no_list(source, &e))?;
            list(&text, source.parent().unwrap_or(Path::new("")), &mut found);
        } else {
            pattern(source, skipped, &mut found)?;
        }
    }
    // A link may lead from where a table goes to a plan.
    let tables = store.tables().into_iter();
    let tables: Vec<PathBuf> = tables.filter_map(|t| t.canonicalize().ok()).collect();
    found.once(results, &tables)?;
    if found.plans.is_empty() && found.unread.is_empty() {
        return Err(no_plans(&found.told));
    }
    found.settle();
    found.leave_out(shard);
    found.plans.shrink_to_fit();
    found.told.sort();
    found.unread.sort();
    if found.plans.is_empty() && found.unread.is_empty() && shard.is_none() {
        return Err(no_plans(&found.told));
    }
    Ok(found)
}

fn no_plans(told: &[String]) -> Failure {
    let why: String = told.iter().map(|told| format!(" ({told})")).collect();
    let told = format!("There is no plan (.svg, .svgz, .svg.gz) in what was given{why}.");
    let told = Finding::error("no-plans", told)
        .remedy("Give a folder, a pattern in quotes such as \"lots/**/*.svg\", or a file that lists plans, one path a line.");
    Failure::Usage(vec![told])
}

fn no_list(source: &Path, why: &io::Error) -> Failure {
    let told = format!("The list {} cannot be read: {why}.", source.display());
    let told = Finding::error("list-unreadable", told).remedy(
        "A list is text in UTF-8, or UTF-16 with its mark, with one plan's path on each line.",
    );
    Failure::Usage(vec![told])
}

/// A file that is no plan lists some. Standard input is none.
pub(super) fn is_list(source: &Path) -> bool {
    source.as_os_str() != "-" && source.is_file() && !is_plan(source)
}

pub(super) fn is_plan(path: &Path) -> bool {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned());
    name.is_some_and(|name| without_ending(&name) != name)
}

fn one(path: &Path, found: &mut Found) {
    let root = found.root(Path::new(""));
    found.add(root, path, false);
}

/// The paths of a list, from the folder that the list is in. Blank lines and lines that begin with `#` are passed over, as in
/// other lists; lines may end as they do on any system, and blanks or quotes round a path are none of it, unless a file is named
/// so.
fn list(text: &str, folder: &Path, found: &mut Found) {
    let root = found.root(folder);
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines = text.lines().map(|line| line.trim_end_matches('\r'));
    for line in lines.filter(|line| !line.trim().is_empty()) {
        if let Some(path) = listed_path(line, |path| folder.join(path).is_file()) {
            found.add(root, Path::new(path), false);
        }
    }
}

/// The path that a line of a list gives; `None` for a comment. Only a line that may be read in two ways asks for the file.
fn listed_path(line: &str, is_there: impl Fn(&str) -> bool) -> Option<&str> {
    let trimmed = line.trim();
    let quoted = |by: char| trimmed.strip_prefix(by)?.strip_suffix(by);
    let bare = quoted('"').or_else(|| quoted('\'')).unwrap_or(trimmed);
    let is_comment = trimmed.starts_with('#');
    if (is_comment || bare != line) && is_there(line) {
        return Some(line);
    }
    (!is_comment && !bare.is_empty()).then_some(bare)
}

/// All plans in a folder and the folders in it, but for hidden ones. A link to a folder is not followed: it may lead
/// back.
fn folder(at: &Path, from_root: &Path, root: u32, skipped: Option<&Path>, found: &mut Found) {
    if is_result(at, skipped) {
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
        let path = entry.path();
        if kind.as_ref().is_ok_and(FileType::is_dir) {
            folder(&path, &inner, root, skipped, found);
        } else if kind.is_ok_and(|k| k.is_symlink()) && path.is_dir() {
            if !is_result(&path, skipped) {
                found.told.push(format!(
                    "{} is a link to a folder and not followed; give it by itself if there are plans in it",
                    path.display()
                ));
            }
        } else if is_plan(&inner) {
            // Whether it can be read is seen, and told, where it is read.
            found.add(root, &inner, true);
        }
    }
}

pub(super) fn is_result(path: &Path, skipped: Option<&Path>) -> bool {
    skipped.is_some_and(|results| (path.canonicalize()).is_ok_and(|path| path.starts_with(results)))
}
