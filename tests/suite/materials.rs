//! What a roof takes, line by line, against sums worked by hand.

use eavewright::job::Job;
use eavewright::materials::{MaterialLine, MaterialList, MaterialSettings};
use eavewright::roof::Roof;

use crate::materials_support::{courses, gable, hip};

/// The settings of a job file's text, in feet.
pub(crate) fn settings(job: &str) -> MaterialSettings {
    let job = Job::parse(job).unwrap_or_else(|f| panic!("{f:#?}"));
    job.material_settings(false)
        .unwrap_or_else(|f| panic!("{f:#?}"))
}

pub(crate) fn list(roof: &Roof, job: &str) -> MaterialList {
    let settings = settings(job);
    let mut courses = courses(roof);
    courses.choices = settings.choices(courses.choices);
    MaterialList::compute(roof, &courses, &settings)
}

#[track_caller]
pub(crate) fn line<'l>(list: &'l MaterialList, key: &str) -> &'l MaterialLine {
    list.lines
        .iter()
        .find(|l| l.key == key)
        .unwrap_or_else(|| panic!("no line {key}"))
}

#[track_caller]
pub(crate) fn near(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6 * (1.0 + b.abs()), "{a} is not {b}");
}

#[test]
fn a_gable_takes_drip_edge_run_by_run_at_two_inch_laps() {
    // 40 ft eave: (480 - 2) / (120 - 2) = 4.05, so 5 pieces; two eaves. Rake 13.416 ft: (161 - 2) / 118 = 1.35, so 2;
    // four rakes. Formula: the rule of IRC R905.2.8.5 (2 in lap, read) in pieces of 10 ft (common practice).
    let list = list(&gable(40.0, 24.0, 6.0), "");
    let eave = line(&list, "drip_edge_eave");
    near(eave.needed, 80.0);
    near(eave.quantity, 10.0);
    near(eave.consumed, 100.0);
    let rake = line(&list, "drip_edge_rake");
    near(rake.needed, 4.0 * 180.0_f64.sqrt());
    near(rake.quantity, 8.0);
}

#[test]
fn field_shingles_are_whole_bundles_of_what_the_layout_opened() {
    // 1073.313 ft² at 80 to the square: 858.65 shingles; each face 429.33, so 430 opened. 860 / 27 = 31.85, so 32, and
    // one spare on the first 40 squares.
    let list = list(&gable(40.0, 24.0, 6.0), "");
    let field = line(&list, "shingles");
    near(field.needed, 10.733_126_29 * 80.0);
    near(field.consumed, 860.0);
    near(field.quantity, 33.0);
    near(field.allowance, 1.0);
    near(field.left_over, 33.0 * 27.0 - 860.0);
}

#[test]
fn hips_and_ridges_take_caps_by_their_true_length() {
    // Hip 40 × 24 at 6:12: hips 4 × 18.000 ft, ridge 16 ft (own golden roof, from the rafter tables' 18.00 in per ft
    // of common run). Caps at 5.625 in: 4 × ceil(216 / 5.625 = 38.4) + ceil(192 / 5.625 = 34.13) = 4 × 39 + 35.
    let list = list(&hip(40.0, 24.0, 6.0), "");
    let caps = line(&list, "hip_ridge_cap");
    near(caps.needed, 88.0);
    near(caps.consumed, 191.0 * 5.625 / 12.0);
    near(caps.quantity, 3.0);
}

#[test]
fn nothing_is_listed_for_edges_that_a_roof_has_not() {
    let list = list(&hip(40.0, 24.0, 6.0), "");
    assert!(list.lines.iter().all(|l| l.key != "drip_edge_rake"));
    assert!(list.lines.iter().all(|l| !l.key.starts_with("valley")));
}
