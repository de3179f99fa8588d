//! The road has one direction, and each foreign crate one place. This test reads the sources and holds them to it.

use std::fs;
use std::path::{Path, PathBuf};

/// What each module may use of this crate. The road: drawing → roof → courses → materials → report.
const MAY_USE: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("fonts", &[]),
    ("geometry", &["units"]),
    ("place", &["geometry"]),
    ("finding", &["place"]),
    (
        "drawing",
        &["units", "geometry", "place", "finding", "fonts"],
    ),
    (
        "roof::map",
        &["units", "geometry", "place", "finding", "drawing"],
    ),
    (
        "roof::outline",
        &[
            "units",
            "geometry",
            "place",
            "finding",
            "drawing",
            "roof::map",
        ],
    ),
    (
        "roof",
        &["units", "geometry", "place", "finding", "drawing"],
    ),
    (
        "courses",
        &["units", "geometry", "place", "finding", "roof"],
    ),
    (
        "materials",
        &["units", "geometry", "place", "finding", "roof", "courses"],
    ),
    (
        "review",
        &[
            "units",
            "geometry",
            "place",
            "finding",
            "drawing",
            "roof",
            "courses",
            "materials",
        ],
    ),
    (
        "job",
        &[
            "units",
            "geometry",
            "place",
            "finding",
            "drawing",
            "roof",
            "courses",
            "materials",
        ],
    ),
    (
        "report",
        &[
            "units",
            "geometry",
            "place",
            "finding",
            "fonts",
            "drawing",
            "roof",
            "courses",
            "materials",
            "review",
            "job",
        ],
    ),
    // Reads what the report writes, as any script would.
    ("batch", &[]),
];

/// The only modules that may name these crates.
const ONLY_IN: &[(&str, &[&str])] = &[
    ("usvg", &["drawing"]),
    ("svgtypes", &["drawing"]),
    ("flate2", &["drawing", "report/pdf/writer.rs"]),
    ("printpdf", &["report/pdf/writer.rs"]),
    ("lopdf", &["report/pdf/writer.rs"]),
    ("subsetter", &["report/pdf"]),
    ("sha2", &["batch"]),
    ("parquet", &["batch"]),
    ("indicatif", &["cli/batch", "cli/progress.rs"]),
    ("glob", &["cli/batch"]),
    ("rustix", &["cli/batch", "cli/bounded.rs"]),
    ("clap", &["cli"]),
    ("tempfile", &["cli"]),
    ("rust_decimal", &["materials", "job", "report"]),
];

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// Each code line of the library with its file (relative to src) and number, comments left out.
fn lines() -> Vec<(String, usize, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut all = Vec::new();
    for path in sources(&root) {
        let name = path
            .strip_prefix(&root)
            .unwrap()
            .to_string_lossy()
            .replace('\\', "/");
        for (n, line) in fs::read_to_string(&path).unwrap().lines().enumerate() {
            if !line.trim_start().starts_with("//") {
                all.push((name.clone(), n + 1, line.to_owned()));
            }
        }
    }
    assert!(all.len() > 100, "the sources were not found");
    all
}

/// The row of the table that a file belongs to: that of its folder in a module, where the table has one.
fn module_of(file: &str) -> &str {
    let inner = MAY_USE.iter().map(|m| m.0).find(|module| {
        let folder = module.replace("::", "/");
        folder.contains('/') && file.starts_with(&format!("{folder}/"))
    });
    inner.unwrap_or_else(|| file.split(['/', '.']).next().unwrap())
}

/// Whether a line names something of a module itself, not of one in it that has a row of its own.
fn names(line: &str, module: &str) -> bool {
    let within: Vec<&str> = MAY_USE
        .iter()
        .filter_map(|m| m.0.strip_prefix(module)?.strip_prefix("::"))
        .collect();
    let path = format!("crate::{module}::");
    let of_it = line.match_indices(&path).any(|(at, _)| {
        let rest = &line[at + path.len()..];
        !within.iter().any(|inner| rest.starts_with(inner))
    });
    of_it || line.contains(&format!("crate::{module}}}"))
}

#[test]
fn no_stage_looks_back_up_the_road() {
    let modules: Vec<&str> = MAY_USE.iter().map(|m| m.0).collect();
    let mut wrong = Vec::new();
    for (file, n, line) in lines() {
        let here = module_of(&file);
        let Some((_, allowed)) = MAY_USE.iter().find(|m| m.0 == here) else {
            continue;
        };
        for &other in &modules {
            // What may use a module may use all that is in it, and a module what is in itself.
            let outer = other.split("::").next().unwrap();
            let may = [other, outer].iter().any(|m| allowed.contains(m)) || outer == here;
            if names(&line, other) && other != here && !may {
                wrong.push(format!("src/{file}:{n}: {here} must not use {other}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn each_foreign_crate_keeps_to_its_place() {
    let mut wrong = Vec::new();
    for (file, n, line) in lines() {
        for (name, places) in ONLY_IN {
            let used = line.contains(&format!("{name}::")) || line.contains(&format!("use {name}"));
            if used && !places.iter().any(|p| file.starts_with(p)) {
                wrong.push(format!("src/{file}:{n}: {name} belongs in {places:?}"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn only_the_command_line_prints_or_touches_files() {
    let mut wrong = Vec::new();
    for (file, n, line) in lines() {
        let told = [
            "println!",
            "eprintln!",
            "std::fs",
            "std::env",
            "SystemTime",
            "Instant::now",
        ];
        if module_of(&file) != "cli" && file != "main.rs" && told.iter().any(|t| line.contains(t)) {
            wrong.push(format!("src/{file}:{n}: {}", line.trim()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
