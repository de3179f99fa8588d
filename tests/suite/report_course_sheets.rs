//! What course layouts and crew sheets say of faces that are cut up, long, or begun at their right corner.

use eavewright::courses::{
    self, Choices, CourseFace, Courses, EdgeKind, FaceRing, LayRules, Reuse, StartCorner, formats,
    lay_face,
};
use eavewright::geometry::{Point, ring};
use eavewright::report::{self, OutputUnits, Paper, PdfOptions, Sheet, SheetMarks};
use eavewright::roof::{EdgeClass, FaceId};
use eavewright::units::{Area, Length};

use crate::report_marks::{faults, real_roof};
use crate::report_roofs::{Job, face, gable, roof};

fn sheets(job: &Job, sheet: Sheet) -> Vec<SheetMarks> {
    let options = PdfOptions {
        sheets: vec![sheet],
        paper: Paper::Letter,
    };
    report::marks(&job.report(), &options).expect("sheets are drawn")
}

fn words(page: &SheetMarks) -> Vec<&str> {
    page.labels.iter().map(|l| l.words.as_str()).collect()
}

#[test]
fn a_ridge_drawn_in_pieces_has_one_length_on_the_course_layout() {
    // 40 × 24 ft; the ridge and one eave are two lines each.
    let gable = roof(&[
        face(
            "S1",
            &[
                (0., 0., 0.),
                (10., 0., 0.),
                (40., 0., 0.),
                (40., 12., 6.),
                (20., 12., 6.),
                (0., 12., 6.),
            ],
        ),
        face(
            "N1",
            &[
                (40., 24., 0.),
                (0., 24., 0.),
                (0., 12., 6.),
                (20., 12., 6.),
                (40., 12., 6.),
            ],
        ),
    ]);
    let job = Job::of(gable).laid("39x13");
    for page in sheets(&job, Sheet::CourseLayout) {
        let words = words(&page);
        assert_eq!(words.iter().filter(|w| **w == "ridge 40′-0″").count(), 1);
        assert_eq!(words.iter().filter(|w| **w == "eave 40′-0″").count(), 1);
        assert!(!words.contains(&"ridge 20′-0″") && !words.contains(&"eave 30′-0″"));
    }
}

#[test]
fn courses_that_would_run_into_each_other_on_paper_are_drawn_every_fifth_and_that_is_said() {
    // 150 ft of slope take a scale of 1:200 and more on a sheet of 11 × 17 in: a course of 5⅝ in is 0.7 mm high there.
    let job = |long: f64, deep: f64| {
        let high = deep / 2.0;
        let shed = roof(&[face(
            "S1",
            &[
                (0., 0., 0.),
                (long, 0., 0.),
                (long, deep, high),
                (0., deep, high),
            ],
        )]);
        Job::of(shed).laid("39x13")
    };
    let of = |job: &Job| -> (bool, usize, usize) {
        let page = &sheets(job, Sheet::CourseLayout)[0];
        let said = words(page)
            .iter()
            .any(|w| w.contains("Every fifth course alone"));
        let lines = page.lines.iter().filter(|l| l.layer == "courses");
        (
            said,
            lines.count(),
            job.courses.as_ref().expect("courses").faces[0].courses,
        )
    };
    let (said, lines, courses) = of(&job(40.0, 134.0));
    assert!(
        said && lines <= courses.div_ceil(5),
        "{said} {lines} {courses}"
    );
    let (said, lines, courses) = of(&job(20.0, 12.0));
    assert!(!said && lines > courses, "{said} {lines} {courses}");
}

#[test]
fn a_second_ridge_on_a_face_has_a_chalk_line_of_its_own() {
    // 6 in 12 over 6 ft of run: 6.7082 ft of slope, and half an inch past the eave: 80.998 in. 14 courses of 5⅝ in are
    // 78.75 in, which leaves 2¼ in of course 15.
    let stepped = |y: f64| {
        roof(&[
            face(
                "S1",
                &[
                    (0., 0., 0.),
                    (40., 0., 0.),
                    (40., y, y / 2.),
                    (20., y, y / 2.),
                    (20., 12., 6.),
                    (0., 12., 6.),
                ],
            ),
            face(
                "N1",
                &[(20., 24., 0.), (0., 24., 0.), (0., 12., 6.), (20., 12., 6.)],
            ),
            face(
                "N2",
                &[
                    (40., 12., 0.),
                    (20., 12., 0.),
                    (20., y, y / 2.),
                    (40., y, y / 2.),
                ],
            ),
        ])
    };
    let job = Job::of(stepped(6.0)).laid("39x13");
    let pages = sheets(&job, Sheet::Crew);
    let of = |name: &str| -> String {
        let title = format!("Crew sheet, face {name}");
        let pages = pages.iter().filter(|page| page.title == title);
        pages.flat_map(words).collect::<Vec<_>>().join(" ")
    };
    let said = of("S1");
    assert!(
        said.contains(
            "Lower ridge 6′-9″ up from the butts of course 1: course 15 shows 2¼″ below it."
        ),
        "{said}"
    );
    assert!(!of("N1").contains("Lower ridge"));
    // Three quarters of an inch are laid there too: only at the top of the face a strip is left to the cap.
    let low = (14.0 * 5.625 + 0.75 - 0.5) / 12.0 / 1.25_f64.sqrt();
    let pages = sheets(&Job::of(stepped(low)).laid("39x13"), Sheet::Crew);
    let said: Vec<&str> = pages.iter().flat_map(words).collect();
    assert!(
        said.join(" ").contains("course 15 shows ¾″ below it."),
        "{said:?}"
    );
}

#[test]
fn a_face_begun_at_its_right_corner_starts_at_what_rises_there() {
    // The first course of S1 is parted by a valley; at the right it begins at a rake, at the left at a hip.
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/quillback-road.svg");
    let roof = real_roof(&std::fs::read(plan).expect("the example")).expect("a roof");
    let face = roof.faces.iter().position(|f| f.name == "S1").expect("S1");
    for (corner, edge) in [(StartCorner::Left, "hip"), (StartCorner::Right, "rake")] {
        let mut job = Job::of(roof.clone());
        let mut choices = Choices::default();
        choices.start.insert(FaceId(face), corner);
        let format = formats::by_name("39x13", &[]).expect("a format");
        let laid = Courses::lay(&job.roof, &format, &LayRules::default(), &choices);
        job.courses = Some(laid.expect("courses"));
        let pages = sheets(&job, Sheet::Crew);
        let first = pages.iter().find(|p| p.title == "Crew sheet, face S1");
        let said = words(first.expect("a sheet")).join(" ");
        assert!(said.contains(&format!("start at {edge}")), "{said}");
    }
}

#[test]
fn no_piece_lies_beyond_a_side_that_is_carried_on_below_its_foot() {
    // A triangle on its corner: at the butt, half an inch below it, the right side carried on lies an inch to the left of
    // the left one. What shows of the only piece of course 1 is the triangle over it: 5⅛ in high, 10¼ in wide at its top.
    let points = [(0.0, 0.0), (120.0, 60.0), (0.0, 60.0)];
    let points = points.map(|(x, y)| Point::new(x, y)).to_vec();
    let kinds = vec![EdgeKind::Hip, EdgeKind::Ridge, EdgeKind::Wall];
    let face = CourseFace::new(FaceId(0), FaceRing::new(points, kinds), Vec::new());
    let format = formats::by_name("39x13", &[]).expect("a format");
    let laid = lay_face(&face.expect("a face"), &format, &LayRules::default()).expect("laid");
    assert!(laid.runs[0].butt_in.1 < laid.runs[0].butt_in.0);
    let pieces = laid.pieces();
    let first: Vec<_> = pieces.iter().filter(|p| p.course == 0).collect();
    assert_eq!(first.len(), 1);
    let area = ring::signed_area(&first[0].polygon);
    assert!((area - 5.125 * 10.25 / 2.0).abs() < 1e-6, "{area}");
    for piece in &pieces {
        assert!(ring::signed_area(&piece.polygon) > 0.0, "{piece:?}");
        assert!(piece.polygon.iter().all(|p| p.x > -1e-9), "{piece:?}");
    }
}

#[test]
fn lengths_and_areas_are_the_roofs_own_on_every_sheet() {
    // A hair of difference, as planes that part a little have it, writ large.
    let mut job = Job::of(gable()).laid("39x13");
    let ridge = (job.roof.edges.iter_mut())
        .find(|edge| edge.class == EdgeClass::Ridge)
        .expect("a ridge");
    ridge.true_length = Length::feet(40.25);
    let south = (job.roof.faces.iter_mut())
        .find(|face| face.name == "S1")
        .expect("a south face");
    let area = south.true_area.to_square_feet();
    south.true_area = Area::square_feet(area + 10.0);
    for page in sheets(&job, Sheet::CourseLayout) {
        let words = words(&page);
        assert!(words.contains(&"ridge 40′-3″"), "{words:?}");
    }
    let pages = sheets(&job, Sheet::Schedules);
    let words: Vec<&str> = pages.iter().flat_map(words).collect();
    // S1, N1 and the roof: 10.73 squares and 10 ft².
    let printed = [area + 10.0, area].map(|area| format!("{area:.2}"));
    for figure in &printed {
        assert!(words.contains(&figure.as_str()), "{figure}: {words:?}");
    }
    let whole = format!("1,{:06.2}", 2.0 * area + 10.0 - 1000.0);
    assert!(words.contains(&whole.as_str()), "{whole}: {words:?}");
}

#[test]
fn the_chart_of_nails_has_the_figures_of_the_table_below_it_and_steep_faces_are_told() {
    let priced = "[labour]\nrate = 61\nhours_per_square = 1.5\n";
    let steep = roof(&[
        face(
            "S1",
            &[(0., 0., 0.), (40., 0., 0.), (40., 12., 24.), (0., 12., 24.)],
        ),
        face(
            "N1",
            &[
                (40., 24., 0.),
                (0., 24., 0.),
                (0., 12., 24.),
                (40., 12., 24.),
            ],
        ),
    ]);
    for (roof, is_steep) in [(steep, true), (gable(), false)] {
        let job = Job::of(roof).laid("39x13").offered(priced);
        let comparison = job.comparison.as_ref().expect("a comparison");
        assert!(!comparison.nails_differ);
        let pages = sheets(&job, Sheet::Formats);
        let words: Vec<&str> = pages.iter().flat_map(words).collect();
        assert!(words.contains(&"Nails"), "{words:?}");
        for compared in &comparison.formats {
            let nails = format!("{},{:03}", compared.nails / 1000, compared.nails % 1000);
            let said = words.iter().filter(|word| **word == nails).count();
            assert!(said >= 2, "{nails}: {words:?}");
        }
        let told = words
            .join(" ")
            .contains("counts more of them on faces over 21/12");
        assert_eq!(told, is_steep, "{words:?}");
    }
}

#[test]
fn shingles_stand_beside_each_other_with_their_captions_apart_on_one_sheet() {
    let mut job = Job::of(gable());
    let known = formats::shipped();
    let (rules, choices) = (LayRules::default(), Choices::default());
    let compared = courses::compare(&job.roof, &known, &rules, &choices, None);
    job.comparison = Some(compared.expect("a comparison"));
    for units in [OutputUnits::Feet, OutputUnits::Metres] {
        job.units = units;
        for paper in Paper::ALL {
            let options = PdfOptions {
                sheets: vec![Sheet::Formats],
                paper,
            };
            let pages = report::marks(&job.report(), &options).expect("sheets are drawn");
            let wrong: Vec<String> = pages.iter().flat_map(faults).collect();
            assert!(wrong.is_empty(), "{}: {wrong:#?}", paper.name());
            assert_eq!(pages.len(), 1, "{}, {units:?}", paper.name());
            let said = words(&pages[0]);
            let bundles = said.iter().filter(|word| word.ends_with(" a bundle"));
            assert_eq!(bundles.count(), known.len(), "{said:?}");
        }
    }
}

#[test]
fn more_shingles_than_one_row_holds_stand_in_several() {
    let mut job = Job::of(gable());
    let (rules, choices) = (LayRules::default(), Choices::default());
    let compared = courses::compare(&job.roof, &formats::shipped(), &rules, &choices, None);
    let mut compared = compared.expect("a comparison");
    let again = compared.formats.clone();
    compared.formats.extend(again);
    job.comparison = Some(compared);
    let pages = sheets(&job, Sheet::Formats);
    let wrong: Vec<String> = pages.iter().flat_map(faults).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
    let said: Vec<&str> = pages.iter().flat_map(words).collect();
    let bundles = said.iter().filter(|word| word.ends_with(" a bundle"));
    assert_eq!(bundles.count(), 16, "{said:?}");
}

#[test]
fn parts_of_one_shingle_add_up_to_the_offcuts_laid_again_however_they_are_cut() {
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/quillback-road.svg");
    let plan = std::fs::read(plan).expect("the example");
    for reuse in [Reuse::TwoPiece, Reuse::SquareCut] {
        let rules = LayRules {
            reuse,
            ..LayRules::default()
        };
        let job = Job::of(real_roof(&plan).expect("a roof")).laid_by("36x12", &rules);
        let mut again = 0;
        let laid = &job.courses.as_ref().expect("courses").faces;
        for (page, layout) in sheets(&job, Sheet::CourseLayout).iter().zip(laid) {
            let said = words(page);
            let head = said.iter().position(|word| *word == "Parts of one shingle");
            let rows = &said[head.expect("the table") + 1..];
            let figure = |label: &str| -> usize {
                let at = rows.iter().position(|word| *word == label);
                rows[at.expect(label) + 1].parse().expect(label)
            };
            let first = match layout.cut_again.len() {
                0 => "Pairs",
                _ => "Offcuts laid again",
            };
            assert_eq!(rows[0], first);
            assert_eq!(figure(first), layout.offcuts_reused);
            let apart = [
                "in the same course",
                "1 to 3 courses apart",
                "further apart",
            ];
            let sum: usize = apart.into_iter().map(figure).sum();
            assert_eq!(sum, layout.offcuts_reused);
            again += layout.cut_again.len();
        }
        assert_eq!(again > 0, reuse == Reuse::SquareCut);
    }
}
