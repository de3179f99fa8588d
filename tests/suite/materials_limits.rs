//! Where the rules turn over: the round numbers at which one more is ordered, told or refused, each worked by hand.

use eavewright::materials::{MaterialList, MaterialSettings};
use eavewright::roof::EdgeClass::{self, Eave, Headwall, Rake, Ridge, Sidewall, Valley};
use eavewright::roof::{Opening, Roof};
use eavewright::units::Length;

use crate::materials::{line, list, near, settings};
use crate::materials_support::{
    RoofBuilder, beside_cricket, chimney_at, courses, courses_in, face, gable, hip, three_tab,
};

fn absent(list: &MaterialList, key: &str) -> bool {
    list.lines.iter().all(|l| l.key != key)
}

fn told(list: &MaterialList, code: &str) -> usize {
    list.findings.iter().filter(|f| f.code == code).count()
}

fn metric(roof: &Roof) -> MaterialList {
    let settings = MaterialSettings::shipped(true).unwrap();
    MaterialList::compute(roof, &courses(roof), &settings)
}

/// A face of 6:12 with its fall in some direction, 5 in 12 of it to the east for a fall of (5/13, -12/13).
fn turned(fall: (f64, f64), corners: &[(f64, f64)], classes: &[EdgeClass]) -> Roof {
    // Along the eave, the face to its left.
    let along = (-fall.1, fall.0);
    let at = |(u, v): (f64, f64)| (along.0 * u - fall.0 * v, along.1 * u - fall.1 * v);
    let corners: Vec<(f64, f64)> = corners.iter().map(|&c| at(c)).collect();
    RoofBuilder::default()
        .face("S1", 6.0, fall, at((0.0, 0.0)), &corners, classes)
        .roof()
}

const ICE: &str = "[plan]\neave_overhang = \"12in\"\n[site]\nice_barrier = true\n";

#[test]
fn a_face_takes_the_same_sheets_whichever_way_it_falls() {
    let corners = [(0.0, 0.0), (20.0, 0.0), (16.0, 12.0), (4.0, 12.0)];
    let classes = [Eave, EdgeClass::Hip, Ridge, EdgeClass::Hip];
    let used = |fall| {
        let list = list(&turned(fall, &corners, &classes), ICE);
        let of = |key| (line(&list, key).consumed, line(&list, key).basis.clone());
        [of("self_adhered_sheet"), of("underlayment")]
    };
    let south = used((0.0, -1.0));
    for fall in [(5.0 / 13.0, -12.0 / 13.0), (-0.6, 0.8), (1.0, 0.0)] {
        for (one, other) in south.iter().zip(used(fall)) {
            near(other.0, one.0);
            assert_eq!(other.1, one.1);
        }
    }
}

/// Two legs 5 ft wide that hang from one bar, the left one's eave at 0, the right one's higher by so many feet of plan.
fn two_legs(step: f64) -> Roof {
    let classes = [Eave, Rake, Headwall, Rake, Eave, Rake, Ridge, Rake];
    let corners = [
        (0.0, 0.0),
        (5.0, 0.0),
        (5.0, 9.0),
        (15.0, 9.0),
        (15.0, step),
        (20.0, step),
        (20.0, 14.0),
        (0.0, 14.0),
    ];
    turned((0.0, -1.0), &corners, &classes)
}

#[test]
fn ice_barrier_stays_on_the_leg_of_the_face_that_its_eave_is_on() {
    // 6:12, 47 in: two rows from each eave, 5.7 ft together, below the bar, which is 10.1 ft up the slope. The other leg's eave is 2.2 or 3.4 ft up,
    // beside the left one's first or second row, and is none of it: four rows of 5 ft.
    for step in [2.0, 3.0] {
        let list = list(&two_legs(step), ICE);
        let ice = line(&list, "self_adhered_sheet");
        assert!(
            ice.basis.contains("4 rows of 20 ft"),
            "{step}: {}",
            ice.basis
        );
        near(ice.needed, 2.0 * 5.0 * 3.5 * 1.25_f64.sqrt());
        assert_eq!(told(&list, "eaves-at-two-heights"), 1);
    }
    // Both at one height, wherever that is: one level.
    for y in [0.0, 100.0] {
        let split = [(0.0, y), (7.0, y), (7.0, y + 1.0), (9.0, y + 1.0), (9.0, y)];
        let rest = [(20.0, y), (20.0, y + 12.0), (0.0, y + 12.0)];
        let corners: Vec<(f64, f64)> = split.into_iter().chain(rest).collect();
        let classes = [Eave, Rake, Headwall, Rake, Eave, Rake, Ridge, Rake];
        let roof = turned((0.0, -1.0), &corners, &classes);
        let list = list(&roof, ICE);
        assert_eq!(told(&list, "eaves-at-two-heights"), 0);
        // The first row reaches past the notch, which is 13.4 in deep: 20 ft, and so is the second.
        assert!(
            line(&list, "self_adhered_sheet")
                .basis
                .contains("2 rows of 40 ft")
        );
    }
}

#[test]
fn felt_laps_the_upper_edge_of_the_ice_barrier() {
    // 9:12, 11 ft of run: 165 in. Reach (12 + 6 + 24) × 1.25 = 52.5 in, two rows, up to 68.5 in. Felt from 66.5 in to
    // 171 in (6 in past the ridge): (104.5 - 2) / 34 = 3.01, so 4 rows; begun above the edge 3 would seem to do.
    let list = list(&gable(40.0, 22.0, 9.0), ICE);
    let felt = line(&list, "underlayment");
    assert!(felt.basis.contains("8 rows of 320 ft"), "{}", felt.basis);
}

#[test]
fn a_kick_out_stands_only_where_a_wall_ends_at_an_eave() {
    // The wall's foot is at the corner of a headwall, 6 ft up from the eave.
    let corners = [
        (0.0, 0.0),
        (20.0, 0.0),
        (20.0, 6.0),
        (15.0, 6.0),
        (15.0, 12.0),
        (0.0, 12.0),
    ];
    let classes = [Eave, Rake, Headwall, Sidewall, Ridge, Rake];
    let inside = list(&turned((0.0, -1.0), &corners, &classes), "");
    // 6 ft of plan, 6.708 ft: 80.5 / 5 = 16.1, so 17, and one.
    near(line(&inside, "step_flashing").quantity, 18.0);
    assert!(absent(&inside, "kick_out"));
    // At the eave's left end as at its right end.
    for (right, left) in [(Sidewall, Rake), (Rake, Sidewall)] {
        let at_eave = list(&face(6.0, right, Ridge, left).roof(), "");
        near(line(&at_eave, "kick_out").quantity, 1.0);
    }
}

#[test]
fn many_skylights_are_told_of_once_with_how_many_are_on_each_face() {
    let roof = face(6.0, Rake, Ridge, Rake);
    let roof = (0..3).fold(roof, |roof, _| roof.opening("skylight", 24.0, 3.0));
    let list = list(&roof.roof(), "");
    assert_eq!(told(&list, "skylight-flashing"), 1);
    let mut findings = list.findings.iter();
    let note = findings.find(|f| f.code == "skylight-flashing").unwrap();
    assert!(
        note.message.starts_with("3 skylights (3 on S1)"),
        "{}",
        note.message
    );
    assert_eq!(note.places.len(), 3);
}

#[test]
fn a_skylight_takes_no_counterflashing_and_a_chimney_none_where_the_job_says_so() {
    let round = |kind, depth, job| {
        let roof = face(6.0, Rake, Ridge, Rake).opening(kind, 24.0, depth);
        list(&roof.roof(), job)
    };
    let chimney = round("chimney", 3.0, "");
    // 2 + 3 + 3 + 2 ft from pieces of 10 ft lapping 4 in, sides after sides: one piece.
    near(line(&chimney, "counterflashing").needed, 10.0);
    near(line(&chimney, "counterflashing").quantity, 1.0);
    assert_eq!(told(&chimney, "skylight-flashing"), 0);
    let skylight = round("skylight", 3.0, "");
    assert!(absent(&skylight, "counterflashing"));
    near(line(&skylight, "step_flashing").quantity, 18.0);
    assert_eq!(told(&skylight, "skylight-flashing"), 1);
    let none = "[materials]\ncounterflashing = \"none\"\n";
    assert!(absent(&round("chimney", 3.0, none), "counterflashing"));
    let off = "[site]\nrules_off = [\"counterflashing\"]\n";
    assert!(absent(&round("chimney", 3.0, off), "counterflashing"));
    let off = "[site]\nrules_off = [\"step-flashing\"]\n";
    assert!(absent(&round("chimney", 3.0, off), "step_flashing"));
    // Without a depth there are no sides.
    assert!(absent(&round("chimney", 0.0, ""), "step_flashing"));
}

#[test]
fn a_pitch_change_is_flashed_unless_the_job_says_no() {
    let roof = face(6.0, Rake, EdgeClass::PitchChange, Rake).roof();
    near(line(&list(&roof, ""), "pitch_change_flashing").needed, 20.0);
    for job in [
        "[materials]\npitch_change_flashing = false\n",
        "[site]\nrules_off = [\"pitch-change\"]\n",
    ] {
        assert!(absent(&list(&roof, job), "pitch_change_flashing"), "{job}");
    }
}

/// A chimney 3 ft wide, and one side of a cricket so far to the left of it that meets the slope in an edge of this class.
fn edge_ends(to_the_left: f64, class: EdgeClass) -> MaterialList {
    let roof = beside_cricket(to_the_left, class).opening("chimney", 36.0, 4.0);
    let mut roof = roof.roof();
    roof.openings[0].outline = chimney_at(8.0, 4.0);
    list(&roof, "")
}

#[test]
fn a_cricket_is_drawn_where_a_valley_ends_within_6_in_of_the_chimney() {
    for (to_the_left, drawn) in [(0.0, true), (0.25, true), (0.5, false), (0.75, false)] {
        let list = edge_ends(to_the_left, Valley);
        assert_eq!(told(&list, "cricket-drawn") == 1, drawn, "{to_the_left}");
        assert_eq!(absent(&list, "cricket"), drawn, "{to_the_left}");
    }
    assert_eq!(told(&edge_ends(0.0, Rake), "cricket-drawn"), 0);
    let wide = |job| {
        let roof = face(6.0, Rake, Ridge, Rake).opening("chimney", 36.0, 3.0);
        list(&roof.roof(), job)
    };
    near(line(&wide(""), "cricket").quantity, 1.0);
    for job in [
        "[materials]\ncrickets = \"none\"\n",
        "[site]\nrules_off = [\"cricket\"]\n",
    ] {
        assert!(absent(&wide(job), "cricket"), "{job}");
    }
}

#[test]
fn caps_are_cut_only_from_shingles_with_tabs() {
    let roof = gable(40.0, 24.0, 6.0);
    let of = |tabs, job: &str| {
        let mut format = three_tab();
        format.tabs = tabs;
        MaterialList::compute(&roof, &courses_in(&roof, format), &settings(job))
    };
    let cut = "[materials]\ncaps_from_field = true\n";
    let from_tabs = of(3, cut);
    // 96 caps of 40 ft at 5 in, three from a shingle, beside 1073.313 ft² at 80 to the square.
    near(
        line(&from_tabs, "shingles").needed,
        10.733_126_29 * 80.0 + 32.0,
    );
    assert_eq!(told(&from_tabs, "caps-from-field"), 0);
    for tabs in [0, 1] {
        let ready = of(tabs, cut);
        assert_eq!(told(&ready, "caps-from-field"), 1);
        // 480 / 5.625 = 85.3, so 86.
        near(line(&ready, "hip_ridge_cap").consumed, 86.0 * 5.625 / 12.0);
    }
    assert_eq!(told(&of(0, ""), "caps-from-field"), 0);
    assert!(absent(
        &of(3, "[site]\nrules_off = [\"caps\"]\n"),
        "hip_ridge_cap"
    ));
}

#[test]
fn nails_go_into_a_deck_of_three_quarters_and_through_a_thinner_one() {
    // R905.2.5 (READ): 3/4 in into the deck, or through a thinner one. Two shingles of 1/4 in each; 1/8 in below the
    // deck (common practice, no source). 5/8 in: 1/2 + 3/4 = 1 1/4. 3/4 and 1 in: 1/2 + 3/4 = 1 1/4.
    let roof = gable(40.0, 24.0, 6.0);
    let sizes = |job: &str| -> Vec<String> {
        let list = list(&roof, job);
        let nails = list
            .lines
            .iter()
            .filter(|l| l.key.starts_with("roofing_nails"));
        nails.map(|l| format!("{} {}", l.key, l.variant)).collect()
    };
    for deck in ["5/8in", "3/4in", "1in"] {
        let job = format!("[site]\ndeck_thickness = \"{deck}\"\n");
        // Caps over a vent: 1 + 3/4 + 3/4 = 2 1/2.
        let expected = ["roofing_nails 1 1/4 in", "roofing_nails_long 2 1/2 in"];
        assert_eq!(sizes(&job), expected, "{deck}");
    }
    // 28.6 mm of 30, and 60.3 mm of 75.
    let list = metric(&roof);
    assert_eq!(line(&list, "roofing_nails").variant, "30 mm");
    assert_eq!(line(&list, "roofing_nails_long").variant, "75 mm");
    let bare = crate::materials::list(&roof, "[site]\nrules_off = [\"starter\"]\n");
    near(line(&bare, "roofing_nails").needed, 862.0 * 4.0);
    assert!(absent(&bare, "starter"));
}

#[test]
fn a_pipe_an_eighth_wider_than_a_boot_still_takes_it() {
    let boots = |inches| {
        let roof = face(6.0, Rake, Ridge, Rake).pipe(Some(inches)).roof();
        let metric = metric(&roof);
        let feet = list(&roof, "");
        let of = |list: &MaterialList| line(list, "pipe_boot").variant.clone();
        (of(&feet), of(&metric))
    };
    let text = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    assert_eq!(boots(3.125), text("3 in", "110 mm"));
    assert_eq!(boots(3.25), text("4 in", "110 mm"));
    // 76.2 mm in a boot of 75.
    assert_eq!(boots(3.0), text("3 in", "75 mm"));
    assert_eq!(boots(2.0), text("2 in", "50 mm"));
    let basis = |inches| {
        let roof = face(6.0, Rake, Ridge, Rake).pipe(Some(inches)).roof();
        line(&list(&roof, ""), "pipe_boot").basis.clone()
    };
    assert_eq!(basis(3.125), "pipes, diameter as written: 1");
    // No boot of 2½ in is sold.
    let next = "pipes, the size next above the diameter written: 1";
    assert_eq!(basis(2.5), next);
}

#[test]
fn a_round_eave_is_one_run_though_its_pieces_bend() {
    // A quarter of an eight-sided bay, 5 ft a side: 3, 4 and 5 ft from straight pieces in one strip of metal.
    let corners = [(0.0, 0.0), (5.0, 0.0), (9.0, 3.0), (12.0, 7.0), (0.0, 12.0)];
    let classes = [Eave, Eave, Eave, Ridge, Rake];
    let mut roof = turned((0.0, -1.0), &corners, &classes);
    let length: f64 = roof.edges[..3]
        .iter()
        .map(|e| e.true_length.to_feet())
        .sum();
    let runs = |roof: &Roof| {
        let list = list(roof, "");
        let eave = line(&list, "drip_edge_eave");
        near(eave.needed, length);
        (eave.basis.contains("in 1 run"), eave.quantity)
    };
    // Three pieces of about 5 ft take one of 10 ft each; bent in one, 15.5 ft take two.
    assert_eq!(runs(&roof), (false, 3.0));
    roof.round_edges = vec![(0..3).map(eavewright::roof::EdgeId).collect()];
    assert_eq!(runs(&roof), (true, 2.0));
}

#[test]
fn what_is_stripped_weighs_by_the_layer() {
    use eavewright::materials::TearOff;
    // 275 lb and 0.6 yd³ a square and layer: common practice; the volume from READ totals.
    let two = TearOff::of(10.0, 2);
    near(two.weight_lb, 5500.0);
    near(two.volume_cuyd, 12.0);
    // Nothing lies there: nothing comes off.
    let bare = list(&gable(40.0, 24.0, 6.0), "[site]\nexisting_layers = 0\n");
    assert_eq!(bare.tear_off, None);
    assert_eq!(told(&bare, "layers-not-said"), 0);
    assert!(absent(&bare, "deck_sheet"));
}

#[test]
fn bundles_of_a_roof_without_a_ridge_lie_on_no_foot_of_it() {
    let shed = list(&face(6.0, Rake, EdgeClass::HighEdge, Rake).roof(), "");
    let loading = shed.loading.unwrap();
    // 240 ft² × 1.118 = 268.33: 214.66 shingles, so 215; / 27 = 7.96, so 8 and a spare; 70 lb each.
    near(loading.weight_lb.unwrap(), 9.0 * 70.0);
    assert_eq!(loading.lb_per_ridge_ft(), None);
    // All of it too flat: nothing to load.
    assert_eq!(list(&gable(40.0, 24.0, 1.0), "").loading, None);
}

#[test]
fn a_face_that_no_courses_were_laid_on_is_told() {
    let roof = hip(40.0, 24.0, 6.0);
    let mut laid = courses(&roof);
    laid.faces.remove(2);
    let list = MaterialList::compute(&roof, &laid, &settings(""));
    let left_out: Vec<&str> = (list.findings.iter())
        .filter(|f| f.code == "face-without-courses")
        .map(|f| f.message.as_str())
        .collect();
    assert_eq!(left_out.len(), 1);
    assert!(left_out[0].contains("Face E1"), "{}", left_out[0]);
    // Its eave is in no line: 128 ft less 24.
    near(line(&list, "drip_edge_eave").needed, 104.0);
}

#[test]
fn packages_that_the_job_describes_keep_what_it_does_not_say() {
    let job = "[materials.products.drip_edge_eave]\nlength = \"8ft\"\n\
[materials.products.self_adhered_sheet]\npast_ends = \"6in\"\n";
    let list = list(&gable(40.0, 24.0, 6.0), &format!("{job}{ICE}"));
    let eave = line(&list, "drip_edge_eave");
    // (480 - 2) / (96 - 2) = 5.09, so 6 on each eave.
    assert_eq!(
        (eave.item.as_str(), eave.unit.as_str(), eave.quantity),
        ("Drip edge for eaves, 8 ft", "piece", 12.0)
    );
    assert_eq!(
        eave.basis,
        "eaves 80 ft in 2 runs: each run in pieces of 8 ft lapping 2 in, rounded up"
    );
    assert_eq!(
        eave.source,
        "rule: IRC 2021 R905.2.8.5, read; package: lap: IRC R905.2.8.5, read; length: common practice, no source"
    );
    // Rows along eaves end at the rakes whatever a valley's lining does: 4 rows of 40 ft.
    let ice = line(&list, "self_adhered_sheet");
    assert!(ice.basis.contains("4 rows of 160 ft"), "{}", ice.basis);
}

#[test]
fn a_line_says_how_it_was_worked_out() {
    let roof = face(6.0, Sidewall, Ridge, Rake).opening("chimney", 24.0, 3.0);
    let list = list(&roof.pipe(Some(3.0)).roof(), "");
    for (key, basis) in [
        (
            "shingles",
            // 268.33 ft² at 80 to the square; one spare begun 40 squares.
            "faces 215: 215 opened ÷ 27 a bundle, plus 1 spare",
        ),
        (
            "step_flashing",
            "sidewalls 13.42 ft up the slope: 34, openings 6 ft up the slope: 18, each 7 in long at the least: the exposure and 2 in of headlap",
        ),
        (
            "apron_flashing",
            "openings 2 ft in 1 run: each run + 4 in past each end in pieces of 10 ft lapping 4 in, rounded up",
        ),
        (
            "ridge_vent",
            "ridges less their ends 18 ft in 1 run: each run in pieces of 4 ft end to end, rounded up",
        ),
        ("sealant", "openings 1, pipes 1: 2 ÷ 4 a tube"),
        ("pipe_boot", "pipes, diameter as written: 1"),
    ] {
        assert_eq!(line(&list, key).basis, basis);
    }
    let walls = crate::materials::list(&face(6.0, Sidewall, Ridge, Sidewall).roof(), "");
    assert_eq!(
        line(&walls, "step_flashing").basis,
        "sidewalls 26.83 ft up the slope: 68, each 7 in long at the least: the exposure and 2 in of headlap"
    );
    let item = |key| line(&list, key).item.as_str();
    assert_eq!(
        [item("shingles"), item("pipe_boot"), item("starter")],
        ["Shingles 36x12", "Pipe boot, 3 in", "Starter strip"]
    );
    assert_eq!(
        line(&list, "starter").source,
        "rule: common practice, no source; package: common practice, no source"
    );
    let none = crate::materials::list(
        &gable(40.0, 24.0, 6.0),
        "[materials]\nspare_bundle_per_squares = 0\n",
    );
    near(line(&none, "shingles").quantity, 32.0);
}

#[test]
fn a_metric_line_is_metric_in_all_of_its_figures() {
    let list = metric(&gable(40.0, 24.0, 6.0));
    // 7 pieces of 2 m on each eave; rounded up they are used up.
    let eave = line(&list, "drip_edge_eave");
    near(eave.consumed, 28.0);
    near(eave.left_over, 0.0);
    // Starter: what the bundles cover beyond 24.384 m is left.
    let starter = line(&list, "starter");
    near(starter.consumed, 24.384);
    let covers = settings_covers();
    near(starter.left_over, starter.quantity * covers - 24.384);
}

/// What a metric bundle of starter covers, in metres.
fn settings_covers() -> f64 {
    let settings = MaterialSettings::shipped(true).unwrap();
    let starter = settings.catalog.product("starter").unwrap();
    starter.covers.unwrap().to_feet() * 0.3048
}

#[test]
fn an_opening_without_a_shingled_face_takes_nothing() {
    let mut roof = face(6.0, Rake, Ridge, Rake)
        .opening("chimney", 36.0, 3.0)
        .roof();
    let gone = Opening {
        faces: Vec::new(),
        ..roof.openings[0].clone()
    };
    roof.openings = vec![gone];
    assert!(absent(&list(&roof, ""), "apron_flashing"));
}

/// A lean-to of 5:12, 20 ft along the eave and 8 ft deep: 8 × 13/12 ft is 104 in up the slope.
fn lean_to(right: EdgeClass) -> Roof {
    RoofBuilder::default()
        .face(
            "S1",
            5.0,
            (0.0, -1.0),
            (0.0, 0.0),
            &[(0.0, 0.0), (20.0, 0.0), (20.0, 8.0), (0.0, 8.0)],
            &[Eave, right, EdgeClass::HighEdge, Rake],
        )
        .roof()
}

#[test]
fn felt_that_reaches_the_top_takes_no_row_more() {
    // 36 in and 34 in twice more are 104 in. At a wall the rows are 4 in longer (READ, Navy guide specification), and
    // the wall beside the face makes it no higher.
    for (right, length) in [(Rake, "60 ft"), (Sidewall, "61 ft")] {
        let list = list(&lean_to(right), "");
        let felt = line(&list, "underlayment");
        assert!(
            felt.basis.contains(&format!("3 rows of {length}")),
            "{}",
            felt.basis
        );
    }
}

#[test]
fn a_valley_lining_may_be_half_an_inch_narrower_than_the_code_asks() {
    // Sheets of 600 mm stand for 24 in.
    let roof = crate::materials_support::gable_with_wing();
    let mut laid = courses(&roof);
    laid.rules.valley = eavewright::courses::ValleyType::OpenMetal;
    let narrow = |width: &str| {
        let job = format!("[materials.products.valley_metal]\nwidth = \"{width}\"\n");
        told(
            &MaterialList::compute(&roof, &laid, &settings(&job)),
            "valley-lining-narrow",
        )
    };
    assert_eq!([narrow("23.5in"), narrow("23in")], [0, 1]);
}

#[test]
fn vents_are_told_of_as_soon_as_they_are_too_small_or_too_low() {
    // R806.2 (READ). Ridge of 40 ft less 2 at 18 in², eaves of 80 ft at 9 in² (common practice): 684 and 720 in²,
    // 1,404 together; 1/150 of 1,462.5 ft² is 9.75 ft², 1,404 in². At 1/300 40 % high: 684 in² are that of 1,710 in²,
    // of 3,562.5 ft².
    let of = |floor: &str, ratio: &str| {
        let job = format!("[site]\nattic_floor = \"{floor} sqft\"\nvent_ratio = \"{ratio}\"\n");
        let list = list(&gable(40.0, 24.0, 6.0), &job);
        (told(&list, "vents-too-small"), told(&list, "vents-too-low"))
    };
    assert_eq!(of("1462.5", "1/150"), (0, 0));
    assert_eq!(of("1463", "1/150"), (1, 0));
    assert_eq!(of("2925", "1/300"), (0, 0));
    assert_eq!(of("3562.5", "1/300"), (1, 0));
    assert_eq!(of("3600", "1/300"), (1, 1));
    // 684 of 1,710.5 in² are 39.99 %, which is not the 40 % that it is short of.
    let job = "[site]\nattic_floor = \"3563.5 sqft\"\nvent_ratio = \"1/300\"\n";
    let low = list(&gable(40.0, 24.0, 6.0), job).findings;
    let low = low.iter().find(|f| f.code == "vents-too-low").unwrap();
    assert!(
        low.message.ends_with("the ridges can hold 39.9 %."),
        "{}",
        low.message
    );
    // A pyramid has no ridge, and nothing has no sign.
    let pyramid = list(&hip(24.0, 24.0, 6.0), "");
    let held = pyramid.ventilation[0].ridges_hold_sqin;
    assert_eq!(held.to_bits(), 0.0_f64.to_bits());
    for job in [
        "[site]\nridge_vent = false\n",
        "[site]\nrules_off = [\"ventilation\"]\n",
    ] {
        assert!(
            absent(&list(&gable(40.0, 24.0, 6.0), job), "ridge_vent"),
            "{job}"
        );
    }
}

#[test]
fn an_attic_is_vented_by_all_eaves_of_the_roof_over_its_floor() {
    // A gable of 40 × 24 ft at 6:12 and a porch of 8 ft at 1:12 below its south slope: 1,280 ft² of floor, 1/150 of it 1,228.8
    // in². Ridge (40 − 2) × 18 = 684, eaves 40 ft of the gable and 40 ft of the porch × 9 = 720 in²: 1,404, 1/150
    // of 1,462.5 ft².
    let porch = RoofBuilder::default()
        .face(
            "S1",
            6.0,
            (0.0, -1.0),
            (0.0, 0.0),
            &[(0.0, 0.0), (40.0, 0.0), (40.0, 12.0), (0.0, 12.0)],
            &[EdgeClass::PitchChange, Rake, Ridge, Rake],
        )
        .face(
            "N1",
            6.0,
            (0.0, 1.0),
            (0.0, 24.0),
            &[(40.0, 24.0), (0.0, 24.0), (0.0, 12.0), (40.0, 12.0)],
            &[Eave, Rake, Ridge, Rake],
        )
        .face(
            "S2",
            1.0,
            (0.0, -1.0),
            (0.0, 0.0),
            &[(0.0, -8.0), (40.0, -8.0), (40.0, 0.0), (0.0, 0.0)],
            &[Eave, Rake, EdgeClass::PitchChange, Rake],
        )
        .roof();
    let with =
        |roof: &Roof, floor: &str| list(roof, &format!("[site]\nattic_floor = \"{floor} sqft\"\n"));
    let enough = with(&porch, "1280");
    near(enough.ventilation[0].ridges_hold_sqin, 684.0);
    near(enough.ventilation[0].eaves_hold_sqin, 720.0);
    assert_eq!(told(&enough, "vents-too-small"), 0);
    assert_eq!(told(&with(&porch, "1463"), "vents-too-small"), 1);
    // No ridge vent is ordered for a ridge without shingles: it is told, and holds nothing.
    let low = with(&gable(40.0, 24.0, 1.0), "960");
    assert!(absent(&low, "ridge_vent"));
    near(low.ventilation[0].ridges_hold_sqin, 0.0);
    near(low.ventilation[0].eaves_hold_sqin, 720.0);
    let small = low.findings.iter().find(|f| f.code == "vents-too-small");
    let small = small.unwrap();
    assert!(
        small.message.contains("can hold 720 in². 40 ft of ridge"),
        "{}",
        small.message
    );
    // Looked at in the middle of the ridge.
    let at = small.places[0].at.unwrap();
    near(at.x, 20.0);
    near(at.y, 12.0);
}

#[test]
fn an_order_within_what_is_forgiven_leaves_nothing_over() {
    // 40 × 22.4143 × √1.25 = 1,002.4 ft² at two sheets for ten squares are 2.0048 sheets: the forgiven hundredth.
    let job = "[site]\nexisting_layers = 1\n";
    let sheets = list(&gable(40.0, 22.4143, 6.0), job);
    let sheets = line(&sheets, "deck_sheet");
    near(sheets.quantity, 2.0);
    assert!(sheets.needed > 2.004 && sheets.needed < 2.006);
    assert_eq!(sheets.left_over.to_bits(), 0.0_f64.to_bits());
    near(sheets.holds, 1.0);
    // A sixteenth of an inch beyond four pieces of 10 ft: none is left, and a piece still holds 10 ft.
    let metal = list(&gable(40.0 + 1.0 / 200.0, 24.0, 6.0), "");
    let metal = line(&metal, "drip_edge_eave");
    near(metal.holds, 10.0);
    assert!(metal.quantity * metal.holds >= metal.consumed - 0.01);
}

#[test]
fn a_nail_is_never_ordered_shorter_than_it_must_be() {
    // Two laps of 1/4 in, four old layers of 1/2 in, through 0.7 in of deck and 1/8 in out: 0.5 + 2 + 0.825 = 3.325 in,
    // and caps more by 1/2 in and 3/4 in of vent. The longest sold are 3 in and 75 mm.
    let job = "[site]\nexisting_layers = 4\ntear_off = false\ndeck_thickness = \"0.7in\"\n";
    let list = list(&gable(40.0, 24.0, 6.0), job);
    let long: Vec<&str> = list
        .lines
        .iter()
        .filter(|l| l.key.starts_with("roofing_nails"))
        .map(|l| l.variant.as_str())
        .collect();
    assert_eq!(long, ["3.33 in or longer", "4.58 in or longer"]);
    assert_eq!(told(&list, "nails-too-short"), 2);
    // Three layers over 7/8 in of deck: 0.5 + 1.5 + 0.75 = 2.75 in, so 3 in.
    let thin = "[site]\nexisting_layers = 3\ntear_off = false\ndeck_thickness = \"0.875in\"\n";
    let enough = crate::materials::list(&gable(40.0, 24.0, 6.0), thin);
    assert!(enough.lines.iter().any(|l| l.variant == "3 in"));
}

#[test]
fn a_rule_switched_off_is_followed_nowhere() {
    let roof = gable(40.0, 24.0, 6.0);
    let off = |rule: &str| {
        let list = list(&roof, &format!("[site]\nrules_off = [\"{rule}\"]\n"));
        assert!(
            list.lines.iter().all(|l| !l.rules.contains(&rule)),
            "{rule}"
        );
        list
    };
    // Without a vent caps take nails of four laps of 1/4 in and 5/8 in of deck: 1 5/8, so 1 3/4 in.
    let sizes = |list: &MaterialList| -> Vec<String> {
        let nails = list
            .lines
            .iter()
            .filter(|l| l.key.starts_with("roofing_nails"));
        nails.map(|l| l.variant.clone()).collect()
    };
    assert_eq!(sizes(&off("ventilation")), ["1 1/4 in", "1 3/4 in"]);
    // Without the rule for their length all nails are one line, of no length.
    let one = off("nails-length");
    assert_eq!(sizes(&one), [""]);
    let cut = face(6.0, Rake, Ridge, Rake)
        .opening("chimney", 36.0, 3.0)
        .roof();
    let list = list(&cut, "[site]\nrules_off = [\"cricket-height\"]\n");
    assert_eq!(line(&list, "cricket").variant, "36 in wide");
}

#[test]
fn a_cricket_takes_the_place_of_head_flashing() {
    let round = |width, job| {
        let roof = face(6.0, Rake, Ridge, Rake)
            .opening("chimney", width, 3.0)
            .roof();
        list(&roof, job)
    };
    let wide = round(36.0, "");
    assert!(!absent(&wide, "cricket") && absent(&wide, "head_flashing"));
    for (width, job) in [
        (30.0, ""),
        (36.0, "[materials]\ncrickets = \"none\"\n"),
        (36.0, "[site]\nrules_off = [\"cricket\"]\n"),
    ] {
        let bare = round(width, job);
        assert!(absent(&bare, "cricket") && !absent(&bare, "head_flashing"));
    }
}

#[test]
fn a_sheet_that_its_own_lap_eats_up_is_refused() {
    // In double coverage a sheet of 2 in laps by 2 in, and no row would ever end.
    let refused = |job: &str| {
        let job = eavewright::job::Job::parse(job).unwrap();
        job.material_settings(false).is_err()
    };
    let felt = |width: &str, lap: &str| {
        format!(
            "[materials.products.underlayment_felt_15]\nwidth = \"{width}\"\nside_lap = \"{lap}\"\n"
        )
    };
    assert!(refused(&felt("2in", "0in")) && refused(&felt("3.9in", "0in")));
    assert!(refused(&felt("36in", "35.9999in")));
    assert!(!refused(&felt("4in", "0in")) && !refused(&felt("36in", "19in")));
}

#[test]
fn steps_beside_an_opening_go_by_how_far_they_reach_up_the_slope() {
    // Each side 5 ft long and 3 ft up the slope: 36 / 5 = 7.2, so 8, and one.
    let mut roof = face(6.0, Rake, Ridge, Rake)
        .opening("skylight", 24.0, 5.0)
        .roof();
    for stretch in &mut roof.openings[0].flashing {
        stretch.up = Length::feet(3.0);
    }
    let list = list(&roof, "");
    let steps = line(&list, "step_flashing");
    near(steps.quantity, 18.0);
    assert!(
        steps.basis.starts_with("openings 6 ft up the slope: 18"),
        "{}",
        steps.basis
    );
}

#[test]
fn a_piece_of_step_flashing_is_as_long_as_the_exposure_and_its_headlap() {
    // 5 in exposed and 2 in of headlap.
    let roof = face(6.0, Sidewall, Ridge, Rake).roof();
    let listed = list(&roof, "");
    let basis = &line(&listed, "step_flashing").basis;
    assert!(basis.contains("each 7 in long at the least"), "{basis}");
    assert_eq!(told(&listed, "step-flashing-short"), 0);
    for (length, short) in [("6 7/8in", 1), ("7in", 0), ("8in", 0)] {
        let job = format!("[materials.products.step_flashing]\nlength = \"{length}\"\n");
        assert_eq!(
            told(&list(&roof, &job), "step-flashing-short"),
            short,
            "{length}"
        );
    }
}

#[test]
fn steps_along_a_wall_that_slants_across_its_face_go_by_how_far_it_reaches_up() {
    // From the eave at (8, 0) to the rake at (0, 8): 8 ft of run, so 8 √1.25 = 8.944 ft up the slope, where the wall is 12 ft
    // long: 107.3 / 5 = 21.5, so 22, and one.
    let roof = turned(
        (0.0, -1.0),
        &[
            (8.0, 0.0),
            (40.0, 0.0),
            (40.0, 12.0),
            (0.0, 12.0),
            (0.0, 8.0),
        ],
        &[Eave, Rake, Ridge, Rake, Sidewall],
    );
    let steps = list(&roof, "");
    let steps = line(&steps, "step_flashing");
    near(steps.quantity, 23.0);
    assert!(
        steps
            .basis
            .starts_with("sidewalls 8.94 ft up the slope: 23,"),
        "{}",
        steps.basis
    );
}

#[test]
fn a_least_length_of_step_flashing_is_rounded_up() {
    // 5 in and 2 in are 177.8 mm.
    let listed = metric(&face(6.0, Sidewall, Ridge, Rake).roof());
    let basis = &line(&listed, "step_flashing").basis;
    assert!(basis.contains("each 178 mm long at the least"), "{basis}");
}

#[test]
fn a_pipe_of_no_width_has_no_size() {
    let roof = face(6.0, Rake, Ridge, Rake).pipe(Some(0.0)).roof();
    let listed = list(&roof, "");
    assert_eq!(line(&listed, "pipe_boot").variant, "size not given");
    assert_eq!(told(&listed, "pipe-diameter"), 1);
}

#[test]
fn a_wide_pipe_is_told_as_written_or_as_drawn() {
    let mut roof = face(6.0, Rake, Ridge, Rake)
        .pipe(Some(6.0))
        .pipe(Some(6.0))
        .roof();
    roof.penetrations[1].is_written = false;
    let listed = list(&roof, "");
    let wide = listed.findings.iter().filter(|f| f.code == "pipe-wide");
    let messages: Vec<&str> = wide.map(|f| f.message.as_str()).collect();
    assert_eq!(
        messages,
        ["as written", "as drawn"]
            .map(|how| format!("A pipe of 6 in is wider than any boot sold; it is listed {how}."))
    );
}
