//! Each rule of the trade worked by hand. The source of the rule stands beside each case: READ in a publication, or
//! common practice without a source.

use eavewright::courses::ValleyType;
use eavewright::materials::{
    Edition, MaterialList, MaterialSettings, TearOff, WallFace, cricket_height, ice_reach_in, rules,
};
use eavewright::roof::EdgeClass::{Eave, Headwall, HighEdge, Rake, Ridge, Sidewall};
use eavewright::roof::Roof;
use eavewright::units::{Length, Pitch};

use crate::materials::{line, list, near, settings};
use crate::materials_support::{courses, face, gable, gable_with_wing, hip};

fn absent(list: &MaterialList, key: &str) -> bool {
    list.lines.iter().all(|l| l.key != key)
}

fn in_valley(roof: &Roof, valley: ValleyType, job: &str) -> MaterialList {
    let mut courses = courses(roof);
    courses.rules.valley = valley;
    MaterialList::compute(roof, &courses, &settings(job))
}

#[track_caller]
fn sixteenths(reach_in: f64, printed: f64) {
    // The magazine prints the nearest 1/8 in; half of that is its own rounding.
    assert!(
        (reach_in - printed).abs() <= 1.0 / 16.0,
        "{reach_in} is not {printed}"
    );
}

#[test]
fn ice_barrier_reaches_as_far_as_a_trade_magazine_printed() {
    // A trade magazine's table (READ): 12 in overhang, 6 in wall counted, 24 in inside: 47, 50 1/2, 59 3/8 in.
    let shipped = MaterialSettings::shipped(false).unwrap();
    for (rise, printed) in [(6.0, 47.0), (8.0, 50.5), (12.0, 59.375)] {
        sixteenths(ice_reach_in(Pitch::in_12(rise), 12.0, &shipped), printed);
    }
}

#[test]
fn from_the_outside_face_of_the_wall_ice_barrier_reaches_less() {
    // Worked: (12 + 24) × 1.11803 = 40.25 in, 40 1/4 in.
    let outside = settings("[site]\nwall_face = \"outside\"\n");
    assert_eq!(outside.wall_face, WallFace::Outside);
    near(
        ice_reach_in(Pitch::in_12(6.0), 12.0, &outside),
        36.0 * 1.25_f64.sqrt(),
    );
    sixteenths(ice_reach_in(Pitch::in_12(6.0), 12.0, &outside), 40.25);
}

#[test]
fn at_8_in_12_ice_barrier_is_36_in_at_least_until_the_2024_edition() {
    // R905.1.2 of 2015 to 2021 and its removal in 2024 (READ in a code forum's quotation). Without overhang and from
    // the outside face 24 × 1.20185 = 28.84 in.
    let bare = 24.0 * Pitch::in_12(8.0).slope_factor();
    for (edition, reach) in [
        ("2012", bare),
        ("2015", 36.0),
        ("2018", 36.0),
        ("2021", 36.0),
        ("2024", bare),
    ] {
        let job = format!("[site]\nwall_face = \"outside\"\ncode = \"{edition}\"\n");
        near(ice_reach_in(Pitch::in_12(8.0), 0.0, &settings(&job)), reach);
    }
    // Under 8:12 the rule is silent, and it can be switched off.
    let job = "[site]\nwall_face = \"outside\"\n";
    near(
        ice_reach_in(Pitch::in_12(7.0), 0.0, &settings(job)),
        24.0 * Pitch::in_12(7.0).slope_factor(),
    );
    let off = format!("{job}rules_off = [\"ice-barrier-steep\"]\n");
    near(ice_reach_in(Pitch::in_12(8.0), 0.0, &settings(&off)), bare);
}

const ICE: &str = "[plan]\neave_overhang = \"12in\"\n[site]\nice_barrier = true\n";

#[test]
fn one_36_in_roll_is_not_enough_ice_barrier_at_6_in_12() {
    // 46.96 in reach: (46.96 - 3.5) / (36 - 3.5) = 1.34, so two rows of 40 ft on each of two eaves, 160 ft of 65 ft
    // rolls: the rests of 25 ft and 9.5 ft are lapped on by 6 in. 160 + laps / 65 = 2.48, so 3.
    let list = list(&gable(40.0, 24.0, 6.0), ICE);
    let ice = line(&list, "self_adhered_sheet");
    near(ice.needed, 2.0 * 40.0 * 42.0 * 1.25_f64.sqrt() / 12.0);
    near(ice.consumed, 3.0 * (160.0 + 2.0 * 0.5));
    near(ice.quantity, 3.0);
    assert!(ice.basis.contains("4 rows"), "{}", ice.basis);
}

#[test]
fn ice_barrier_on_a_hip_shortens_with_the_row() {
    // Hip 40 × 24 at 6:12: the second row starts 32.5 in up the slope, that is 29.07 in in plan, and is shorter by as
    // much at either end. Perimeter 128 ft; second rows 128 - 8 × 2.4224.
    let list = list(&hip(40.0, 24.0, 6.0), ICE);
    let ice = line(&list, "self_adhered_sheet");
    let second = 128.0 - 8.0 * 32.5 / 12.0 / 1.25_f64.sqrt();
    assert!(ice.basis.contains("8 rows"), "{}", ice.basis);
    let least = 3.0 * (128.0 + second);
    assert!(
        ice.consumed >= least && ice.consumed < least + 3.0 * 5.0,
        "{} {least}",
        ice.consumed
    );
}

#[test]
fn without_a_word_on_ice_barrier_none_is_listed_and_that_is_told() {
    let list = list(&gable(40.0, 24.0, 6.0), "");
    assert!(absent(&list, "self_adhered_sheet"));
    assert!(
        list.findings
            .iter()
            .any(|f| f.code == "ice-barrier-not-said")
    );
    let guessed = crate::materials::list(&gable(40.0, 24.0, 6.0), "[site]\nice_barrier = true\n");
    assert!(
        guessed
            .findings
            .iter()
            .any(|f| f.code == "overhang-assumed")
    );
}

#[test]
fn felt_is_laid_in_rows_of_34_in_net() {
    // 2 in side laps (READ, a city's page), 6 in past the ridge (READ, Navy manual 14044). Slope 13.416 ft = 161.0 in
    // and 6 in: (167 - 2) / 34 = 4.85, so 5 rows of 40 ft on each face; 400 ft of 144 ft rolls with two laps of 4 in.
    let list = list(&gable(40.0, 24.0, 6.0), "");
    let felt = line(&list, "underlayment");
    near(felt.needed, 960.0 * 1.25_f64.sqrt());
    assert!(felt.basis.contains("10 rows of 400 ft"), "{}", felt.basis);
    near(felt.consumed, 3.0 * (400.0 + 2.0 / 3.0));
    near(felt.quantity, 3.0);
}

#[test]
fn under_4_in_12_felt_is_laid_double_with_a_19_in_strip() {
    // 19 in strip, then 36 in sheets lapping 19 in (READ, Navy guide specification): 17 in net. 3:12: 148.4 in and
    // 6 in past the ridge: 154.4 in. The ninth row, from 136 in, ends at 172 in; the tenth would begin at 153 in, beyond the
    // ridge. So 9 rows and the strip: 10 of 40 ft on each face, 800 ft; 6 rolls of 144 ft.
    let list = list(&gable(40.0, 24.0, 3.0), "");
    let felt = line(&list, "underlayment");
    assert!(felt.basis.contains("20 rows of 800 ft"), "{}", felt.basis);
    near(felt.quantity, 6.0);
    assert_eq!(
        felt.rules,
        ["underlayment-low-slope", "underlayment-overlaps"]
    );
    // 4:12 itself is single.
    let single = crate::materials::list(&gable(40.0, 24.0, 4.0), "");
    assert_eq!(line(&single, "underlayment").rules[0], "underlayment");
}

#[test]
fn double_felt_has_no_row_more_for_the_two_inches_that_lie_double_already() {
    // 3.5:12 over 15 ft: 187.5 in up the slope. The tenth sheet, from 153 in, ends at 189 in and the eleventh, from 170 in, at
    // 206 in: two layers over all of the slope, one past the ridge. With the strip 12 rows of 48 ft a face: 1,152 ft, 8 rolls.
    let list = list(&gable(48.0, 30.0, 3.5), "");
    let felt = line(&list, "underlayment");
    assert!(felt.basis.contains("24 rows of 1,152 ft"), "{}", felt.basis);
    near(felt.quantity, 8.0);
}

#[test]
fn felt_starts_where_the_ice_barrier_ends() {
    // Two rows of ice barrier end 36 + 32.5 = 68.5 in up. From 66.5 in to 167 in: (100.5 - 2) / 34 = 2.9, so 3 rows.
    let list = list(&gable(40.0, 24.0, 6.0), ICE);
    let felt = line(&list, "underlayment");
    assert!(felt.basis.contains("6 rows of 240 ft"), "{}", felt.basis);
    near(felt.needed, 80.0 * (12.0 * 1.25_f64.sqrt() - 68.5 / 12.0));
}

#[test]
fn a_face_under_2_in_12_is_left_out_and_told() {
    // R905.2.2 (READ).
    let list = list(&gable(40.0, 24.0, 1.9), "");
    assert!(list.lines.is_empty(), "{:?}", list.lines);
    assert_eq!(
        list.findings
            .iter()
            .filter(|f| f.code == "slope-refused")
            .count(),
        2
    );
    assert!(
        !crate::materials::list(&gable(40.0, 24.0, 2.0), "")
            .lines
            .is_empty()
    );
}

#[test]
fn drip_edge_takes_one_more_piece_as_soon_as_the_lap_is_missing() {
    // Pieces of 10 ft lapping 2 in (lap READ, R905.2.8.5): n pieces reach 10 ft + (n - 1) × 9 ft 10 in.
    for (length, pieces) in [
        (10.0, 1.0),
        (10.1, 2.0),
        (236.0 / 12.0, 2.0),
        (238.0 / 12.0, 2.0),
        (20.0, 3.0),
    ] {
        let list = list(&gable(length, 24.0, 6.0), "");
        near(line(&list, "drip_edge_eave").quantity, 2.0 * pieces);
    }
}

#[test]
fn rests_of_drip_edge_serve_other_runs_where_the_job_allows_it() {
    // Four rakes of 161.0 in: one whole piece each and a rest of 43.0 in; two rests come out of one piece.
    let list = list(
        &gable(40.0, 24.0, 6.0),
        "[materials]\nshare_offcuts = true\n",
    );
    let rake = line(&list, "drip_edge_rake");
    near(rake.quantity, 6.0);
    near(
        rake.consumed,
        4.0 * (10.0 + 12.0 * 1.25_f64.sqrt() - 118.0 / 12.0),
    );
    near(rake.left_over, 60.0 - rake.consumed);
}

#[test]
fn an_open_metal_valley_is_pieced_on_its_true_length() {
    // Valleys of 12.000 ft and 6 in past each end, 10 ft pieces lapping 6 in: (156 - 6) / 114 = 1.32, so 2 each. Width
    // of 24 in and pieces up to 10 ft READ; laps common practice, no source.
    let list = in_valley(&gable_with_wing(), ValleyType::OpenMetal, "");
    let metal = line(&list, "valley_metal");
    near(metal.needed, 24.0);
    near(metal.quantity, 4.0);
    // Both sides of an open valley are cut: 48 ft at 15 ft a gallon.
    near(line(&list, "roof_cement").quantity, 4.0);
}

#[test]
fn an_open_roll_valley_takes_a_half_width_under_a_whole_one() {
    // 18 in under, 36 in over (READ, R905.2.8.2(2)): 1.5 × 13 ft on each of two valleys, 39 ft of 36 ft rolls.
    let list = in_valley(&gable_with_wing(), ValleyType::OpenRoll, "");
    let roll = line(&list, "valley_mineral_roll");
    near(roll.needed, 24.0);
    near(roll.quantity, 2.0);
}

#[test]
fn a_closed_valley_is_lined_once_and_cut_on_one_side() {
    // One ply 36 in wide (READ, R905.2.8.2(3)).
    let list = in_valley(&gable_with_wing(), ValleyType::ClosedCut, "");
    near(line(&list, "self_adhered_sheet").needed, 24.0 * 3.0);
    near(line(&list, "roof_cement").needed, 24.0);
    let woven = in_valley(&gable_with_wing(), ValleyType::Woven, "");
    assert!(absent(&woven, "roof_cement"));
    let smooth = in_valley(
        &gable_with_wing(),
        ValleyType::Woven,
        "[materials]\nvalley_lining = \"smooth-roll\"\n",
    );
    near(line(&smooth, "valley_smooth_roll").consumed, 26.0);
}

#[test]
fn step_flashing_is_one_piece_a_course_and_one_more() {
    // 13.416 ft at 5 in: 32.2, so 33, and one: 34. Rule READ (R905.2.8.3); the one more: common practice, no source.
    let roof = face(6.0, Sidewall, Ridge, Rake).roof();
    let list = list(&roof, "");
    near(line(&list, "step_flashing").quantity, 34.0);
    // Its foot is at the end of the eave.
    near(line(&list, "kick_out").quantity, 1.0);
}

#[test]
fn a_wall_takes_continuous_flashing_where_the_job_says_so() {
    // R905.2.8.3 (READ) allows either. 13.416 ft in 10 ft pieces lapping 6 in (common practice, no source):
    // (161.0 - 6) / 114 = 1.36, so 2. Round a chimney it stays stepped: 8 + 1 pieces on either side of 3 ft.
    let roof = face(6.0, Sidewall, Ridge, Rake)
        .opening("chimney", 24.0, 3.0)
        .roof();
    let list = list(&roof, "[materials]\nsidewall_flashing = \"continuous\"\n");
    near(
        line(&list, "sidewall_flashing").needed,
        12.0 * 1.25_f64.sqrt(),
    );
    near(line(&list, "sidewall_flashing").quantity, 2.0);
    near(line(&list, "step_flashing").quantity, 18.0);
}

#[test]
fn a_headwall_takes_an_apron_with_returns() {
    // 20 ft and 4 in past each side (READ, a state specification): (248 - 4) / (120 - 4) = 2.10, so 3.
    let list = list(&face(6.0, Rake, Headwall, Rake).roof(), "");
    near(line(&list, "apron_flashing").quantity, 3.0);
    assert!(absent(&list, "hip_ridge_cap") && absent(&list, "counterflashing"));
}

#[test]
fn crickets_are_as_high_as_the_table_of_the_code_says() {
    // Table R1003.20 (from memory; 12:12 READ second hand): W/2, W/3, W/4, W/6, W/8.
    for (rise, part) in [(12.0, 2.0), (8.0, 3.0), (6.0, 4.0), (4.0, 6.0), (3.0, 8.0)] {
        near(
            cricket_height(Length::inches(36.0), Pitch::in_12(rise)).to_inches(),
            36.0 / part,
        );
    }
}

#[test]
fn a_chimney_takes_a_cricket_only_when_it_is_wider_than_30_in() {
    // R903.2.2 (READ in an inspectors' archive).
    let chimney = |width| {
        list(
            &face(6.0, Rake, Ridge, Rake)
                .opening("chimney", width, 3.0)
                .roof(),
            "",
        )
    };
    assert!(absent(&chimney(30.0), "cricket"));
    let wide = chimney(36.0);
    assert_eq!(line(&wide, "cricket").variant, "36 in wide, 9 in high");
    // Prices are looked up by one key whatever units sizes are printed in: inches, width by height.
    let roof = face(6.0, Rake, Ridge, Rake).opening("chimney", 36.0, 3.0);
    let metric = MaterialSettings::shipped(true).unwrap();
    let roof = roof.roof();
    let metric = MaterialList::compute(&roof, &courses(&roof), &metric);
    assert_eq!(line(&metric, "cricket").variant, "914 mm wide, 229 mm high");
    for list in [&wide, &metric] {
        assert_eq!(line(list, "cricket").price_key(), "cricket:36x9");
    }
    // Own golden roof: two sides of 2.5156 ft² together.
    assert!(
        wide.findings
            .iter()
            .any(|f| f.code == "cricket-needed" && f.message.contains("2.52 ft²"))
    );
    // Flashing: apron 3 ft + 8 in in one piece, sides 3 ft at 5 in: 8 + 1 pieces each. The cricket has its own flanges.
    near(line(&wide, "apron_flashing").quantity, 1.0);
    assert!(absent(&wide, "head_flashing"));
    near(line(&wide, "step_flashing").quantity, 18.0);
    near(line(&wide, "counterflashing").needed, 12.0);
    // Another opening as wide takes one too (R903.2.2: chimney or penetration), and is called what it is.
    let hatch = face(6.0, Rake, Ridge, Rake).opening("hatch", 36.0, 3.0);
    let hatch = list(&hatch.roof(), "");
    assert!(line(&hatch, "cricket").basis.contains("openings"));
    assert!(line(&wide, "cricket").basis.contains("chimneys"));
}

#[test]
fn pipes_take_the_smallest_boot_that_fits() {
    let builder = || face(6.0, Rake, Ridge, Rake);
    let roof = builder()
        .pipe(Some(3.0))
        .pipe(Some(3.0))
        .pipe(Some(1.6))
        .pipe(None)
        .pipe(Some(6.0))
        .roof();
    let list = list(&roof, "");
    let boots: Vec<(String, f64)> = list
        .lines
        .iter()
        .filter(|l| l.key == "pipe_boot")
        .map(|l| (l.variant.clone(), l.quantity))
        .collect();
    let expected = [
        ("1.5 in", 1.0),
        ("3 in", 2.0),
        ("6 in", 1.0),
        ("size not given", 1.0),
    ];
    assert_eq!(boots, expected.map(|(v, n)| (v.to_owned(), n)));
    for code in ["pipe-diameter", "pipe-wide"] {
        assert_eq!(
            list.findings.iter().filter(|f| f.code == code).count(),
            1,
            "{code}"
        );
    }
    // Five pipes at four to a tube.
    near(line(&list, "sealant").quantity, 2.0);
}

#[test]
fn ridge_vents_stop_short_of_the_ends_and_are_held_against_the_attic() {
    // 40 - 2 = 38 ft in 4 ft pieces: 10 (common practice, no source). 960 ft² / 150 = 6.4 ft² = 921.6 in² (READ,
    // R806.2, for the ratio).
    let job = "[site]\nattic_floor = \"960 sqft\"\n";
    let list = list(&gable(40.0, 24.0, 6.0), job);
    near(line(&list, "ridge_vent").quantity, 10.0);
    near(list.ventilation[0].required_sqin, 921.6);
    near(list.ventilation[0].ridges_hold_sqin, 38.0 * 18.0);
    assert!(list.findings.iter().all(|f| !f.code.starts_with("vents-")));
    // A pyramid has no ridge at all.
    let big = crate::materials::list(
        &hip(24.5, 24.0, 6.0),
        "[site]\nattic_floor = \"3000 sqft\"\n",
    );
    assert!(absent(&big, "ridge_vent"));
    assert!(big.findings.iter().any(|f| f.code == "vents-too-small"));
}

#[test]
fn nails_are_counted_on_pieces_laid_and_by_length() {
    // 431 pieces on each face at 4 (READ, R905.2.6), starter of two eaves: ceil(40 / 3.33 = 12) × 4 each; caps on 40 ft
    // at 5.625 in: 86 × 2. Field: two shingles of 1/4 in, 1/2 in deck and 1/8 in through: 1 1/8, so 1 1/4 in; caps over
    // a vent: 1 + 3/4 + 5/8 = 2 3/8, so 2 1/2 in (R905.2.5 READ for the deck; thicknesses common practice).
    let roof = gable(40.0, 24.0, 6.0);
    let nails = |job: &str, size: &str| {
        let list = list(&roof, job);
        let line = list
            .lines
            .iter()
            .find(|l| l.key.starts_with("roofing_nails") && l.variant == size);
        line.map(|l| l.needed)
    };
    assert_eq!(nails("", "1 1/4 in"), Some(862.0 * 4.0 + 2.0 * 12.0 * 4.0));
    assert_eq!(nails("", "2 1/2 in"), Some(172.0));
    assert_eq!(
        nails("[site]\nridge_vent = false\n", "1 3/4 in"),
        Some(172.0)
    );
    assert_eq!(
        nails("[site]\nwind = \"high\"\n", "1 1/4 in"),
        Some(862.0 * 6.0 + 96.0)
    );
    // Over one old layer (1/2 in more): 1 5/8, so 1 3/4 in.
    let over = "[site]\nexisting_layers = 1\ntear_off = false\n";
    assert_eq!(nails(over, "1 3/4 in"), Some(862.0 * 4.0 + 96.0));
}

#[test]
fn steep_faces_take_more_nails_over_20_or_21_in_12_by_the_edition() {
    // Over 21:12 (READ, 2018 page), over 20:12 in older editions (READ in an older city file).
    let many = |rise, edition: &str| {
        let roof = gable(40.0, 24.0, rise);
        let list = list(&roof, &format!("[site]\ncode = \"{edition}\"\n"));
        // Twelve starter pieces of four nails on each eave.
        let of_pieces = line(&list, "roofing_nails").needed - 96.0;
        let each = of_pieces / courses(&roof).pieces_laid() as f64;
        assert!(each == 4.0 || each == 6.0, "{each}");
        each == 6.0
    };
    assert!(many(20.5, "2009") && !many(20.5, "2018") && many(21.5, "2018"));
    assert!(!many(20.0, "2009") && !many(21.0, "2024"));
    near(rules::steep_above_in_12(Edition::Irc2021), 21.0);
}

#[test]
fn starter_lies_at_eaves_and_at_rakes_by_choice() {
    // 80 ft of 105 ft a bundle; with 53.67 ft of rakes 133.67 ft. Common practice, no source.
    let roof = gable(40.0, 24.0, 6.0);
    near(line(&list(&roof, ""), "starter").quantity, 1.0);
    let both = list(&roof, "[materials]\nstarter_at_rakes = true\n");
    near(line(&both, "starter").needed, 80.0 + 48.0 * 1.25_f64.sqrt());
    near(line(&both, "starter").quantity, 2.0);
}

#[test]
fn caps_can_be_cut_from_the_tabs_of_field_shingles() {
    // 40 ft at 5 in: 96 caps, three from a shingle: 32 more than 860; 892 / 27 = 33.04, so 34, and a spare. READ: a
    // textbook and a Navy manual cut caps from strips; three a shingle follows from three tabs.
    let list = list(
        &gable(40.0, 24.0, 6.0),
        "[materials]\ncaps_from_field = true\n",
    );
    assert!(absent(&list, "hip_ridge_cap"));
    near(line(&list, "shingles").consumed, 892.0);
    near(line(&list, "shingles").quantity, 35.0);
}

#[test]
fn handling_is_an_allowance_apart_from_computed_waste() {
    // 860 × 1.05 = 903; / 27 = 33.44, so 34 instead of 32, and one spare.
    let list = list(
        &gable(40.0, 24.0, 6.0),
        "[materials]\nhandling_percent = 5\n",
    );
    let field = line(&list, "shingles");
    near(field.consumed, 860.0);
    near(field.quantity, 35.0);
    near(field.allowance, 3.0);
    assert!(field.basis.contains("5 % for handling"), "{}", field.basis);
}

#[test]
fn what_comes_off_is_weighed_and_fills_containers() {
    // 275 lb and 0.6 yd³ a square and layer (common practice; the volume from READ totals), 20 yd³ and 4 tons.
    let one = TearOff::of(10.0, 1);
    near(one.weight_lb, 2750.0);
    near(one.volume_cuyd, 6.0);
    near(one.containers, 1.0);
    // 40 squares in two layers: 22,000 lb is 2.75 containers by weight, 48 yd³ 2.4 by volume.
    near(TearOff::of(40.0, 2).containers, 3.0);
    let list = list(&gable(40.0, 24.0, 6.0), "[site]\nexisting_layers = 1\n");
    near(list.tear_off.unwrap().squares, 9.6 * 1.25_f64.sqrt());
    // Two sheets for ten squares: 2.15, so 3.
    near(line(&list, "deck_sheet").quantity, 3.0);
}

#[test]
fn two_layers_may_not_stay_under_new_shingles() {
    // R908.3.1.1 (READ).
    let told = |layers: u32| {
        let job = format!("[site]\nexisting_layers = {layers}\ntear_off = false\n");
        list(&gable(40.0, 24.0, 6.0), &job)
            .findings
            .iter()
            .any(|f| f.code == "too-many-layers")
    };
    assert!(told(2) && !told(1));
}

#[test]
fn bundles_are_weighed_to_be_spread_along_the_ridge() {
    let list = list(&gable(40.0, 24.0, 6.0), "");
    let loading = list.loading.unwrap();
    let weight_lb = loading.weight_lb.unwrap();
    near(
        weight_lb,
        33.0 * courses(&gable(40.0, 24.0, 6.0)).format.bundle_weight_lb,
    );
    near(loading.lb_per_ridge_ft().unwrap(), weight_lb / 40.0);
}

#[test]
fn bundles_whose_weight_nobody_stated_are_not_said_to_weigh_nothing() {
    let roof = gable(40.0, 24.0, 6.0);
    let mut courses = courses(&roof);
    courses.format.bundle_weight_lb = 0.0;
    let list = MaterialList::compute(&roof, &courses, &settings(""));
    let loading = list.loading.unwrap();
    assert_eq!((loading.bundles, loading.weight_lb), (33.0, None));
    assert_eq!(loading.lb_per_ridge_ft(), None);
}

#[test]
fn a_high_edge_takes_the_edge_metal_of_rakes() {
    let list = list(&face(6.0, Rake, HighEdge, Rake).roof(), "");
    near(
        line(&list, "drip_edge_rake").needed,
        20.0 + 24.0 * 1.25_f64.sqrt(),
    );
    assert!(
        line(&list, "drip_edge_rake")
            .basis
            .contains("high edges 20 ft in 1 run")
    );
}

#[test]
fn an_eave_drawn_in_two_pieces_is_one_run() {
    use eavewright::roof::EdgeClass;
    let split: &[(f64, f64)] = &[
        (0.0, 0.0),
        (7.0, 0.0),
        (20.0, 0.0),
        (20.0, 12.0),
        (0.0, 12.0),
    ];
    let classes: &[EdgeClass] = &[Eave, Eave, Rake, Ridge, Rake];
    let roof = crate::materials_support::RoofBuilder::default()
        .face("S1", 6.0, (0.0, -1.0), (0.0, 0.0), split, classes)
        .roof();
    // 7 and 13 ft would take 1 + 2 pieces of drip edge and lap nowhere; 20 ft takes 3 with laps.
    let list = list(&roof, "");
    let eave = line(&list, "drip_edge_eave");
    assert!(eave.basis.contains("in 1 run"), "{}", eave.basis);
    near(eave.needed, 20.0);
}

#[test]
fn rules_that_do_not_apply_are_switched_off_by_name() {
    let list = list(
        &gable(40.0, 24.0, 6.0),
        "[site]\nrules_off = [\"drip-edge\", \"underlayment\"]\n",
    );
    assert!(
        absent(&list, "drip_edge_eave")
            && absent(&list, "underlayment")
            && absent(&list, "cap_nails")
    );
    near(line(&list, "shingles").quantity, 33.0);
}

#[test]
fn a_metric_job_gets_metric_packages() {
    // 12.192 m eaves in 2 m pieces lapping 50 mm: (12192 - 50) / 1950 = 6.23, so 7 each.
    let roof = gable(40.0, 24.0, 6.0);
    let metric = MaterialSettings::shipped(true).unwrap();
    let list = MaterialList::compute(&roof, &courses(&roof), &metric);
    let eave = line(&list, "drip_edge_eave");
    near(eave.needed, 24.384);
    assert_eq!((eave.needed_unit.as_str(), eave.quantity), ("m", 14.0));
    assert!(
        list.lines
            .iter()
            .all(|l| !l.basis.contains(" ft") && !l.basis.contains(" in ÷"))
    );
}

#[test]
fn a_valley_lining_narrower_than_the_code_asks_is_told() {
    // 24 in of metal (READ, R905.2.8.2(1)).
    let narrow = "[materials.products.valley_metal]\nwidth = \"20in\"\n";
    let told = |job| {
        let list = in_valley(&gable_with_wing(), ValleyType::OpenMetal, job);
        list.findings
            .iter()
            .any(|f| f.code == "valley-lining-narrow")
    };
    assert!(told(narrow) && !told(""));
}

#[test]
fn ice_barrier_follows_eaves_at_two_heights() {
    use eavewright::roof::EdgeClass;
    // A face with a wall cut into its left foot: eave at 0 from 10 to 20 ft, and at 6 ft of plan from 0 to 10 ft.
    let corners: &[(f64, f64)] = &[
        (10.0, 0.0),
        (20.0, 0.0),
        (20.0, 12.0),
        (0.0, 12.0),
        (0.0, 6.0),
        (10.0, 6.0),
    ];
    let classes: &[EdgeClass] = &[Eave, Rake, Ridge, Rake, Eave, Rake];
    let roof = crate::materials_support::RoofBuilder::default()
        .face("S1", 6.0, (0.0, -1.0), (0.0, 0.0), corners, classes)
        .roof();
    let list = list(&roof, ICE);
    let ice = line(&list, "self_adhered_sheet");
    // Reach 3.913 ft of 6.708 ft to the upper eave: two lower rows of 10 ft, and two upper ones over the 10 ft of that eave.
    assert!(ice.basis.contains("4 rows of 40 ft"), "{}", ice.basis);
    near(ice.needed, (10.0 + 10.0) * 3.5 * 1.25_f64.sqrt());
    assert!(
        list.findings
            .iter()
            .any(|f| f.code == "eaves-at-two-heights")
    );
}

#[test]
fn cap_nails_go_with_the_underlayment_and_not_with_the_sealing() {
    let list = list(
        &gable(40.0, 24.0, 6.0),
        "[site]\nrules_off = [\"sealing\"]\n",
    );
    // One a square foot: 1,073.31.
    near(line(&list, "cap_nails").needed, 960.0 * 1.25_f64.sqrt());
    assert_eq!(
        line(&list, "cap_nails").rules,
        ["underlayment", "underlayment-overlaps"]
    );
}

#[test]
fn a_product_whose_size_is_changed_is_called_by_its_new_size() {
    let settings = settings(
        "[materials.products.valley_metal]\nlength = \"8ft\"\n\
         [materials.products.self_adhered_sheet]\nwidth = \"39.375in\"\n\
         [materials.products.cap_nails]\nholds = 1500\n\
         [materials.products.drip_edge_eave]\nlength = \"12ft 6in\"\n\
         [materials.products.drip_edge_rake]\nname = \"Rake metal\"\nlength = \"12ft\"\n\
         [materials.products.ridge_vent]\nend_lap = \"1in\"\n\
         [materials.products.hip_ridge_cap]\nholds = 30\n",
    );
    let name = |key: &str| settings.catalog.product(key).unwrap().name.clone().unwrap();
    assert_eq!(name("valley_metal"), "Valley metal, 24 in × 8 ft");
    assert_eq!(
        name("self_adhered_sheet"),
        "Self-adhered sheet, 39.375 in × 65 ft"
    );
    assert_eq!(name("cap_nails"), "Cap nails, box of 1,500");
    assert_eq!(name("drip_edge_eave"), "Drip edge for eaves, 12.5 ft");
    assert_eq!(name("drip_edge_rake"), "Rake metal");
    assert_eq!(name("ridge_vent"), "Ridge vent, 4 ft");
    assert_eq!(name("hip_ridge_cap"), "Hip and ridge cap");
}

#[test]
fn new_shingles_over_old_ones_take_no_sheets() {
    let over = "[plan]\neave_overhang = \"12in\"\n[site]\nice_barrier = true\nexisting_layers = 1\ntear_off = false\n";
    let roof = gable_with_wing();
    let laid_over = list(&roof, over);
    for key in ["underlayment", "self_adhered_sheet", "cap_nails"] {
        assert!(absent(&laid_over, key), "{key}");
    }
    assert!(!absent(&laid_over, "drip_edge_eave") && !absent(&laid_over, "starter"));
    assert_eq!(laid_over.layers_kept, 1);
    let told = |code: &str| {
        let mut found = laid_over.findings.iter();
        found.any(|f| f.code == code && !f.remedy.is_empty())
    };
    assert!(told("overlay-without-sheets") && told("overlay-without-ice-barrier"));
    // The job may ask for them, and a deck that is stripped or new takes them.
    for job in [
        over.replace("ice_barrier", "rules_off = [\"overlay\"]\nice_barrier"),
        over.replace("tear_off = false", "tear_off = true"),
        over.replace("existing_layers = 1", "existing_layers = 0"),
    ] {
        let list = list(&roof, &job);
        assert!(
            !absent(&list, "underlayment") && !absent(&list, "self_adhered_sheet"),
            "{job}"
        );
    }
}

#[test]
fn metal_in_open_valleys_is_laid_over_old_roofing_too() {
    let over = "[site]\nexisting_layers = 1\ntear_off = false\n";
    let list = in_valley(&gable_with_wing(), ValleyType::OpenMetal, over);
    assert!(!absent(&list, "valley_metal") && absent(&list, "underlayment"));
}

#[test]
fn a_ridge_too_short_for_a_vent_takes_the_nails_of_a_hip() {
    // 1.5 ft of ridge: less a foot at each end nothing is left. Three caps of 5 5/8 in and two nails each, through four
    // layers: 1 + 5/8 in. With a vent of 3/4 in between, 2 1/2 in.
    let short = gable(1.5, 12.0, 6.0);
    let of_caps = |roof: &Roof, key: &str| {
        let list = list(roof, "");
        let caps = list
            .lines
            .into_iter()
            .filter(|l| l.key == key && l.basis.contains("caps"));
        caps.map(|l| l.variant).collect::<Vec<_>>()
    };
    assert_eq!(of_caps(&short, "roofing_nails"), ["1 3/4 in"]);
    assert!(of_caps(&short, "roofing_nails_long").is_empty());
    assert_eq!(
        of_caps(&gable(40.0, 12.0, 6.0), "roofing_nails_long"),
        ["2 1/2 in"]
    );
}

#[test]
fn slivers_of_rake_are_cut_from_one_piece() {
    // Four rakes of 6 in of plan, 6.7 in long, beside an eave that stands back: 27 in all, from one piece of 10 ft.
    use eavewright::roof::EdgeClass;
    let mut to = crate::materials_support::RoofBuilder::default();
    for i in 0..4 {
        let x = f64::from(i) * 50.0;
        let corners = [
            (x, 0.0),
            (x + 20.0, 0.0),
            (x + 20.0, 0.5),
            (x + 40.0, 0.5),
            (x + 40.0, 12.0),
            (x, 12.0),
        ];
        let classes: &[EdgeClass] = &[Eave, Rake, Eave, EdgeClass::Hip, Ridge, EdgeClass::Hip];
        to = to.face(
            &format!("S{i}"),
            6.0,
            (0.0, -1.0),
            (x, 0.0),
            &corners,
            classes,
        );
    }
    let list = list(&to.roof(), "");
    let rake = line(&list, "drip_edge_rake");
    near(rake.needed, 4.0 * 0.5 * 1.25_f64.sqrt());
    near(rake.quantity, 1.0);
    assert!(rake.basis.contains("short rakes"), "{}", rake.basis);
}

#[test]
fn bundles_too_heavy_for_a_short_ridge_go_up_in_lifts() {
    use eavewright::materials::Spread;
    // 33 bundles of 70 lb on 40 ft of ridge are 58 lb a foot; a hip roof with 4 ft of ridge has some 30 bundles, 525 lb a foot.
    let spread = |roof: &Roof| list(roof, "").loading.unwrap().spread();
    assert_eq!(spread(&gable(40.0, 24.0, 6.0)), Spread::AlongRidge);
    assert_eq!(
        spread(&crate::materials_support::hip(32.0, 28.0, 6.0)),
        Spread::InLifts
    );
    assert_eq!(Spread::of(0.0, Some(100.0)), Spread::NoRidge);
    assert_eq!(Spread::of(10.0, None), Spread::AlongRidge);
    assert_eq!(
        [1600.0, 1601.0].map(|lb| Spread::of(10.0, Some(lb))),
        [Spread::AlongRidge, Spread::InLifts]
    );
}

#[test]
fn what_is_told_of_chimneys_or_pipes_that_are_alike_is_told_once_with_all_their_places() {
    let mut builder = face(6.0, Rake, Ridge, Rake);
    for width in [36.0, 36.0, 48.0] {
        builder = builder.opening("chimney", width, 3.0);
    }
    for diameter in [Some(4.5), Some(4.5), Some(6.0), None, None, None] {
        builder = builder.pipe(diameter);
    }
    let list = list(&builder.roof(), "");
    let told = |code: &str| -> Vec<(String, usize)> {
        let findings = list.findings.iter().filter(|f| f.code == code);
        let begin = |message: &str| message.split([':', ';']).next().unwrap().to_owned();
        findings
            .map(|f| (begin(&f.message), f.places.len()))
            .collect()
    };
    let expected = |rows: &[(&str, usize)]| -> Vec<(String, usize)> {
        rows.iter()
            .map(|(words, n)| ((*words).to_owned(), *n))
            .collect()
    };
    assert_eq!(
        told("cricket-needed"),
        expected(&[
            (
                "2 chimneys (2 on S1) are 36 in wide across the fall, over 30 in",
                2
            ),
            (
                "The chimney on S1 is 48 in wide across the fall, over 30 in",
                1
            ),
        ])
    );
    assert_eq!(
        told("pipe-wide"),
        expected(&[
            (
                "2 pipes of 4.5 in (2 on S1) are wider than any boot sold",
                2
            ),
            ("A pipe of 6 in is wider than any boot sold", 1),
        ])
    );
    assert_eq!(
        told("pipe-diameter"),
        expected(&[("3 pipes (3 on S1) have no diameter", 3)])
    );
}

#[test]
fn eaves_and_high_edges_under_a_foot_are_cut_one_after_the_other_from_one_piece_as_rakes_are() {
    let mut to = crate::materials_support::RoofBuilder::default();
    for i in 0..2 {
        let x = f64::from(i) * 50.0;
        let corners = [
            (x, 0.0),
            (x + 20.0, 0.0),
            (x + 20.0, 0.5),
            (x + 20.4, 0.5),
            (x + 20.4, 1.0),
            (x + 40.0, 1.0),
            (x + 40.0, 12.0),
            (x + 39.6, 12.0),
            (x + 39.6, 12.2),
            (x, 12.2),
        ];
        let classes = [
            Eave, Rake, Eave, Rake, Eave, Rake, HighEdge, Rake, HighEdge, Rake,
        ];
        to = to.face(
            &format!("S{i}"),
            6.0,
            (0.0, -1.0),
            (x, 0.0),
            &corners,
            &classes,
        );
    }
    let list = list(&to.roof(), "");
    // Pieces of 10 ft lapping 2 in. 20 ft takes 3 and 19.6 ft takes 2 on each face; both of 0.4 ft come out of one more.
    let eave = line(&list, "drip_edge_eave");
    near(eave.needed, 80.0);
    near(eave.quantity, 11.0);
    // 39.6 ft takes 5, the rakes of 11 × 1.118 and 12.2 × 1.118 ft 2 each, on each face; all under a foot one more.
    let rake = line(&list, "drip_edge_rake");
    near(rake.quantity, 19.0);
    for (line, purpose) in [
        (eave, "short eaves 0.8 ft"),
        (rake, "short high edges 0.8 ft"),
    ] {
        assert!(line.basis.contains(purpose), "{}", line.basis);
    }
}

#[test]
fn under_valley_metal_underlayment_is_counted_6_in_past_the_centre_on_both_faces() {
    // How long all its rows are, by the line's own words: `18 rows of 412.30 ft in all`.
    let rows_ft = |valley: ValleyType, job: &str| -> f64 {
        let list = in_valley(&gable_with_wing(), valley, job);
        let basis = &line(&list, "underlayment").basis;
        let said = basis
            .split(" rows of ")
            .nth(1)
            .and_then(|s| s.split(" ft").next());
        said.and_then(|feet| feet.replace(',', "").parse().ok())
            .unwrap_or_else(|| panic!("{basis}"))
    };
    // Sheets 36 in wide lapping 2 in; each valley climbs 8.944 ft up both faces while it goes 8 ft along. On the main face three
    // rows end at each of the two, on each face of the wing four rows end at its one: 14 ends, of 6 in square to the valley and
    // so 0.5 × √(1 + (8 / 8.944)²) = 0.6708 ft along the row.
    let more = 14.0 * 0.5 * (1.0 + 0.8_f64).sqrt();
    let past = rows_ft(ValleyType::OpenMetal, "") - rows_ft(ValleyType::OpenRoll, "");
    assert!((past - more).abs() < 0.02, "{past} is not {more}");
    let off = "[site]\nrules_off = [\"underlayment-overlaps\"]\n";
    let none = rows_ft(ValleyType::OpenMetal, off) - rows_ft(ValleyType::OpenRoll, off);
    assert!(none.abs() < 1e-9, "{none}");
    // Metal under a closed valley lies as in an open one.
    let closed = rows_ft(
        ValleyType::Woven,
        "[materials]\nvalley_lining = \"metal\"\n",
    );
    assert!((closed - rows_ft(ValleyType::OpenMetal, "")).abs() < 1e-9);
}
