//! `man`: the manual pages, the program's own and one a command.

use clap::CommandFactory as _;
use clap_mangen::Man;
use clap_mangen::roff::{Roff, bold, roman};

use super::args::Cli;
use super::{Failure, print};

pub(super) fn run(page: Option<&str>) -> Result<(), Failure> {
    let text = page_of(page).map_err(|e| {
        Failure::usage(
            "output-unwritable",
            format!("The manual page cannot be made: {e}."),
        )
    })?;
    print(&text)
}

/// The page of the program, or of a command: `takeoff`, `job-new`.
fn page_of(page: Option<&str>) -> std::io::Result<Vec<u8>> {
    // Without `help`, which is no page of its own.
    let mut program = Cli::command().disable_help_subcommand(true);
    program.build();
    let source = format!("eavewright {}", program.get_version().unwrap_or_default());
    let mut command = &program;
    for name in page.into_iter().flat_map(|page| page.split('-')) {
        command = command.find_subcommand(name).ok_or_else(|| {
            std::io::Error::new(std::io::ErrorKind::NotFound, format!("no command `{name}`"))
        })?;
    }
    let man = Man::new(command.clone()).source(source);
    let mut text = Vec::new();
    man.render_title(&mut text)?;
    man.render_name_section(&mut text)?;
    man.render_synopsis_section(&mut text)?;
    man.render_description_section(&mut text)?;
    man.render_options_section(&mut text)?;
    if command.has_subcommands() {
        man.render_subcommands_section(&mut text)?;
    }
    let mut more = Roff::new();
    more.control("SH", ["EXIT STATUS"]);
    for (status, words) in exit_status(page) {
        more.control("TP", []);
        more.text([bold(status)]);
        more.text([roman(words)]);
    }
    if page.is_some() {
        more.control("SH", ["SEE ALSO"]);
        more.text([bold("eavewright"), roman("(1)")]);
    }
    more.to_writer(&mut text)?;
    if page.is_none() {
        man.render_version_section(&mut text)?;
    }
    Ok(text)
}

/// What the exit statuses of a command mean; without a command, what they mean as a rule.
fn exit_status(page: Option<&str>) -> Vec<(&'static str, &'static str)> {
    const WRONG: &str = "The command line, a file named on it or the job file is wrong.";
    const REFUSED: &str = "The plan could not be taken off: every reason is printed on standard error, with where it is in the drawing, and no report is written.";
    let (done, refused) = match page {
        None => (
            "What was asked for was done; warnings may have been printed.",
            Some(
                "A plan could not be taken off: every reason is printed on standard error, with where it is in the drawing, and no report is written. With check also where a stated figure differs or the sheet says something against itself.",
            ),
        ),
        Some("takeoff") => (
            "A takeoff was made; warnings may have been printed.",
            Some(REFUSED),
        ),
        Some("batch") => (
            "All plans were taken off.",
            Some("Some plans could not be taken off; the table of plans says which, and why."),
        ),
        Some("check") => (
            "Nothing that was stated differs by more than the tolerance, or nothing was stated that could be compared.",
            Some(
                "A stated figure differs by more than the tolerance, the sheet says something against itself, or the plan could not be taken off.",
            ),
        ),
        Some("diff") => (
            "The revisions were compared, whether or not they differ.",
            Some("One of the plans could not be taken off."),
        ),
        Some("order") => (
            "The order was made; warnings may have been printed.",
            Some("One of the plans could not be taken off; every reason is printed."),
        ),
        Some("courses" | "compare") => ("It was done.", Some(REFUSED)),
        Some(_) => ("It was done.", None),
    };
    let refused = refused.map(|words| ("1", words));
    let all = [Some(("0", done)), refused, Some(("2", WRONG))];
    all.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::args::PAGES;

    #[test]
    fn every_command_has_a_page_that_can_be_asked_for() {
        fn names(command: &clap::Command, before: &str, all: &mut Vec<String>) {
            for sub in command.get_subcommands() {
                let name = format!("{before}{}", sub.get_name());
                all.push(name.clone());
                names(sub, &format!("{name}-"), all);
            }
        }
        let mut all = Vec::new();
        let program = Cli::command().disable_help_subcommand(true);
        names(&program, "", &mut all);
        assert_eq!(all, PAGES);
        for page in PAGES {
            assert!(page_of(Some(page)).is_ok_and(|text| text.len() > 300));
        }
    }
}
