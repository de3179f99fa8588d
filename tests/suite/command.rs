//! The command as its users run it.

use std::path::Path;
use std::process::{Command, Output};

/// Runs it in a folder, without colours.
pub(crate) fn run(arguments: &[&str], folder: &Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_eavewright"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

/// Its exit status.
pub(crate) fn status(output: &Output) -> i32 {
    output.status.code().expect("the program was killed")
}

/// What it said on standard error.
pub(crate) fn told(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}
