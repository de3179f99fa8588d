//! Roofs too long for a sheet: divided over several of them, which meet in match lines.

use eavewright::Finding;
use eavewright::geometry::Point;
use eavewright::place::Place;
use eavewright::report::{self, Paper, PdfOptions, Sheet, SheetMarks};
use eavewright::roof::Roof;

use crate::report_marks::faults;
use crate::report_roofs::{Job, face, gable, roof};

/// 300 × 40 ft at 6 in 12, ridge along the length.
fn terrace() -> Roof {
    roof(&[
        face(
            "S1",
            &[
                (0., 0., 0.),
                (300., 0., 0.),
                (300., 20., 10.),
                (0., 20., 10.),
            ],
        ),
        face(
            "N1",
            &[
                (300., 40., 0.),
                (0., 40., 0.),
                (0., 20., 10.),
                (300., 20., 10.),
            ],
        ),
    ])
}

/// Four wings 40 ft deep round a court, 400 × 300 ft over all, hips at the corners.
fn court() -> Roof {
    let (w, h, d) = (400., 300., 20.);
    // Corners of the eaves, of the ridge, of the eaves to the court.
    let ring = |off: f64, z: f64| {
        [
            (off, off, z),
            (w - off, off, z),
            (w - off, h - off, z),
            (off, h - off, z),
        ]
    };
    let (outer, ridge, inner) = (ring(0., 0.), ring(d, 10.), ring(2. * d, 0.));
    let names = [["S1", "E1", "N1", "W1"], ["N2", "W2", "S2", "E2"]];
    let mut faces = Vec::new();
    for i in 0..4 {
        let k = (i + 1) % 4;
        faces.push(face(names[0][i], &[outer[i], outer[k], ridge[k], ridge[i]]));
        faces.push(face(names[1][i], &[inner[k], inner[i], ridge[i], ridge[k]]));
    }
    roof(&faces)
}

fn plan_sheets(job: &Job, paper: Paper) -> Vec<SheetMarks> {
    let options = PdfOptions {
        paper,
        sheets: vec![Sheet::RoofPlan],
    };
    report::marks(&job.report(), &options).expect("sheets are drawn")
}

fn is_section(sheet: &SheetMarks) -> bool {
    sheet.title.starts_with("Roof plan, section")
}

/// The ratio of the scale in the title block.
fn ratio(sheet: &SheetMarks) -> f64 {
    let scale = sheet.labels.iter().find_map(|l| l.words.split_once("1:"));
    let (_, ratio) = scale.expect("a scale");
    ratio.trim_end_matches(')').parse().expect("a ratio")
}

/// The numbers of the sheets that the match lines of a sheet lead to.
fn leads_to(sheet: &SheetMarks) -> Vec<usize> {
    let words = sheet.labels.iter().map(|l| l.words.as_str());
    words
        .filter_map(|w| w.strip_prefix("Match line – see sheet "))
        .map(|n| n.parse().expect("a number"))
        .collect()
}

#[test]
fn a_roof_that_fits_a_sheet_has_no_match_line() {
    for paper in Paper::ALL {
        assert!(!plan_sheets(&Job::of(gable()), paper).iter().any(is_section));
    }
}

#[test]
fn every_match_line_is_answered_on_the_sheet_that_it_names() {
    for job in [
        Job::of(terrace()),
        Job::of(court()),
        Job::of(court()).in_metres(),
    ] {
        let sheets = plan_sheets(&job, Paper::Letter);
        let sections = sheets.iter().filter(|s| is_section(s)).count();
        assert!(sections >= 3, "{sections} sections");
        for (i, sheet) in sheets.iter().enumerate() {
            assert_eq!(is_section(sheet), !leads_to(sheet).is_empty());
            for other in leads_to(sheet) {
                let back = leads_to(&sheets[other - 1]);
                assert!(back.contains(&(i + 1)), "sheet {} to {other}", i + 1);
            }
        }
    }
}

#[test]
fn the_sections_of_a_terrace_show_every_foot_of_its_eaves_once_at_a_scale_that_can_be_read() {
    const EAVE: f64 = 0.7;
    for (job, smallest, eaves) in [
        (Job::of(terrace()), 192.0, 600.0),
        (Job::of(court()), 192.0, 1400.0 + 1080.0),
        (Job::of(terrace()).in_metres(), 250.0, 600.0),
    ] {
        let sheets = plan_sheets(&job, Paper::Letter);
        let mut shown = 0.0;
        for sheet in sheets.iter().filter(|s| is_section(s)) {
            assert!(ratio(sheet) <= smallest, "1:{}", ratio(sheet));
            let eaves = sheet
                .lines
                .iter()
                .filter(|l| l.layer == "roof edges" && (l.width_mm - EAVE).abs() < 1e-9);
            let mm: f64 = eaves.map(|l| l.ends[0].distance(l.ends[1])).sum();
            shown += mm * ratio(sheet) / 304.8;
        }
        assert!((shown - eaves).abs() < 0.01, "{shown} of {eaves} ft");
    }
}

#[test]
fn every_face_of_a_divided_roof_is_named_on_a_section_or_in_a_detail() {
    for job in [Job::of(terrace()), Job::of(court())] {
        let sheets = plan_sheets(&job, Paper::Letter);
        for face in &job.roof.faces {
            let named = sheets
                .iter()
                .filter(|s| s.title != "Roof plan, overall")
                .flat_map(|s| &s.labels)
                .any(|l| l.layer == "face names" && l.words.starts_with(&face.name));
            assert!(named, "{} is nowhere", face.name);
        }
    }
}

#[test]
fn no_label_of_a_divided_roof_touches_another_or_a_line_on_any_paper() {
    for paper in Paper::ALL {
        for job in [Job::of(terrace()), Job::of(court()).in_metres()] {
            let wrong: Vec<String> = plan_sheets(&job, paper).iter().flat_map(faults).collect();
            assert!(wrong.is_empty(), "{}:\n{}", paper.name(), wrong.join("\n"));
        }
    }
}

#[test]
fn a_face_of_300_ft_is_laid_out_in_parts_whose_courses_can_be_read() {
    let job = Job::of(terrace()).laid("39x13");
    let options = PdfOptions {
        paper: Paper::Letter,
        sheets: vec![Sheet::CourseLayout],
    };
    let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
    assert!(sheets.len() >= 6, "{} sheets", sheets.len());
    let exposure_in = job.courses.as_ref().expect("courses").format.exposure_in;
    for (i, sheet) in sheets.iter().enumerate() {
        assert!(
            exposure_in * 25.4 / ratio(sheet) > 1.95,
            "1:{}",
            ratio(sheet)
        );
        for other in leads_to(sheet) {
            assert!(leads_to(&sheets[other - 1]).contains(&(i + 1)));
        }
        let wrong = faults(sheet);
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }
    // Both faces begin and end without a match line.
    let ends = sheets.iter().filter(|s| leads_to(s).len() == 1).count();
    assert_eq!(ends, 4);
}

#[test]
fn course_layouts_stay_on_the_larger_paper_that_somebody_chose() {
    let job = Job::of(terrace()).laid("39x13");
    for (paper, short, long) in [
        (Paper::Tabloid, 279.4, 431.8),
        (Paper::ArchB, 304.8, 457.2),
        (Paper::ArchC, 457.2, 609.6),
        (Paper::A3, 297.0, 420.0),
    ] {
        let options = PdfOptions {
            paper,
            sheets: vec![Sheet::CourseLayout],
        };
        let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
        for sheet in &sheets {
            assert_eq!(sheet.size_mm, (long, short), "{}", paper.name());
        }
    }
}

#[test]
fn a_finding_at_several_places_has_its_mark_at_each_on_the_sections() {
    let mut roof = terrace();
    let mut warning = Finding::warning("wide", "Two of a kind.");
    for x in [20.0, 280.0] {
        warning = warning.place(Place {
            at: Some(Point::new(x, 10.0)),
            ..Place::default()
        });
    }
    roof.findings.push(warning);
    let job = Job::of(roof);
    let sheets = plan_sheets(&job, Paper::Letter);
    let marks = sheets
        .iter()
        .filter(|sheet| is_section(sheet))
        .map(|sheet| {
            let marks = sheet.labels.iter().filter(|l| l.layer == "findings");
            marks.count()
        });
    let marks: Vec<usize> = marks.collect();
    assert!(marks.len() > 2, "{marks:?}");
    assert!(
        marks[1..marks.len() - 1].iter().all(|m| *m == 0),
        "{marks:?}"
    );
    assert!(marks[0] > 0 && marks[marks.len() - 1] > 0, "{marks:?}");
}
