//! Labels on the sheets: none over another, none off the sheet, none across a line.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::geometry::{Point, Vector};
use eavewright::place::Place;
use eavewright::report::{self, LabelMark, LineMark, Paper, PdfOptions, Sheet, SheetMarks};
use eavewright::roof::map::{self, MapOptions};
use eavewright::roof::{Roof, SolveOptions};

use crate::report_roofs::{Job, ell, gable, hip};
use crate::support::{careful_plans, shared_data};

/// Boxes may touch by this much, in mm: less than any eye sees.
const SLACK: f64 = 0.02;

/// Whether two convex quadrilaterals overlap by more than the slack: no side's normal parts them.
fn overlap(a: &[Point], b: &[Point]) -> bool {
    let parted_by_side_of = |p: &[Point], q: &[Point]| {
        (0..p.len()).any(|i| {
            let side = p[(i + 1) % p.len()] - p[i];
            let Some(normal) = side.unit().map(Vector::turn_left) else {
                return false;
            };
            let reach = |r: &[Point]| {
                let along = r.iter().map(|&c| (c - p[0]).dot(normal));
                along.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                    (l.min(v), h.max(v))
                })
            };
            let ((low_p, high_p), (low_q, high_q)) = (reach(p), reach(q));
            high_p - SLACK <= low_q || high_q - SLACK <= low_p
        })
    };
    !parted_by_side_of(a, b) && !parted_by_side_of(b, a)
}

/// The outline of a line as wide as it is drawn.
fn outline(line: &LineMark) -> Vec<Point> {
    let [a, b] = line.ends;
    let along = (b - a).unit().unwrap_or(Vector::new(1.0, 0.0));
    let side = along.turn_left() * (line.width_mm / 2.0);
    vec![a - side, b - side, b + side, a + side]
}

fn is_plan_label(label: &LabelMark) -> bool {
    [
        "edge lengths",
        "face names",
        "dimensions",
        "findings",
        "match lines",
    ]
    .contains(&label.layer)
}

/// Everything wrong with the labels of a sheet.
pub(crate) fn faults(sheet: &SheetMarks) -> Vec<String> {
    let mut wrong = Vec::new();
    let (width, height) = sheet.size_mm;
    for (i, label) in sheet.labels.iter().enumerate() {
        let inside = label
            .corners
            .iter()
            .all(|c| c.x >= 4.0 && c.y >= 4.0 && c.x <= width - 4.0 && c.y <= height - 4.0);
        if !inside {
            wrong.push(format!("“{}” leaves the sheet", label.words));
        }
        if label.height_mm < 1.0 {
            wrong.push(format!("“{}” is too small to read", label.words));
        }
        for other in &sheet.labels[i + 1..] {
            if overlap(&label.corners, &other.corners) {
                wrong.push(format!("“{}” lies over “{}”", label.words, other.words));
            }
        }
    }
    let crossed = [
        "roof edges",
        "openings",
        "dimensions",
        "leaders",
        "match lines",
        "findings",
    ];
    for label in sheet.labels.iter().filter(|l| is_plan_label(l)) {
        for line in sheet.lines.iter().filter(|l| crossed.contains(&l.layer)) {
            if overlap(&label.corners, &outline(line)) {
                wrong.push(format!(
                    "“{}” lies on a line of {}",
                    label.words, line.layer
                ));
            }
        }
    }
    wrong
        .into_iter()
        .map(|fault| format!("{}: {fault}", sheet.title))
        .collect()
}

fn faults_of(job: &Job, paper: Paper) -> Vec<String> {
    let options = PdfOptions {
        paper,
        ..PdfOptions::default()
    };
    let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
    assert!(!sheets.is_empty());
    sheets.iter().flat_map(faults).collect()
}

#[test]
fn no_label_touches_another_or_a_line_on_any_paper() {
    for paper in Paper::ALL {
        for job in [
            Job::of(gable()),
            Job::of(hip()),
            Job::of(ell()),
            Job::of(ell()).in_metres(),
        ] {
            let wrong = faults_of(&job, paper);
            assert!(wrong.is_empty(), "{}:\n{}", paper.name(), wrong.join("\n"));
        }
    }
}

#[test]
fn no_label_touches_another_or_a_line_on_course_layouts_and_crew_sheets() {
    let wrong = faults_of(&Job::of(ell()).laid("39x13"), Paper::Letter);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

pub(crate) fn real_roof(svg: &[u8]) -> Option<Roof> {
    let drawing = Drawing::read(svg, &ReadOptions::default()).ok()?;
    let maps = map::build(&drawing, &MapOptions::default()).ok()?;
    let options = SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    };
    Roof::solve(&maps, &options).ok()
}

#[test]
fn no_label_touches_another_or_a_line_on_real_roofs() {
    let Some(plans) = careful_plans() else {
        return;
    };
    let mut drawn = 0;
    let mut wrong = Vec::new();
    for plan in &plans {
        let Some(roof) = real_roof(&std::fs::read(plan).expect("a plan")) else {
            continue;
        };
        drawn += 1;
        let name = plan.file_stem().expect("a name").to_string_lossy();
        let faults = faults_of(&Job::of(roof).in_metres(), Paper::Letter);
        wrong.extend(faults.into_iter().map(|fault| format!("{name}: {fault}")));
    }
    assert!(
        drawn > 50,
        "only {drawn} of {} plans were drawn",
        plans.len()
    );
    assert!(
        wrong.is_empty(),
        "{} faults:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

#[test]
fn no_label_touches_another_on_offers_costs_and_comparisons() {
    // Texts longer than anybody would write, and more of them.
    let long =
        "Something long enough to be broken into more lines than one, and then into one line more.";
    let many = |n: usize| vec![format!("\"{long}\""); n].join(", ");
    let job = format!(
        "[site]\nexisting_layers = 2\nice_barrier = true\n[labour]\nrate = 61\nhours_per_square = 1.5\n\
         [bid]\ntitle = \"{long}\"\nmarkup_percent = 15\ntax_on_price_percent = 7\nscope = [{}]\n\
         assumptions = [{}]\nexclusions = [{}]\nalternates = [{{ name = \"{long}\", amount = -125.5 }}]\n",
        many(3),
        many(12),
        many(2)
    );
    let mut wrong = Vec::new();
    for roof in [gable(), hip(), ell()] {
        let job = Job::of(roof).laid("39x13").offered(&job);
        for paper in Paper::ALL {
            let options = PdfOptions {
                paper,
                sheets: vec![Sheet::Bid, Sheet::Cost, Sheet::Formats, Sheet::Materials],
            };
            let sheets = report::marks(&job.report(), &options).unwrap();
            assert!(sheets.len() >= 4);
            wrong.extend(sheets.iter().flat_map(faults));
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn what_is_signed_stands_on_the_sheet_of_the_signatures() {
    let long =
        "\"Something long enough to be broken into more lines than one, and then into one more.\"";
    for sentences in [0, 8, 16, 24, 40] {
        let job = Job::of(hip()).laid("39x13").offered(&format!(
            "[labour]\nrate = 61\nhours_per_square = 1.5\n[bid]\nassumptions = [{}]\n",
            vec![long; sentences].join(", ")
        ));
        let price = job.offer.as_ref().unwrap().bid.price;
        let digits = |text: &str| {
            text.chars()
                .filter(char::is_ascii_digit)
                .collect::<String>()
        };
        let price = digits(&format!("{price:.2}"));
        let options = PdfOptions {
            sheets: vec![Sheet::Bid],
            ..PdfOptions::default()
        };
        let sheets = report::marks(&job.report(), &options).unwrap();
        let signed = sheets
            .iter()
            .filter(|s| s.labels.iter().any(|l| l.words.contains("Who orders")));
        let signed: Vec<_> = signed.collect();
        assert_eq!(signed.len(), 1, "{sentences}");
        let says = |words: &str| words.starts_with('$') && digits(words) == price;
        assert!(
            signed[0].labels.iter().any(|l| says(&l.words)),
            "{sentences}"
        );
    }
}

#[test]
fn an_offer_says_its_price_and_none_of_the_costs() {
    let job = Job::of(ell()).laid("39x13").offered(
        "[labour]\nrate = 61\nhours_per_square = 1.5\n[bid]\noverhead_percent = 11\nmarkup_percent = 15\n",
    );
    let words = |sheet| {
        let options = PdfOptions {
            sheets: vec![sheet],
            ..PdfOptions::default()
        };
        let sheets = report::marks(&job.report(), &options).unwrap();
        let labels = sheets.into_iter().flat_map(|s| s.labels);
        labels.map(|l| l.words).collect::<Vec<_>>()
    };
    let (offer, cost) = (words(Sheet::Bid), words(Sheet::Cost));
    let money = |amount: rust_decimal::Decimal| {
        let text = format!("{amount:.2}");
        let (whole, cents) = text.split_once('.').unwrap();
        match whole.len() {
            0..4 => format!("${text}"),
            n => format!("${},{}.{cents}", &whole[..n - 3], &whole[n - 3..]),
        }
    };
    let sheet = &job.offer.as_ref().unwrap().cost;
    assert!(offer.contains(&money(sheet.price)));
    for secret in [sheet.cost, sheet.overhead, sheet.profit] {
        assert!(cost.contains(&money(secret)), "{secret}");
        assert!(!offer.contains(&money(secret)), "{secret}");
    }
    // Signed by two, and what it rests on is said.
    assert!(offer.iter().any(|w| w.contains("Who orders")));
    assert!(offer.iter().any(|w| w.contains("invented")));
    // Printed rows add up to the printed price.
    let cents = |w: &String| {
        let digits: String = w.chars().filter(char::is_ascii_digit).collect();
        (w.starts_with('$') && w.contains('.')).then(|| digits.parse::<i64>().unwrap())
    };
    let amounts: Vec<i64> = offer.iter().filter_map(cents).collect();
    let price = *amounts.iter().max().unwrap();
    assert_eq!(amounts.iter().sum::<i64>(), 2 * price, "{amounts:?}");
}

#[test]
fn every_warning_with_a_place_has_its_diamond_however_many_share_one_place() {
    let mut roof = ell();
    for _ in 0..40 {
        let place = Place {
            at: Some(Point::new(20.0, 20.0)),
            ..Place::default()
        };
        let warning = Finding::warning("crowded", "Too many at one place.").place(place);
        roof.findings.push(warning);
    }
    let job = Job::of(roof);
    for paper in Paper::ALL {
        let options = PdfOptions {
            paper,
            sheets: vec![Sheet::RoofPlan],
        };
        let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
        // So many that they get a plan of their own, beside the one with the lengths.
        let on = |title: &str| {
            let sheet = sheets.iter().find(|sheet| sheet.title == title);
            let labels = &sheet.expect("the sheet is drawn").labels;
            labels.iter().filter(|l| l.layer == "findings").count()
        };
        assert_eq!(on("Roof plan, findings"), 40, "{}", paper.name());
        assert_eq!(on("Roof plan"), 0, "{}", paper.name());
    }
}

#[test]
fn no_label_touches_another_or_a_line_on_any_sheet_of_the_fixtures_and_the_example() {
    let root = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let mut plans: Vec<_> = std::fs::read_dir(root.join("fixtures/roofs"))
        .expect("a folder")
        .map(|entry| entry.expect("an entry").path().join("plan.svg"))
        .collect();
    plans.push(root.join("examples/quillback-road.svg"));
    plans.sort();
    let job = "[site]\nice_barrier = true\n[labour]\nrate = 61\nhours_per_square = 1.5\n[bid]\nmarkup_percent = 15\n";
    let (mut drawn, mut wrong) = (0, Vec::new());
    for plan in &plans {
        let Some(roof) = real_roof(&std::fs::read(plan).expect("a plan")) else {
            continue;
        };
        drawn += 1;
        for (job, paper) in [
            (
                Job::of(roof.clone()).laid("39x13").offered(job),
                Paper::Letter,
            ),
            (
                Job::of(roof).in_metres().laid("36x12").offered(job),
                Paper::A4,
            ),
        ] {
            let options = PdfOptions {
                paper,
                sheets: Sheet::ALL.to_vec(),
            };
            let sheets = report::marks(&job.report(), &options).expect("sheets are drawn");
            let faults = sheets.iter().flat_map(faults);
            wrong.extend(faults.map(|fault| format!("{}: {fault}", plan.display())));
        }
    }
    assert!(drawn >= 15, "only {drawn} of {} plans drawn", plans.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_crew_sheet_of_57_courses_in_up_to_8_parts_is_few_pages_and_heads_end_before_the_roof_in_their_corner()
 {
    let Some(folder) = shared_data("realroofs") else {
        return;
    };
    let plan = std::fs::read(folder.join("vienna-b446e395.svg")).expect("a plan");
    let job = Job::of(real_roof(&plan).expect("a roof")).in_metres();
    let options = PdfOptions {
        paper: Paper::A4,
        sheets: vec![Sheet::Crew],
    };
    let sheets = report::marks(&job.laid("39x13").report(), &options).expect("sheets are drawn");
    assert!(sheets.len() > 20);
    let of_n1 = sheets.iter().filter(|s| s.title == "Crew sheet, face N1");
    // Every run of every course has a row of its own, with its offcuts.
    assert!(of_n1.count() <= 4);
    for sheet in &sheets {
        let lines = sheet.lines.iter().filter(|l| l.layer == "key");
        let plan_left = lines.flat_map(|l| l.ends).map(|p| p.x).reduce(f64::min);
        let head = sheet
            .labels
            .iter()
            .filter(|l| l.words.ends_with("as you face it"));
        let head_right = head.flat_map(|l| &l.corners).map(|p| p.x).reduce(f64::max);
        let (right, left) = (head_right.expect("a head"), plan_left.expect("a roof"));
        assert!(right < left, "{}: {right} mm, {left} mm", sheet.title);
    }
}

#[test]
fn names_that_are_long_or_in_letters_that_the_typeface_lacks_stay_in_their_fields() {
    let mut job = Job::of(ell())
        .laid("39x13")
        .offered("[labour]\nrate = 61\nhours_per_square = 1.5\n[bid]\nmarkup_percent = 15\n");
    let long =
        "A rather long name of an ordinary house at the corner of two streets with long names";
    job.project.name = format!("{long}, {long}");
    job.project.client = format!("東京の屋根の家 {long}");
    job.project.address = format!("東京都千代田区千代田一丁目一番一号 {long}");
    job.project.document = long.to_owned();
    job.project.status = long.to_owned();
    job.project.contractor = long.to_owned();
    for paper in Paper::ALL {
        let options = PdfOptions {
            paper,
            sheets: Sheet::ALL.to_vec(),
        };
        let sheets = report::marks(&job.report(), &options).unwrap();
        let wrong: Vec<String> = sheets.iter().flat_map(faults).collect();
        assert!(wrong.is_empty(), "{}:\n{}", paper.name(), wrong.join("\n"));
    }
    // Nothing is lost to whoever copies it, though it stands in two lines.
    let sheets = report::marks(&job.report(), &PdfOptions::default()).unwrap();
    let labels = |sheet: &SheetMarks| {
        let words: Vec<&str> = sheet.labels.iter().map(|l| l.words.as_str()).collect();
        words.join(" ").contains(&job.project.document)
    };
    assert!(sheets.iter().all(labels));
}
