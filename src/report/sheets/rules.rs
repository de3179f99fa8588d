//! The rules that the list of materials follows: where each stands, whether it was read, what is left to the reader.

use super::Draft;
use super::flow::Flow;
use super::table::{Column, Table, TableStyle};
use crate::materials::MaterialList;
use crate::materials::rules::{RULES, Rule, Standing};
use crate::report::canvas::Canvas;
use crate::report::typeset::typeset;

/// What must be kept in mind, where it found no room before the rules.
pub(super) struct Cautions {
    pub(super) head: &'static str,
    pub(super) said: Vec<String>,
    /// Whether they stand at the head of the rules rather than under them.
    pub(super) before: bool,
}

/// Draws the tables, on as many sheets as they need, with cautions where there are any.
pub(super) fn draw<'f>(
    materials: &MaterialList,
    blank: Canvas<'f>,
    size: (f64, f64),
    style: TableStyle,
    cautions: Option<Cautions>,
) -> Vec<Draft<'f>> {
    let title = match cautions {
        None => "Method: rules followed",
        Some(_) => "Method: rules followed, cautions",
    };
    let mut flow = Flow::new(blank, size, title, style, &[1.0]);
    let (before, after): (Option<Cautions>, Option<Cautions>) = match cautions {
        Some(cautions) if cautions.before => (Some(cautions), None),
        after => (None, after),
    };
    if let Some(cautions) = before {
        flow.paragraphs(cautions.head, &cautions.said);
    }
    flow.table(&table(materials));
    flow.table(&packages(materials));
    if let Some(cautions) = after {
        flow.paragraphs(cautions.head, &cautions.said);
    }
    flow.finish()
}

/// Where the sizes of what is sold, and the laps, come from: items of one source in one row.
fn packages(materials: &MaterialList) -> Table {
    let mut by_source: Vec<(&str, Vec<&str>)> = Vec::new();
    for line in &materials.lines {
        let item = line.item.as_str();
        match by_source
            .iter_mut()
            .find(|(s, _)| *s == line.package_source)
        {
            Some((_, items)) if items.contains(&item) => {}
            Some((_, items)) => items.push(item),
            None => by_source.push((&line.package_source, vec![item])),
        }
    }
    let mut table = Table::new(
        "Packages and laps",
        vec![
            Column::words("Known from").bold().grows(1.0),
            Column::words("Of").grows(2.4),
        ],
    );
    table.subject = "the job file can change every one of them".to_owned();
    for (source, items) in by_source {
        table.rows.push(vec![
            typeset(source).into(),
            typeset(&items.join("; ")).into(),
        ]);
    }
    table
}

fn table(materials: &MaterialList) -> Table {
    let mut table = Table::new(
        "Rules that the materials follow",
        vec![
            Column::words("About").bold().grows(0.9),
            Column::words("Where it stands").grows(0.8),
            Column::words("Known from").grows(1.0),
            Column::words("What is done").grows(1.6),
            Column::words("Left to the reader").grows(1.1),
        ],
    );
    table.subject = format!(
        "International Residential Code, edition {}; the local adoption goes before it",
        materials.edition.year()
    );
    for rule in &RULES {
        table.rows.push(vec![
            rule.topic.into(),
            rule.section.into(),
            typeset(&known_from(rule)).into(),
            typeset(&done(rule, materials)).into(),
            typeset(rule.leaves).into(),
        ]);
    }
    table
}

fn known_from(rule: &Rule) -> String {
    let known = match rule.standing {
        Standing::Read(place) => format!("read: {place}"),
        Standing::Memory => "from memory: look it up".to_owned(),
        Standing::Practice => "common practice, no source".to_owned(),
    };
    if rule.editions.is_empty() || rule.editions == "all" {
        known
    } else {
        format!("{known}; editions: {}", rule.editions)
    }
}

fn done(rule: &Rule, materials: &MaterialList) -> String {
    if materials.rules_off.iter().any(|off| off == rule.name) {
        return "switched off by the job".to_owned();
    }
    let followed = materials.lines.iter().any(|l| l.rules.contains(&rule.name));
    let mark = if followed {
        ""
    } else {
        " (in no line of this job)"
    };
    format!("{}{mark}", rule.does)
}
