//! Files written whole or not at all.

use std::collections::BTreeSet;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use super::bounded::Bounded;

/// A result that waits to be written. All of a command's results are made before the first is written, so that a
/// report is never left without its companions because one of them could not be made.
pub(crate) struct Pending {
    path: PathBuf,
    bytes: Vec<u8>,
}

impl Pending {
    pub(crate) fn new(path: impl Into<PathBuf>, bytes: impl Into<Vec<u8>>) -> Self {
        Self {
            path: path.into(),
            bytes: bytes.into(),
        }
    }

    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Whether it goes to standard output.
    pub(crate) fn to_stdout(&self) -> bool {
        is_stdout(&self.path)
    }

    /// How its place is called.
    pub(crate) fn place_in_words(&self) -> String {
        if self.to_stdout() {
            "Standard output".to_owned()
        } else {
            self.path.display().to_string()
        }
    }
}

/// The names that systems have for standard output. What goes there by one of them has it to itself as well: a summary behind it
/// would be part of it.
#[cfg(unix)]
const STDOUT: [&str; 4] = ["-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1"];
#[cfg(not(unix))]
const STDOUT: [&str; 1] = ["-"];

/// Whether a path names standard output.
pub(crate) fn is_stdout(path: &Path) -> bool {
    STDOUT.iter().any(|name| path.as_os_str() == *name)
}

/// Why a result could not be written.
#[derive(Debug)]
pub(crate) struct WriteError {
    /// The place, in words.
    pub(crate) place: String,
    pub(crate) cause: io::Error,
}

/// Writes all results: first every file into a temporary file beside its place, then each is renamed into place.
/// A full disk or a missing permission is met in the first step, before any earlier report has been touched.
/// What is no file (a device such as `/dev/null`, a named pipe) holds no earlier report and is written to as it is.
pub(crate) fn write_all(results: &[Pending]) -> Result<(), WriteError> {
    let fail = |result: &Pending, cause| WriteError {
        place: result.place_in_words(),
        cause,
    };
    let named = || results.iter().filter(|r| !r.to_stdout());
    let mut staged = Vec::new();
    for result in named().filter(|r| !is_device(&r.path)) {
        let file = stage(&result.path, &result.bytes).map_err(|e| fail(result, e))?;
        staged.push((result, file));
    }
    for (result, file) in staged {
        put(file, &result.path).map_err(|e| fail(result, e))?;
    }
    for result in named().filter(|r| is_device(&r.path)) {
        let device = std::fs::OpenOptions::new().write(true).open(&result.path);
        (device.and_then(|mut d| d.write_all(&result.bytes))).map_err(|e| fail(result, e))?;
    }
    for result in results.iter().filter(|r| r.to_stdout()) {
        to_stdout(&result.bytes).map_err(|e| fail(result, e))?;
    }
    Ok(())
}

/// Writes to standard output. A reader that has gone away (`| head`) is no failure.
pub(crate) fn to_stdout(bytes: &[u8]) -> io::Result<()> {
    let out = io::stdout().lock();
    let mut out = Bounded::stdout(out);
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(e) if e.kind() != io::ErrorKind::BrokenPipe => Err(e),
        _ => Ok(()),
    }
}

/// The place that two results would be written to, the later over the earlier or both into one another.
pub(crate) fn named_twice(results: &[Pending]) -> Option<&Pending> {
    let mut places = BTreeSet::new();
    let keeps_nothing = |r: &&Pending| !r.to_stdout() && is_device(&r.path);
    let mut kept = results.iter().filter(|r| !keeps_nothing(r));
    kept.find(|result| {
        let place = match result.to_stdout() {
            true => PathBuf::from(STDOUT[0]),
            false => place(&result.path),
        };
        !places.insert(place)
    })
}

/// Links that lead from one to another: more are a circle.
const MOST_LINKS: usize = 40;

/// One name for all ways to name a file, whether it is there yet or not.
pub(crate) fn place(path: &Path) -> PathBuf {
    if let Ok(there) = std::fs::canonicalize(path) {
        return there;
    }
    // A link to a file that is not there yet leads there all the same.
    let mut path = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        match std::fs::read_link(&path) {
            Ok(to) => path = folder_of(&path).join(to),
            Err(_) => break,
        }
    }
    let path = path.as_path();
    let folder = folder_of(path).canonicalize();
    match (folder, path.file_name()) {
        (Ok(folder), Some(name)) => folder.join(name),
        _ => path.to_path_buf(),
    }
}

/// The folder that a file stands in.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// A device or a pipe: a file renamed onto it would take its place, and `/dev/null` be a file from then on.
fn is_device(path: &Path) -> bool {
    std::fs::metadata(path).is_ok_and(|kind| !kind.is_file() && !kind.is_dir())
}

/// Renames a whole temporary file into its place: that behind all links, for it is to replace the report and not the link to it.
pub(crate) fn put(file: tempfile::NamedTempFile, path: &Path) -> io::Result<()> {
    file.persist(place(path)).map_err(|e| e.error)?;
    Ok(())
}

fn stage(path: &Path, bytes: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let file = beside(path)?;
    Bounded::new(file.as_file()).write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// How the names of temporary files begin.
pub(crate) const UNFINISHED: &str = ".eavewright-";

/// An empty temporary file beside its place, to be filled and renamed into it.
pub(crate) fn beside(path: &Path) -> io::Result<tempfile::NamedTempFile> {
    if path.is_dir() {
        return Err(io::Error::other("it is a directory"));
    }
    let path = place(path);
    let folder = folder_of(&path);
    if !folder.is_dir() {
        let told = format!("there is no folder {}", folder.display());
        return Err(io::Error::new(io::ErrorKind::NotFound, told));
    }
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        // A temporary file is private by default; a report is to be read by others, as far as the umask lets it.
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.prefix(UNFINISHED).tempfile_in(folder)
}
