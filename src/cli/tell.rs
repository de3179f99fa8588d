//! Findings printed for people, on standard error.

use std::collections::BTreeMap;
use std::io::{IsTerminal as _, Write as _};
use std::path::Path;

use eavewright::finding::excerpt;
use eavewright::report::wrapped;
use eavewright::units::METRES_PER_FOOT;
use eavewright::{Finding, Severity, gravest_first};

/// Bold on a terminal, and back.
const BOLD: &str = "\x1b[1m";
const PLAIN: &str = "\x1b[0m";

/// So many warnings of one kind are told one by one; forty of them are read by nobody.
const MOST_ALIKE: usize = 3;

/// Prints findings with their place in the file and in the plan.
pub(crate) struct Teller<'a> {
    plan: &'a Path,
    metric: bool,
    colour: bool,
    quiet: bool,
    /// One of several plans: what no element of the drawing is named for is told with the plan's name.
    among_others: bool,
}

impl<'a> Teller<'a> {
    pub(crate) fn new(plan: &'a Path, metric: bool, quiet: bool) -> Self {
        let colour = std::io::stderr().is_terminal()
            && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty());
        Self {
            plan,
            metric,
            colour,
            quiet,
            among_others: false,
        }
    }

    /// For one of several plans.
    pub(crate) fn among_others(self) -> Self {
        Self {
            among_others: true,
            ..self
        }
    }

    /// Prints the findings, errors first; notes, and every one of many warnings alike, only when they were asked for.
    pub(crate) fn tell(&self, findings: &[Finding], all: bool) {
        let mut sorted: Vec<&Finding> = findings.iter().collect();
        gravest_first(&mut sorted);
        sorted.retain(|finding| match finding.severity {
            Severity::Error => true,
            Severity::Warning => !self.quiet,
            Severity::Note => all && !self.quiet,
        });
        let mut alike: BTreeMap<&str, usize> = BTreeMap::new();
        let mut before: Vec<&Finding> = Vec::new();
        for finding in sorted {
            let count = alike.entry(finding.code).or_default();
            *count += 1;
            if all || *count <= MOST_ALIKE || finding.severity == Severity::Error {
                self.print(&self.text("", finding, &before));
                before.push(finding);
            }
        }
        for (code, more) in alike.into_iter().filter(|_| !all) {
            let told = before.iter().filter(|f| f.code == code).count();
            self.tell_more(code, more - told);
        }
    }

    fn tell_more(&self, code: &str, more: usize) {
        if more > 0 {
            let warnings = if more == 1 { "warning" } else { "warnings" };
            let said = format!("{more} more {warnings} [{code}]: --verbose tells every one");
            self.print(&wrapped(&said, "", "  "));
        }
    }

    /// Prints all findings in their order, each with its number from 1, as marks in the drawing carry it.
    pub(crate) fn tell_numbered(&self, findings: &[Finding]) {
        let mut before = Vec::new();
        for (index, finding) in findings.iter().enumerate() {
            if finding.severity == Severity::Error || !self.quiet {
                let number = format!("{} ", index + 1);
                self.print(&self.text(&number, finding, &before));
                before.push(finding);
            }
        }
    }

    /// Prints why things are as they are.
    pub(crate) fn explain(&self, text: &str) {
        self.print(&format!("{}{}", self.heading(), printable_lines(text)));
    }

    /// The plan's path; file names may hold anything.
    fn plan_name(&self) -> String {
        printable(&self.plan.display().to_string())
    }

    /// The plan's name, where it is one of several.
    fn heading(&self) -> String {
        if self.among_others {
            format!("\n{}", self.plan_name())
        } else {
            String::new()
        }
    }

    fn print(&self, text: &str) {
        // Nobody can be told that standard error is closed.
        let _ = std::io::stderr().lock().write_all(text.as_bytes());
    }

    /// A finding behind its `number`; what is to be done is not said again where a finding `before` said it.
    fn text(&self, number: &str, finding: &Finding, before: &[&Finding]) -> String {
        let word = match finding.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        };
        let said = format!("{word}: {} [{}]", printable(&finding.message), finding.code);
        let mut text = wrapped(&said, number, "  ");
        // Coloured when wrapped, since what colours takes no room.
        if let (true, Some(end)) = (self.colour, text.rfind(" [")) {
            text.insert_str(end, PLAIN);
            text.insert_str(number.len(), BOLD);
        }
        if finding.places.is_empty() && self.among_others {
            text += &wrapped(&self.plan_name(), "  at ", "     ");
        }
        for place in finding.places.iter().take(5) {
            text += &wrapped(&self.place(place), "  at ", "     ");
        }
        match finding.places.len().saturating_sub(5) {
            0 => {}
            1 => text += "  and one more place\n",
            more => text += &format!("  and {more} more places\n"),
        }
        let known = |other: &&Finding| other.code == finding.code && other.remedy == finding.remedy;
        if !finding.remedy.is_empty() && !before.iter().any(known) {
            text += &wrapped(&printable(&finding.remedy), "  do ", "     ");
        }
        text
    }

    fn place(&self, place: &eavewright::Place) -> String {
        let mut parts = Vec::new();
        if let Some(source) = &place.source {
            let mut at = self.plan_name();
            if source.line > 0 {
                at += &format!(":{}:{}", source.line, source.column);
            }
            at += &match &source.id {
                Some(id) => format!(
                    " <{}> \"{}\"",
                    excerpt(&source.tag),
                    printable(&excerpt(id))
                ),
                // A file that is no drawing has no element to name.
                None if source.tag.is_empty() => String::new(),
                None => format!(" <{}>", excerpt(&source.tag)),
            };
            if let Some(layer) = &source.layer {
                at += &format!(" in layer \"{}\"", printable(&excerpt(layer)));
            }
            parts.push(at);
        } else if self.among_others {
            parts.push(self.plan_name());
        }
        if let Some(p) = place.at {
            let (k, unit) = if self.metric {
                (METRES_PER_FOOT, "m")
            } else {
                (1.0, "ft")
            };
            parts.push(format!("plan ({:.2}, {:.2}) {unit}", p.x * k, p.y * k));
        }
        parts.join(", ")
    }
}

/// [`printable`] for a text of several lines.
pub(crate) fn printable_lines(text: &str) -> String {
    let lines: Vec<String> = text.split('\n').map(printable).collect();
    lines.join("\n")
}

/// Control characters in names come from the drawing and must not reach the terminal.
pub(crate) fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
}
