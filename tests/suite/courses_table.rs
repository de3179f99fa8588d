//! What `courses` prints for a crew, read as words.

use std::collections::BTreeMap;

use crate::command::{run, status, told};
use crate::materials_slopes::plan;

/// How many courses of a face depart from its pattern, where that is said, and the parts of those that are told.
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
        if let Some((count, _)) = line
            .trim()
            .strip_prefix("Except in ")
            .and_then(|rest| rest.split_once(" of "))
        {
            *exceptions = Some(count.parse().unwrap());
        }
        let course = line.strip_prefix("  course ");
        if let Some((course, parts)) = course.and_then(|rest| rest.split_once(": ")) {
            let parts = parts.split(" + ").map(str::to_owned).collect();
            let course = course.trim().parse().unwrap();
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
    let eighths = |c: char| "⅛¼⅜½⅝¾⅞".chars().position(|d| d == c);
    let digits: String = inches.chars().filter(char::is_ascii_digit).collect();
    let over: usize = inches
        .chars()
        .filter_map(|c| eighths(c).map(|n| n + 1))
        .sum();
    digits.parse().unwrap_or(0.0) + over as f64 / 8.0
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
