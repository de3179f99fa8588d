//! Sheets that are bound without others, tables longer than their column, and figures that stand on more sheets than one.

use eavewright::Finding;
use eavewright::courses::{LayRules, Reuse};
use eavewright::geometry::Point;
use eavewright::place::Place;
use eavewright::report::{self, LineMark, Paper, PdfOptions, Sheet, SheetMarks};

use crate::report_marks::{faults, real_roof};
use crate::report_roofs::{Job, ell, face, gable, roof};

const PRICED: &str = "[labour]\nrate = 61\nhours_per_square = 1.5\n[bid]\nmarkup_percent = 15\n";

fn bound(job: &Job, sheets: &[Sheet], paper: Paper) -> Vec<SheetMarks> {
    let options = PdfOptions {
        sheets: sheets.to_vec(),
        paper,
    };
    report::marks(&job.report(), &options).expect("sheets are drawn")
}

fn words(pages: &[SheetMarks]) -> Vec<&str> {
    let labels = pages.iter().flat_map(|page| &page.labels);
    labels.map(|l| l.words.as_str()).collect()
}

/// A gable whose ridge, eaves and north face have findings.
fn doubtful() -> Job {
    let mut roof = gable();
    for (x, y) in [(20.0, 12.0), (20.0, 0.0), (21.0, 12.0), (10.0, 18.0)] {
        let place = Place {
            at: Some(Point::new(x, y)),
            ..Place::default()
        };
        let message = format!("Something at {x} by {y} is in doubt.");
        roof.findings
            .push(Finding::warning("doubt", message).place(place));
    }
    roof.findings.push(Finding::note("aside", "Nobody minds."));
    Job::of(roof)
}

#[test]
fn many_costs_with_long_names_of_suppliers_stand_clear_of_each_other_and_break_no_word() {
    let names = [
        "Lightning rod",
        "Scaffolding, nets and hoist",
        "Reinstatement of landscaping",
    ];
    for supplier in [
        None,
        Some("County Building Supply"),
        Some("Northern Counties Roofing and Building Supply"),
    ] {
        for (currency, more) in [("$", 6), ("US$", 13), ("EUR", 24), ("kr", 60)] {
            let mut job = Job::of(ell()).laid("39x13").offered(PRICED);
            let offer = job.offer.as_mut().expect("an offer");
            currency.clone_into(&mut offer.bid.currency);
            for line in &mut offer.cost.materials {
                line.supplier = supplier.map(str::to_owned);
            }
            let one = offer.cost.labour[0].clone();
            offer.cost.allowances.extend((0..more).map(|i| {
                let mut line = one.clone();
                names[i % names.len()].clone_into(&mut line.what);
                line
            }));
            let cost = &offer.cost;
            let all = cost.lines().map(|l| l.what.clone()).collect::<Vec<_>>();
            for paper in Paper::ALL {
                let pages = bound(&job, &[Sheet::Cost], paper);
                let wrong: Vec<String> = pages.iter().flat_map(faults).collect();
                assert!(wrong.is_empty(), "{currency} {more}: {wrong:#?}");
                let said = words(&pages);
                let whole: Vec<&str> = said.iter().flat_map(|w| w.split(' ')).collect();
                let named = all.iter().map(String::as_str).chain(supplier);
                for word in named.flat_map(|name| name.split(' ')) {
                    // Marks of inches are set otherwise than they are written.
                    let is_plain = word.chars().all(char::is_alphabetic);
                    assert!(!is_plain || whole.contains(&word), "{word} in {said:?}");
                }
                let rods = whole.iter().filter(|w| **w == "Lightning").count();
                assert_eq!(rods, more.div_ceil(names.len()), "{currency} {more}");
            }
        }
    }
}

#[test]
fn a_plan_bound_without_the_method_has_the_words_of_its_diamonds_with_it() {
    let job = doubtful();
    let alone = bound(&job, &[Sheet::RoofPlan], Paper::Letter);
    assert_eq!(alone.len(), 2, "the plan and its findings");
    let said = words(&alone).join(" ");
    assert!(said.contains("see the sheet of findings"), "{said}");
    assert!(!said.contains("method"), "{said}");
    for x in ["20 by 12", "20 by 0", "21 by 12", "10 by 18"] {
        assert!(said.contains(x), "{x}: {said}");
    }
    // What has no diamond is left to the method.
    assert!(!said.contains("Nobody minds"), "{said}");
    let with = bound(&job, &[Sheet::RoofPlan, Sheet::Method], Paper::Letter);
    let said = words(&with).join(" ");
    assert!(said.contains("see the sheet on method and findings"));
    assert!(said.contains("Nobody minds"));
    assert!(with.iter().all(|page| page.title != "Findings"));
    // Nothing to look at: nothing more to bind.
    let plain = Job::of(gable());
    assert_eq!(bound(&plain, &[Sheet::RoofPlan], Paper::Letter).len(), 1);
}

#[test]
fn no_sheet_refers_to_one_that_is_not_bound() {
    let job = Job {
        comparison: None,
        ..doubtful().laid("39x13").offered(PRICED)
    };
    for sheet in [Sheet::Materials, Sheet::RoofPlan, Sheet::Schedules] {
        let said = words(&bound(&job, &[sheet], Paper::Letter)).join(" ");
        assert!(!said.contains("the method"), "{said}");
    }
    let said = |sheets: &[Sheet]| words(&bound(&job, sheets, Paper::Letter)).join(" ");
    assert!(said(&[Sheet::Materials, Sheet::Method]).contains("see the method"));
    // Zones are told of a plan that is there to be looked at.
    let method = said(&[Sheet::Method]);
    assert!(!method.contains("Zone") && !method.contains("zones are"));
    assert!(said(&[Sheet::RoofPlan, Sheet::Method]).contains("zones are those of the roof plan"));
    // The schedule of faces stands on the plan, or with the others where no plan is bound.
    let schedule = "Schedule of faces";
    assert!(said(&[Sheet::Schedules]).contains(schedule));
    let both = said(&[Sheet::RoofPlan, Sheet::Schedules]);
    assert_eq!(both.matches(schedule).count(), 1);
}

#[test]
fn the_parts_of_a_long_face_say_that_their_counts_are_of_the_whole_face() {
    let gable_of = |length: f64| {
        roof(&[
            face(
                "S1",
                &[
                    (0.0, 0.0, 0.0),
                    (length, 0.0, 0.0),
                    (length, 12.0, 6.0),
                    (0.0, 12.0, 6.0),
                ],
            ),
            face(
                "N1",
                &[
                    (length, 24.0, 0.0),
                    (0.0, 24.0, 0.0),
                    (0.0, 12.0, 6.0),
                    (length, 12.0, 6.0),
                ],
            ),
        ])
    };
    for (length, is_long) in [(40.0, false), (400.0, true)] {
        let job = Job::of(gable_of(length)).laid("39x13");
        let pages = bound(&job, &[Sheet::CourseLayout], Paper::Letter);
        assert_eq!(pages.len() > 2, is_long, "{length} ft");
        for page in &pages {
            assert_eq!(page.title.contains("part"), is_long, "{}", page.title);
            let said = words(std::slice::from_ref(page));
            for title in ["Count", "Parts of one shingle"] {
                let whole = format!("{title}, whole face");
                assert_eq!(said.contains(&&*whole), is_long, "{said:?}");
                assert_eq!(said.contains(&title), !is_long, "{said:?}");
            }
            assert!(faults(page).is_empty(), "{:?}", faults(page));
        }
    }
}

#[test]
fn a_crew_that_keeps_no_offcuts_is_told_nothing_of_keeping_them() {
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/quillback-road.svg");
    let plan = std::fs::read(plan).expect("the example");
    for (reuse, keeps) in [(Reuse::None, false), (Reuse::TwoPiece, true)] {
        let rules = LayRules {
            reuse,
            ..LayRules::default()
        };
        for roof in [real_roof(&plan).expect("a roof"), ell()] {
            let job = Job::of(roof).laid_by("39x13", &rules);
            let pages = bound(&job, &[Sheet::Crew], Paper::Letter);
            let said = words(&pages).join(" ");
            assert_eq!(said.contains("keep the offcut for"), keeps, "{said}");
            assert_eq!(said.contains(" offcut "), keeps, "{said}");
        }
    }
}

/// A diamond's number is led to from its place wherever a line can get there: it is never set on the other side of a
/// label, with the line to it left out.
#[test]
fn a_line_leads_to_every_diamond_of_a_few() {
    let job = doubtful();
    for paper in Paper::ALL {
        let pages = bound(&job, &[Sheet::RoofPlan], paper);
        let page = &pages[0];
        assert!(faults(page).is_empty(), "{:?}", faults(page));
        let numbers = page.labels.iter().filter(|l| l.layer == "findings");
        let centers: Vec<Point> = numbers
            .map(|l| l.corners[0].midpoint(l.corners[2]))
            .collect();
        assert_eq!(centers.len(), 4, "{}", paper.name());
        let leaders: Vec<&LineMark> = page
            .lines
            .iter()
            .filter(|line| line.layer == "findings" && line.width_mm < 0.3)
            .collect();
        for center in centers {
            // A line ends 0.75 of the half of a diamond, 2.9 mm, before its middle.
            let is_near = |p: &Point| p.distance(center) < 2.9;
            let led = leaders.iter().any(|l| l.ends.iter().any(is_near));
            assert!(led, "{} {center:?}: {leaders:?}", paper.name());
        }
    }
}
