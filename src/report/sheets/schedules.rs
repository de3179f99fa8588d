//! Schedules: edges, checks, materials, shingles.

use std::collections::BTreeMap;

use super::flow::{Flow, on_fewest_sheets};
use super::table::{Cell, Column, Table, TableStyle};
use super::{Bound, Draft, roof_plan, text_height};
use crate::report::canvas::{Canvas, Fonts};
use crate::report::pdf::Paper;
use crate::report::plan::{Chain, chain};
use crate::report::{OutputUnits, Report, number};
use crate::roof::EdgeClass;

/// Draws the schedules, on as many sheets as they need.
pub(super) fn draw<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    (paper, of_plan): (Paper, Paper),
    bound: Bound<'_>,
) -> Vec<Draft<'f>> {
    let size = paper.landscape();
    let chains = chain::whole(report.roof());
    let faces_here = !roof_plan::holds_schedule(report, fonts, of_plan, bound);
    let blank = Canvas::new(fonts);
    let set = |blank: Canvas<'f>, style: TableStyle, longest_last: bool| {
        let mut flow = Flow::new(blank, size, "Schedules", style, &[1.0, 1.2]);
        if faces_here {
            flow.table(&roof_plan::faces(report));
        }
        flow.table(&edges_by_class(report, &chains));
        if !longest_last {
            flow.table(&sloping_edges(report, &chains));
        }
        flow.table(&openings(report));
        flow.table(&checks(report));
        // Beside the roof's own tables where they leave a column; after them where they fill both.
        if !longest_last && flow.is_in_first_column() {
            flow.next_column();
        }
        flow.table(&shingles(report));
        if longest_last {
            flow.table(&sloping_edges(report, &chains));
        }
        flow.finish()
    };
    let text = text_height(size);
    let usual = on_fewest_sheets(&blank, text, |blank, style| set(blank, style, false));
    if usual.len() > 1 {
        // A long table in the middle leaves a column half empty before it.
        let other = |blank: &Canvas<'f>| {
            on_fewest_sheets(blank, text, |blank, style| set(blank, style, true))
        };
        if other(&Canvas::trial(fonts)).len() < usual.len() {
            return other(&blank);
        }
    }
    usual
}

fn edges_by_class(report: &Report<'_>, chains: &[Chain]) -> Table {
    let units = report.units();
    let mut columns = vec![
        Column::words(""),
        Column::words("Class"),
        Column::figures("Number"),
    ];
    match units {
        OutputUnits::Feet => columns.extend([
            Column::figures("Plan ft"),
            Column::figures("True ft"),
            Column::figures("True"),
        ]),
        OutputUnits::Metres => {
            columns.extend([Column::figures("Plan m"), Column::figures("True m")]);
        }
    }
    let mut table = Table::new("Edges by class", columns);
    for class in EdgeClass::ALL {
        let of_class: Vec<&Chain> = chains.iter().filter(|c| c.class == class).collect();
        if of_class.is_empty() {
            continue;
        }
        let plan = of_class.iter().map(|c| c.plan_ft).sum();
        let on_slope = of_class.iter().map(|c| c.true_ft).sum();
        let mut row = vec![
            Cell::Line(class),
            class.words().into(),
            number::count(of_class.len()).into(),
            units.schedule_length(plan).into(),
            units.schedule_length(on_slope).into(),
        ];
        if units == OutputUnits::Feet {
            row.push(units.length(on_slope).into());
        }
        table.rows.push(row);
    }
    table
}

/// Sloping edges, those that print alike in one row.
fn sloping_edges(report: &Report<'_>, chains: &[Chain]) -> Table {
    let units = report.units();
    let length = |feet: f64| match units {
        OutputUnits::Feet => units.length(feet),
        OutputUnits::Metres => units.schedule_length(feet),
    };
    let heads = match units {
        OutputUnits::Feet => ["Plan", "Rise", "True each"],
        OutputUnits::Metres => ["Plan m", "Rise m", "True m each"],
    };
    // By class and what is printed: the longest of them, and the faces of each.
    let mut alike: BTreeMap<(EdgeClass, [String; 3]), (f64, Vec<String>)> = BTreeMap::new();
    for chain in chains.iter().filter(|c| is_sloping(c)) {
        let printed = [
            length(chain.plan_ft),
            length(chain.rise_ft()),
            length(chain.true_ft),
        ];
        let names: Vec<&str> = chain
            .faces
            .iter()
            .map(|&id| report.roof().face(id).name.as_str())
            .collect();
        let (longest, faces) = alike.entry((chain.class, printed)).or_default();
        *longest = longest.max(chain.true_ft);
        faces.push(names.join("–"));
    }
    // The longest first within a class; what is as long stays in the order of its words.
    let mut groups: Vec<_> = alike.into_iter().collect();
    groups.sort_by(|((a, _), (long_a, _)), ((b, _), (long_b, _))| {
        a.cmp(b).then(long_b.total_cmp(long_a))
    });
    let mut table = Table::new(
        "Sloping edges, one by one",
        vec![
            Column::words("Class"),
            Column::words("Faces").grows(1.0),
            Column::figures("").bold(),
            Column::figures(heads[0]),
            Column::figures(heads[1]),
            Column::figures(heads[2]),
        ],
    );
    for ((class, [plan, rise, on_slope]), (_, names)) in groups {
        table.rows.push(vec![
            class.words().into(),
            names.join("; ").into(),
            format!("{} ×", names.len()).into(),
            plan.into(),
            rise.into(),
            on_slope.into(),
        ]);
    }
    table.notes = vec![
        "Lengths are from the planes, not from factors: true² = plan² + rise². Totals add the unrounded lengths."
            .to_owned(),
    ];
    table
}

fn is_sloping(chain: &Chain) -> bool {
    matches!(
        chain.class,
        EdgeClass::Rake | EdgeClass::Hip | EdgeClass::Valley | EdgeClass::Sidewall
    ) || chain.rise_ft() > crate::roof::LEVEL_RISE_FT
}

/// Openings, those that print alike in one row.
fn openings(report: &Report<'_>) -> Table {
    let units = report.units();
    let mut table = Table::new(
        "Openings",
        vec![
            Column::words("Opening"),
            Column::words("Faces").grows(1.0),
            Column::figures("").bold(),
            Column::figures("Width"),
            Column::figures("Below"),
            Column::figures("Both sides"),
            Column::figures("Above"),
        ],
    );
    table.subject = "true lengths to be flashed, of each".to_owned();
    // What is printed of each, and how many print so; the order is the roof's.
    let mut alike: Vec<([String; 6], usize)> = Vec::new();
    for opening in &report.roof().openings {
        let names: Vec<&str> = opening
            .faces
            .iter()
            .map(|&id| report.roof().face(id).name.as_str())
            .collect();
        let printed = [
            opening.kind.clone(),
            names.join(", "),
            units.length(opening.width.to_feet()),
            units.length(opening.apron.to_feet()),
            units.length(opening.sides.to_feet()),
            units.length(opening.head.to_feet()),
        ];
        match alike.iter_mut().find(|(other, _)| *other == printed) {
            Some((_, count)) => *count += 1,
            None => alike.push((printed, 1)),
        }
    }
    for ([kind, faces, width, below, beside, above], count) in alike {
        table.rows.push(vec![
            kind.into(),
            faces.into(),
            format!("{count} ×").into(),
            width.into(),
            below.into(),
            beside.into(),
            above.into(),
        ]);
    }
    table
}

fn checks(report: &Report<'_>) -> Table {
    let units = report.units();
    let mut table = Table::new(
        "Checks",
        vec![
            Column::words("What was checked").grows(1.0),
            Column::figures("Largest"),
            Column::figures("Allowed"),
            Column::words("Holds"),
        ],
    );
    for check in &report.roof().checks {
        let show = |value: f64| units.of_check(value, check.unit);
        table.rows.push(vec![
            check.what.as_str().into(),
            show(check.residual).into(),
            show(check.limit).into(),
            if check.holds() { "yes" } else { "no" }.into(),
        ]);
    }
    table
}

fn shingles(report: &Report<'_>) -> Table {
    let units = report.units();
    let mut table = Table::new(
        "Shingles by face",
        vec![
            Column::words("Face").bold(),
            Column::figures(match units {
                OutputUnits::Feet => "True ft²",
                OutputUnits::Metres => "True m²",
            }),
            Column::figures("Courses"),
            Column::figures("Laid"),
            Column::figures("Opened"),
            Column::figures("Lower bound"),
            Column::figures("Cuts"),
            Column::figures("Waste %"),
        ],
    );
    let Some(courses) = report.inputs().courses else {
        return table;
    };
    let format = &courses.format;
    table.subject = format!(
        "{} × {}, {} exposed",
        units.small(crate::units::Length::<crate::units::True>::inches(
            format.width_in
        )),
        units.small(crate::units::Length::<crate::units::True>::inches(
            format.height_in
        )),
        units.small(crate::units::Length::<crate::units::True>::inches(
            format.exposure_in
        )),
    );
    let exposed = format.exposed_area_sqin();
    for layout in &courses.faces {
        let waste = if layout.net_area_sqin > 0.0 {
            100.0 * (layout.opened as f64 * exposed / layout.net_area_sqin - 1.0)
        } else {
            0.0
        };
        table.rows.push(vec![
            report.roof().face(layout.face).name.as_str().into(),
            units.area(report.roof().face(layout.face).true_area).into(),
            number::count(layout.courses).into(),
            number::count(layout.pieces_laid).into(),
            number::count(layout.opened).into(),
            number::count(layout.bound).into(),
            number::count(layout.cuts).into(),
            number::decimal(waste, 1).into(),
        ]);
    }
    table.total = Some(vec![
        "Roof".into(),
        units.area(report.laid_area(courses)).into(),
        "".into(),
        number::count(courses.pieces_laid()).into(),
        number::count(courses.opened()).into(),
        number::count(courses.bound()).into(),
        number::count(courses.cuts()).into(),
        number::decimal(courses.waste_percent(), 1).into(),
    ]);
    table.notes = vec![
        "Waste is counted from the laid-out courses: shingles opened × width × exposure, over the true area.".to_owned(),
    ];
    table
}
