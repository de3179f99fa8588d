//! Findings printed for people, on standard error.

use std::io::{IsTerminal as _, Write as _};
use std::path::Path;

use eavewright::units::METRES_PER_FOOT;
use eavewright::{Finding, Severity};

/// Prints findings with their place in the file and in the plan.
pub(crate) struct Teller<'a> {
    plan: &'a Path,
    metric: bool,
    colour: bool,
    quiet: bool,
    /// One of several plans: what has no place of its own is told with the plan's name.
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

    /// Prints the findings, errors first; notes only when they were asked for.
    pub(crate) fn tell(&self, findings: &[Finding], notes_too: bool) {
        let mut sorted: Vec<&Finding> = findings.iter().collect();
        sorted.sort_by_key(|f| std::cmp::Reverse(f.severity));
        for finding in sorted {
            let shown = match finding.severity {
                Severity::Error => true,
                Severity::Warning => !self.quiet,
                Severity::Note => notes_too && !self.quiet,
            };
            if shown {
                self.print(&self.text(finding));
            }
        }
    }

    /// Prints all findings in their order, each with its number from 1, as marks in the drawing carry it.
    pub(crate) fn tell_numbered(&self, findings: &[Finding]) {
        for (index, finding) in findings.iter().enumerate() {
            if finding.severity == Severity::Error || !self.quiet {
                self.print(&format!("{} {}", index + 1, self.text(finding)));
            }
        }
    }

    fn print(&self, text: &str) {
        // Nobody can be told that standard error is closed.
        let _ = std::io::stderr().lock().write_all(text.as_bytes());
    }

    fn text(&self, finding: &Finding) -> String {
        let word = match finding.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
            Severity::Note => "note",
        };
        let (bold, plain) = if self.colour {
            ("\x1b[1m", "\x1b[0m")
        } else {
            ("", "")
        };
        let mut text = wrap(
            &format!(
                "{bold}{word}: {}{plain} [{}]",
                printable(&finding.message),
                finding.code
            ),
            "",
        );
        if finding.places.is_empty() && self.among_others {
            text += &wrap(&self.plan.display().to_string(), "  at ");
        }
        for place in finding.places.iter().take(5) {
            text += &wrap(&self.place(place), "  at ");
        }
        match finding.places.len().saturating_sub(5) {
            0 => {}
            1 => text += "  and one more place\n",
            more => text += &format!("  and {more} more places\n"),
        }
        if !finding.remedy.is_empty() {
            text += &wrap(&printable(&finding.remedy), "  do ");
        }
        text
    }

    fn place(&self, place: &eavewright::Place) -> String {
        let mut parts = Vec::new();
        if let Some(source) = &place.source {
            let mut at = self.plan.display().to_string();
            if source.line > 0 {
                at += &format!(":{}:{}", source.line, source.column);
            }
            at += &match &source.id {
                Some(id) => format!(" <{}> \"{}\"", source.tag, printable(id)),
                None => format!(" <{}>", source.tag),
            };
            if let Some(layer) = &source.layer {
                at += &format!(" in layer \"{}\"", printable(layer));
            }
            parts.push(at);
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

/// Control characters in names come from the drawing and must not reach the terminal.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { '\u{fffd}' } else { c })
        .collect()
}

/// Wraps at 80 columns; the first line starts with `lead`, the others are indented as far.
fn wrap(text: &str, lead: &str) -> String {
    let indent = " ".repeat(lead.chars().count().max(2));
    let mut out = String::new();
    let mut line = lead.to_owned();
    let mut fresh = true;
    for word in text.split_whitespace() {
        if !fresh && line.chars().count() + 1 + word.chars().count() > 80 {
            out += &line;
            out.push('\n');
            line.clone_from(&indent);
            fresh = true;
        }
        if !fresh {
            line.push(' ');
        }
        line += word;
        fresh = false;
    }
    out + &line + "\n"
}

#[cfg(test)]
mod tests {
    use super::wrap;

    #[test]
    fn a_long_finding_is_wrapped_at_eighty_columns_and_indented() {
        let text = wrap(&"word ".repeat(40), "  at ");
        assert!(text.lines().count() > 2);
        assert!(text.lines().all(|l| l.chars().count() <= 80));
        assert!(text.lines().skip(1).all(|l| l.starts_with("     word")));
    }
}
