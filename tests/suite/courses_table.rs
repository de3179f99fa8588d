//! What `courses` prints for a crew, read as words.

use std::collections::BTreeMap;

use crate::command::{run, status, told};
use crate::materials_slopes::plan;

/// How many courses of a face are listed, where that is said, and the parts of those that are told.
type Told = (Option<usize>, BTreeMap<usize, Vec<String>>);

/// What is printed of the courses of each face.
fn rows(plan: &str) -> Vec<Told> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("plan.svg"), plan).unwrap();
    let output = run(&["courses", "plan.svg"], folder.path());
    assert_eq!(status(&output), 0, "{}", told(&output));
    // Long lines go on below, farther in than their heads.
    let printed = String::from_utf8(output.stdout).unwrap();
    let printed = printed.replace("\n               ", " ");
    let mut faces: Vec<Told> = Vec::new();
    for line in printed.lines() {
        if line.ends_with("seen from outside with the eave down:") {
            faces.push((None, BTreeMap::new()));
        }
        let Some((exceptions, courses)) = faces.last_mut() else {
            continue;
        };
        let count = |before: &str, after: &str| -> Option<usize> {
            let (_, rest) = line.trim().split_once(before)?;
            rest.split_once(after)?.0.parse().ok()
        };
        // `Except in 4 of 29 runs, marked *; 3 more are listed for their offcuts.`
        let departing = count("Except in ", " of ");
        let others = count("marked *; ", " more ").or_else(|| {
            let (all, _) = line.trim().split_once(" runs are listed ")?;
            all.split_once(" of ")?.0.parse().ok()
        });
        if departing.is_some() || others.is_some() {
            *exceptions = Some(departing.unwrap_or(0) + others.unwrap_or(0));
        }
        let course = line.strip_prefix("  course ");
        if let Some((course, parts)) = course.and_then(|rest| rest.split_once(": ")) {
            let parts = parts.split(" + ").map(str::to_owned).collect();
            let course = course.trim().trim_end_matches('*').parse().unwrap();
            assert!(courses.insert(course, parts).is_none(), "{line}");
        }
    }
    faces
}

/// `8½″ cut, offcut for course 3`, `a whole shingle`, `11 whole` in inches.
fn length(part: &str) -> f64 {
    if part == "a whole shingle" {
        return 39.375;
    }
    if let Some(count) = part.strip_suffix(" whole") {
        let count: usize = count.parse().unwrap();
        assert!(count > 0, "no whole shingles need not be told");
        return 39.375 * count as f64;
    }
    let (inches, _) = part.split_once('″').unwrap();
    crate::report_crew::inches(&format!("{inches}″"))
}

#[test]
fn the_parts_of_a_course_make_up_its_width_and_name_the_courses_that_share_a_shingle() {
    let wide = plan("6/12", None);
    // 4 ft 6 in: two pieces a course, or three; without a pattern every course is told.
    let narrow = wide
        .replace("500,", "145,")
        .replace("x=\"180\"", "x=\"110\"")
        .replace("x=\"300\" y=\"720\"", "x=\"110\" y=\"720\"");
    let (mut shared, mut told) = (0, 0);
    for (plan, width) in [(wide, 481.0), (narrow, 55.0)] {
        let faces = rows(&plan);
        assert_eq!(faces.len(), 2);
        for (exceptions, courses) in faces {
            assert_eq!(courses.len(), exceptions.unwrap_or(29), "{courses:?}");
            for (course, parts) in &courses {
                // Half an inch of overhang on both sides; every part is rounded to an eighth.
                let all: f64 = parts.iter().map(|p| length(p)).sum();
                assert!((all - width).abs() < 0.2, "{course}: {parts:?}");
                for part in parts {
                    let taken_by = part
                        .split_once("offcut for course ")
                        .map(|(_, to)| to.parse().unwrap());
                    let Some(taker) = taken_by.and_then(|to: usize| courses.get(&to)) else {
                        continue;
                    };
                    let said = format!("offcut of course {course}");
                    assert!(
                        taker.iter().any(|p| p.ends_with(&said)),
                        "{part}, {taker:?}"
                    );
                    shared += 1;
                }
                told += 1;
            }
        }
    }
    assert!(shared > 1 && told > 20, "{shared} shared, {told} told");
}

#[test]
fn the_list_and_the_file_count_the_same_runs_that_depart_from_the_step() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("plan.svg"), plan("6/12", None)).unwrap();
    for job in ["layout = \"fewest\"", "layout = \"regular\""] {
        let job = format!("[shingles]\n{job}\n");
        std::fs::write(folder.path().join("job.toml"), job).unwrap();
        let wanted = [
            "courses", "plan.svg", "--job", "job.toml", "--json", "c.json",
        ];
        let output = run(&wanted, folder.path());
        assert_eq!(status(&output), 0, "{}", told(&output));
        let printed = String::from_utf8(output.stdout).unwrap();
        let json = std::fs::read(folder.path().join("c.json")).unwrap();
        let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
        for face in json["faces"].as_array().unwrap() {
            let head = format!("{}, from the ", face["name"].as_str().unwrap());
            let (_, crew) = printed.split_once(&head).unwrap();
            let crew = crew.split("\n\n").next().unwrap();
            let crew = crew.split("seen from outside").nth(1).unwrap();
            let said = crew
                .split_once("Except in ")
                .map_or("0", |(_, rest)| rest.split_once(" of ").unwrap().0);
            if face["crew"]["pattern"] != "none" {
                assert_eq!(said, face["crew"]["exceptions"].to_string(), "{crew}");
            }
        }
    }
}

#[test]
fn the_drawing_of_a_gable_can_be_taken_off_again_without_a_strip_along_its_rakes() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("plan.svg"), plan("6/12", None)).unwrap();
    let drawn = ["takeoff", "plan.svg", "--no-pdf", "--svg", "drawn.svg"];
    assert_eq!(status(&run(&drawn, folder.path())), 0);
    let again = run(&["takeoff", "drawn.svg", "--no-pdf"], folder.path());
    assert_eq!(status(&again), 0, "{}", told(&again));
    assert!(!told(&again).contains("has no pitch"), "{}", told(&again));
}

/// A porch of 12 ft 7 in of depth against a house's wall, hipped at both ends: what is left above its last course lies under
/// the wall's flashing, though hips reach up to it.
#[test]
fn a_strip_below_a_wall_is_left_to_metal_and_one_below_a_ridge_to_the_cap() {
    let folder = tempfile::tempdir().unwrap();
    let porch = r#"<svg xmlns="http://www.w3.org/2000/svg" width="792" height="612" viewBox="0 0 792 612" font-size="8">
        <g id="roof" fill="none" stroke="black"><path d="M100 220H340V120H100ZM100 220L200 120M340 220L240 120"/></g>
        <g id="wall" stroke="black"><path d="M100 120H340"/></g>
        <g id="text"><text x="220" y="170">6/12</text><text x="125" y="150">6/12</text><text x="315" y="150">6/12</text></g>
        <g id="dim"><path d="M100 260H340" stroke="black"/><text x="220" y="256">30'-3"</text></g></svg>"#;
    std::fs::write(folder.path().join("porch.svg"), porch).unwrap();
    std::fs::write(folder.path().join("gable.svg"), plan("6/12", None)).unwrap();
    let printed = |plan: &str, skip: &str| {
        let job = format!("[shingles]\nridge_skip = \"{skip}\"\n");
        std::fs::write(folder.path().join("job.toml"), job).unwrap();
        let output = run(&["courses", plan, "--job", "job.toml"], folder.path());
        assert_eq!(status(&output), 0, "{}", told(&output));
        String::from_utf8(output.stdout).unwrap()
    };
    let under = |table: &str, what: &str| {
        let table = table
            .lines()
            .take_while(|line| !line.starts_with("A strip"));
        table.filter(|line| line.ends_with(what)).count()
    };
    let porch = printed("porch.svg", "5in");
    assert!(under(&porch, "under metal") > 0, "{porch}");
    let gable = printed("gable.svg", "5in");
    assert_eq!(under(&gable, "under metal"), 0, "{gable}");
    assert!(under(&gable, "under the cap") > 0, "{gable}");
}

#[test]
fn the_cycle_of_a_width_of_seven_offsets_is_listed_with_its_format() {
    // 42 in wide, 6 in: cuts of 6, 12 and 18 in off courses 2, 3, 4 start courses 7, 6, 5 (common practice, no source).
    let output = run(&["formats"], std::path::Path::new("."));
    let printed = String::from_utf8(output.stdout).unwrap();
    let words = printed.split_whitespace().collect::<Vec<_>>().join(" ");
    let cycle = "42x14 start courses 1 to 7 with 42″, 36″, 30″, 24″, 18″, 12″, 6″; what is cut off courses 2, 3, 4 starts 7, 6, 5: 4 shingles for 7 courses, nothing wasted";
    assert!(words.contains(cycle), "{printed}");
}
