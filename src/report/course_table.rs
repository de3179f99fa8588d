//! The course layout of every face in figures, for a terminal.

use std::fmt::Write as _;

use super::crew_words::{
    DEPARTS, are_marked, corner_words, is_capped, listed_words, offcut_words, pattern_words,
    row_words, run_names, starts_words,
};
use super::typeset::wrap;
use super::{OutputUnits, number};
use crate::courses::{Courses, CrewRow, FaceLayout, Pattern};
use crate::roof::Roof;
use crate::units::{Area, Length, True};

/// The layout on a terminal of 80 columns: what every face and the roof take, then the crew's sheet of every face.
pub fn course_table(roof: &Roof, courses: &Courses, units: OutputUnits) -> String {
    let mut out = String::new();
    let format = &courses.format;
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let _ = writeln!(
        out,
        "{}: {} × {}, {} exposed, {} pieces to cover a square\n",
        format.name,
        small(format.width_in),
        small(format.height_in),
        small(format.exposure_in),
        number::decimal(format.pieces_per_square(), 2),
    );
    shingles(roof, courses, units, &mut out);
    out.push('\n');
    work(roof, courses, units, &mut out);
    let skip = small(courses.rules.ridge_skip_in);
    let _ = writeln!(
        out,
        "\nA strip lower than {skip} at the top is left to the cap, or to metal where there is\n\
         no cap. Waste is of the net area, in field shingles: starter, caps, breakage\n\
         and whole bundles are no part of it.\n"
    );
    for layout in &courses.faces {
        crew(roof, layout, units, &mut out);
    }
    out
}

fn shingles(roof: &Roof, courses: &Courses, units: OutputUnits, out: &mut String) {
    let _ = writeln!(
        out,
        "face        net {:>3}  courses   without     with  proven      waste % of each\n\
         \x20                              reuse    reuse   bound",
        units.area_sign()
    );
    let mut line =
        |name: &str, net_sqin: f64, count: usize, figures: [usize; 3], waste: [f64; 3]| {
            let net = Area::<True>::square_feet(net_sqin / 144.0);
            let _ = writeln!(
                out,
                "{name:<7}{:>12}{:>9}{:>10}{:>9}{:>8}{:>9}{:>7}{:>7}",
                units.area(net),
                number::count(count),
                number::count(figures[0]),
                number::count(figures[1]),
                number::count(figures[2]),
                number::decimal(waste[0], 1),
                number::decimal(waste[1], 1),
                number::decimal(waste[2], 1),
            );
        };
    for f in &courses.faces {
        let figures = [f.opened_without_reuse, f.opened, f.bound];
        let waste = figures.map(|n| f.waste_percent_of(n));
        line(
            &roof.face(f.face).name,
            f.net_area_sqin,
            f.courses,
            figures,
            waste,
        );
    }
    let figures = [
        courses.opened_without_reuse(),
        courses.opened(),
        courses.bound(),
    ];
    let waste = figures.map(|n| courses.waste_percent_of(n));
    let count = courses.faces.iter().map(|f| f.courses).sum();
    line("roof", courses.net_area_sqin(), count, figures, waste);
}

fn work(roof: &Roof, courses: &Courses, units: OutputUnits, out: &mut String) {
    out.push_str(
        "face     pieces    cuts offcuts   nails   least   short    left at the ridge\n\
         \x20          laid           again           joint  pieces\n",
    );
    let small = |inches: f64| units.small(Length::<True>::inches(inches));
    let least = |d: Option<f64>| d.map_or("–".to_owned(), small);
    for f in &courses.faces {
        let nails = f.nails(courses.nailing(roof, f.face).per_piece);
        let ridge = match (f.ridge_remainder_in > 0.0, f.cap_covers_remainder) {
            (false, _) => "none".to_owned(),
            (true, true) => format!(
                "{} {}",
                units.tape(f.ridge_remainder_in),
                match is_capped(roof, f.face) {
                    true => "under the cap",
                    false => "under metal",
                }
            ),
            (true, false) => format!("{} a course", units.tape(f.ridge_remainder_in)),
        };
        let _ = writeln!(
            out,
            "{:<7}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}    {ridge}",
            roof.face(f.face).name,
            number::count(f.pieces_laid),
            number::count(f.cuts),
            number::count(f.offcuts_reused),
            number::count(nails),
            least(f.smallest_joint_distance_in),
            number::count(f.short_pieces),
        );
    }
    let short = courses.faces.iter().map(|f| f.short_pieces).sum();
    let closest = courses.smallest_joint_distance_in();
    let _ = writeln!(
        out,
        "{:<7}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}",
        "roof",
        number::count(courses.pieces_laid()),
        number::count(courses.cuts()),
        number::count(courses.offcuts_reused()),
        number::count(courses.nails(roof)),
        least(closest),
        number::count(short),
    );
}

/// One pattern line, then only what departs from it.
fn crew(roof: &Roof, layout: &FaceLayout, units: OutputUnits, out: &mut String) {
    let sheet = layout.crew_sheet();
    let name = &roof.face(layout.face).name;
    let corner = corner_words(layout.start).near;
    let _ = writeln!(
        out,
        "{name}, from the {corner} corner, seen from outside with the eave down:"
    );
    let has_none = sheet.pattern == Pattern::None;
    let is_listed = |row: &&CrewRow| has_none || !row.follows || !row.offcuts_follow;
    let listed: Vec<&CrewRow> = sheet.rows.iter().filter(is_listed).collect();
    let exceptions = listed_words(listed.len(), &sheet, "for their offcuts").filter(|_| !has_none);
    let said = [
        pattern_words(layout, &sheet, units),
        starts_words(&sheet, units),
        exceptions,
        offcut_words(layout, &sheet),
    ];
    for sentence in said.into_iter().flatten() {
        wrap(&sentence, "  ", "  ", out);
    }
    let names = run_names(layout, &sheet);
    let marks = are_marked(listed.len(), &sheet);
    for row in listed {
        let mark = match (marks, row.follows) {
            (false, _) => "",
            (true, true) => " ",
            (true, false) => DEPARTS,
        };
        let name = format!("{}{mark}", names[row.run]);
        let head = format!("  course {name:>4}: ");
        let words = row_words(layout, &sheet, row, &names, units);
        wrap(&words, &head, "               ", out);
    }
}
