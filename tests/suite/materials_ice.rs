//! Ice barrier and underlayment on faces whose lower edge is not one level eave. Worked by hand at 6:12: √1.25 of true
//! length a foot of run; overhang 12 in, wall 6 in, 24 in inside: reach 3.5 ft of run, two rows of 36 in lapping 3.5 in,
//! together 5.708 ft up the slope.

use eavewright::materials::MaterialList;
use eavewright::roof::EdgeClass::{Eave, Headwall, PitchChange, Rake, Ridge};
use eavewright::roof::{EdgeClass, Roof};

use crate::materials::{line, list, near};
use crate::materials_support::RoofBuilder;

const ICE: &str = "[plan]\neave_overhang = \"12in\"\n[site]\nice_barrier = true\n";

fn south(corners: &[(f64, f64)], classes: &[EdgeClass]) -> RoofBuilder {
    RoofBuilder::default().face("S1", 6.0, (0.0, -1.0), (0.0, 0.0), corners, classes)
}

fn told(list: &MaterialList) -> bool {
    list.findings
        .iter()
        .any(|f| f.code == "eaves-at-two-heights" && !f.remedy.is_empty())
}

/// A slope 40 ft wide and 12 ft deep, its eave lower by so much of plan over the left 10 ft.
fn jogged(by_ft: f64) -> Roof {
    let corners = [
        (0.0, -by_ft),
        (10.0, -by_ft),
        (10.0, 0.0),
        (40.0, 0.0),
        (40.0, 12.0),
        (0.0, 12.0),
    ];
    south(&corners, &[Eave, Rake, Eave, Rake, Ridge, Rake]).roof()
}

#[test]
fn an_eave_that_jogs_takes_the_ice_barrier_of_a_straight_one() {
    // 2.4 in and 12 in of plan, 2.7 and 13.4 in up the slope: the two rows from the lower eave, 5.708 ft, cover what the
    // upper one asks for, 0.224 + 3.913 and 1.118 + 3.913 ft, and go on over it. Each eave needs 3.913 ft over its width.
    for by_ft in [0.2, 1.0] {
        let list = list(&jogged(by_ft), ICE);
        let ice = line(&list, "self_adhered_sheet");
        assert!(ice.basis.contains("2 rows of 80 ft"), "{}", ice.basis);
        near(ice.needed, 40.0 * 3.5 * 1.25_f64.sqrt());
        // All of it is covered up to one height, and the felt starts there.
        assert!(!told(&list));
        let felt = line(&list, "underlayment");
        let above = (12.0 + by_ft) * 1.25_f64.sqrt() - (6.0 - 3.5 / 12.0);
        near(felt.needed, 40.0 * above);
    }
}

#[test]
fn where_the_eave_jogs_by_more_than_the_rows_reach_one_row_more_is_laid() {
    // 3 ft of plan, 3.354 ft: wanted up to 7.267 ft, covered up to 5.708: one row lapping it, over the upper eave's 30 ft.
    let list = list(&jogged(3.0), ICE);
    let ice = line(&list, "self_adhered_sheet");
    // The first row, 3 ft high, ends below the upper eave and is 10 ft long; the second goes on over it, 40 ft.
    assert!(ice.basis.contains("3 rows of 80 ft"), "{}", ice.basis);
    near(ice.needed, 40.0 * 3.5 * 1.25_f64.sqrt());
}

#[test]
fn rows_from_a_higher_eave_lap_the_upper_edge_of_those_from_the_lower_one() {
    // 4.2 ft of plan, 4.696 ft: wanted up to 8.609 ft, covered up to 5.708. A row lapping that begins at 5.417 and ends at
    // 8.417: 2.3 in short, so a second one is laid. The first row is 10 ft long, the second 40 ft; the other two lie over the upper eave's 30 ft.
    let list = list(&jogged(4.2), ICE);
    let ice = line(&list, "self_adhered_sheet");
    assert!(ice.basis.contains("4 rows of 110 ft"), "{}", ice.basis);
    // Where what the upper eave asks for ends with the rows from the lower one, nothing more is laid.
    let even = (6.0 - 3.5 / 12.0) / 1.25_f64.sqrt() - 3.5;
    let list = crate::materials::list(&jogged(even), ICE);
    let ice = line(&list, "self_adhered_sheet");
    assert!(ice.basis.contains("2 rows of 80 ft"), "{}", ice.basis);
}

#[test]
fn eaves_of_one_level_far_apart_are_both_iced() {
    // Two legs 5 ft wide from eaves of one height, 10 ft of plan between them and the bar above: two rows on each.
    let corners = [
        (0.0, 0.0),
        (5.0, 0.0),
        (5.0, 9.0),
        (15.0, 9.0),
        (15.0, 0.0),
        (20.0, 0.0),
        (20.0, 14.0),
        (0.0, 14.0),
    ];
    let classes = [Eave, Rake, Headwall, Rake, Eave, Rake, Ridge, Rake];
    let list = list(&south(&corners, &classes).roof(), ICE);
    let ice = line(&list, "self_adhered_sheet");
    assert!(ice.basis.contains("4 rows of 20 ft"), "{}", ice.basis);
    near(ice.needed, 2.0 * 5.0 * 3.5 * 1.25_f64.sqrt());
    assert!(!told(&list));
}

#[test]
fn above_a_face_that_one_row_covers_no_underlayment_begins() {
    // 2.4 ft of plan are 2.683 ft up the slope: the second row would begin at 2.708 ft. Nothing is left for felt, not
    // even to lap the barrier over the ridge.
    let corners = [(0.0, 0.0), (40.0, 0.0), (40.0, 2.4), (0.0, 2.4)];
    let list = list(&south(&corners, &[Eave, Rake, Ridge, Rake]).roof(), ICE);
    near(
        line(&list, "self_adhered_sheet").needed,
        40.0 * 2.4 * 1.25_f64.sqrt(),
    );
    assert!(list.lines.iter().all(|l| l.key != "underlayment"));
}

#[test]
fn what_lies_lower_than_its_eave_gets_underlayment() {
    // The left 20 ft of the slope run 6 ft farther down, to a porch roof of 3:12; the eave is the right 20 ft.
    let corners = [
        (0.0, -6.0),
        (20.0, -6.0),
        (20.0, 0.0),
        (40.0, 0.0),
        (40.0, 12.0),
        (0.0, 12.0),
    ];
    for foot in [PitchChange, Headwall] {
        let roof = south(&corners, &[foot, Rake, Eave, Rake, Ridge, Rake]).roof();
        let list = list(&roof, ICE);
        // 40 × 12 and 20 × 6 ft of plan.
        near(line(&list, "underlayment").needed, 600.0 * 1.25_f64.sqrt());
        assert!(told(&list), "{foot:?}");
    }
}

#[test]
fn no_part_of_a_face_is_without_either_sheet() {
    // The face above in other measures: whatever the foot, underlayment and barrier together cover its area.
    for depth in [0.5, 2.0, 6.0, 9.0] {
        for width in [2.0, 20.0, 38.0] {
            let corners = [
                (0.0, -depth),
                (width, -depth),
                (width, 0.0),
                (40.0, 0.0),
                (40.0, 12.0),
                (0.0, 12.0),
            ];
            for foot in [Eave, PitchChange] {
                let roof = south(&corners, &[foot, Rake, Eave, Rake, Ridge, Rake]).roof();
                let list = list(&roof, ICE);
                let area = (40.0 * 12.0 + width * depth) * 1.25_f64.sqrt();
                let of = |key| line(&list, key).consumed;
                let sheets = of("underlayment") + of("self_adhered_sheet");
                assert!(sheets >= area, "{depth} {width} {foot:?}: {sheets} {area}");
                assert!(line(&list, "underlayment").needed <= area + 1e-6);
            }
        }
    }
}

#[test]
fn a_hair_of_foot_that_is_no_eave_leaves_nothing_without_a_sheet() {
    // An eighth of an inch of the foot is a pitch change: rows go on over what is narrower than the sheet.
    let corners = [
        (0.0, 0.0),
        (20.0, 0.0),
        (20.01, 0.0),
        (40.0, 0.0),
        (40.0, 12.0),
        (0.0, 12.0),
    ];
    let foot = |class| south(&corners, &[Eave, class, Eave, Rake, Ridge, Rake]).roof();
    let felt = |roof: &Roof| {
        let list = list(roof, ICE);
        assert!(!told(&list));
        line(&list, "underlayment").needed
    };
    let (hair, straight) = (felt(&foot(PitchChange)), felt(&foot(Eave)));
    assert!((hair - straight).abs() < 1.0, "{hair} {straight}");
}

/// √(1 + m²) of a rise in 12.
fn factor(rise: f64) -> f64 {
    (1.0 + (rise / 12.0) * (rise / 12.0)).sqrt()
}

/// Slopes one above the other, 36 ft wide and so deep in plan, from the eave up: rise in 12 and depth.
fn broken(slopes: &[(f64, f64)]) -> Roof {
    let mut to = RoofBuilder::default();
    let (mut y, mut z) = (0.0, 0.0);
    for (i, (rise, depth)) in slopes.iter().enumerate() {
        let last = i + 1 == slopes.len();
        let corners = [(0.0, y), (36.0, y), (36.0, y + depth), (0.0, y + depth)];
        let foot = if i == 0 { Eave } else { PitchChange };
        let top = if last { Ridge } else { PitchChange };
        // Where its plane would come down to nothing.
        let origin = (0.0, y - z / (rise / 12.0));
        let classes = [foot, Rake, top, Rake];
        to = to.face(
            &format!("S{}", i + 1),
            *rise,
            (0.0, -1.0),
            origin,
            &corners,
            &classes,
        );
        y += depth;
        z += depth * rise / 12.0;
    }
    to.roof()
}

#[test]
fn what_a_flare_leaves_of_the_reach_lies_on_the_slope_above() {
    // 2 ft of 4:12 and 10 ft of 10:12. Of 42 in of level reach the flare takes 24, and 18 are left: 25.3 and 23.4 in up the
    // slopes, 48.7 in all: two rows, 68.5 in. The first runs on over the pitch change.
    let list = list(&broken(&[(4.0, 2.0), (10.0, 10.0)]), ICE);
    let ice = line(&list, "self_adhered_sheet");
    near(ice.needed, 36.0 * (2.0 * factor(4.0) + 1.5 * factor(10.0)));
    assert!(ice.basis.contains("2 rows of 72 ft"), "{}", ice.basis);
    assert_eq!(ice.faces.len(), 2);
    let [flare, above] = list.ice.as_slice() else {
        panic!("{:?}", list.ice)
    };
    assert!(flare.is_whole && flare.goes_on && flare.from_eave && !flare.runs_on_from_below);
    assert!(above.runs_on_from_below && !above.from_eave && !above.is_whole && !above.goes_on);
    assert_eq!((flare.rows, above.rows), (1, 1));
    near(above.reach.to_feet(), 1.5 * factor(10.0));
    // The felt begins above the second row, 68.5 in up from the eave.
    let felt = line(&list, "underlayment").needed;
    let bare = 68.5 / 12.0 - 2.0 * factor(4.0);
    near(felt, 36.0 * (10.0 * factor(10.0) - bare));
}

#[test]
fn the_last_row_of_a_gambrel_covers_what_the_upper_slope_asks_for() {
    // 2.5 ft of 18:12, 54.1 in up the slope; 12 in level are left on 6:12, 13.4 in: 67.5 in, and two rows cover 68.5.
    let list = list(&broken(&[(18.0, 2.5), (6.0, 9.5)]), ICE);
    let ice = line(&list, "self_adhered_sheet");
    near(ice.needed, 36.0 * (2.5 * factor(18.0) + 1.0 * factor(6.0)));
    assert!(ice.basis.contains("2 rows of 72 ft"), "{}", ice.basis);
    assert_eq!(list.ice.iter().map(|i| i.rows).collect::<Vec<_>>(), [2, 0]);
    assert!(list.ice[1].runs_on_from_below);
}

#[test]
fn the_reach_goes_on_over_several_pitch_changes() {
    // 12, 12 and 18 in level: 12.4 + 13.4 + 25.5 = 51.2 in, two rows.
    let list = list(&broken(&[(3.0, 1.0), (6.0, 1.0), (12.0, 10.0)]), ICE);
    let ice = line(&list, "self_adhered_sheet");
    near(
        ice.needed,
        36.0 * (factor(3.0) + factor(6.0) + 1.5 * factor(12.0)),
    );
    assert!(ice.basis.contains("2 rows of 72 ft"), "{}", ice.basis);
    // The first row covers both flares, the second lies on the slope above.
    assert_eq!(
        list.ice.iter().map(|i| i.rows).collect::<Vec<_>>(),
        [1, 0, 1]
    );
}

/// A slope of 6:12, 40 ft wide, with a porch of 3:12 over its middle 24 ft, so deep in plan.
fn with_porch(depth: f64) -> Roof {
    let foot = [(0.0, 0.0), (8.0, 0.0), (32.0, 0.0), (40.0, 0.0)];
    let corners = [foot.as_slice(), &[(40.0, 12.0), (0.0, 12.0)]].concat();
    let porch = [(8.0, -depth), (32.0, -depth), (32.0, 0.0), (8.0, 0.0)];
    south(&corners, &[Eave, PitchChange, Eave, Rake, Ridge, Rake])
        .face(
            "S2",
            3.0,
            (0.0, -1.0),
            (0.0, 0.0),
            &porch,
            &[Eave, Rake, PitchChange, Rake],
        )
        .roof()
}

#[test]
fn rows_are_as_wide_as_their_eave_and_not_as_the_slope() {
    // The porch is deeper than the reach: two rows over each 8 ft of eave beside it, and two over its own 24 ft.
    let roof = with_porch(8.0);
    let deep = list(&roof, ICE);
    let ice = line(&deep, "self_adhered_sheet");
    near(ice.needed, 3.5 * (16.0 * factor(6.0) + 24.0 * factor(3.0)));
    assert!(ice.basis.contains("6 rows of 80 ft"), "{}", ice.basis);
    assert!(told(&deep));
    // A porch of 2 ft leaves 1.5 ft of it: 24.7 and 20.1 in, two rows as well.
    let shallow = list(&with_porch(2.0), ICE);
    let ice = line(&shallow, "self_adhered_sheet");
    let porch = 24.0 * (2.0 * factor(3.0) + 1.5 * factor(6.0));
    near(ice.needed, 16.0 * 3.5 * factor(6.0) + porch);
    assert!(ice.basis.contains("6 rows of 80 ft"), "{}", ice.basis);
}

#[test]
fn a_porch_whose_eave_stands_farther_out_is_told_to_need_more_than_the_one_overhang() {
    let warned = |roof: &Roof| -> Vec<String> {
        let list = list(roof, ICE);
        let found = list
            .findings
            .iter()
            .filter(|f| f.code == "porch-ice-barrier");
        found.map(|f| f.message.clone()).collect()
    };
    // Whatever the reach leaves of it: 3.5 ft end in the porch, or beyond it.
    for depth in [8.0, 2.0] {
        assert_eq!(
            warned(&with_porch(depth)),
            [
                "One overhang, 12 in, is taken for all eaves; where S2 (below S1) is a porch, the ice barrier has to reach 24 in inside the wall behind it, and is listed too short."
            ]
        );
    }
    // A slope above without an eave of its own stands on no wall in front of the flare; nor does an eave in line tell of one.
    for roof in [
        broken(&[(3.0, 8.0), (6.0, 12.0)]),
        with_porch(0.4),
        jogged(3.0),
    ] {
        assert_eq!(warned(&roof), [""; 0]);
    }
}

#[test]
fn a_face_smaller_than_the_reach_is_covered_whole_in_the_rows_laid() {
    // 2.5 ft of plan, 33.5 in up the slope: one row, though the reach is 47 in.
    let list = list(&broken(&[(6.0, 2.5)]), ICE);
    let ice = line(&list, "self_adhered_sheet");
    assert!(ice.basis.contains("1 row of 36 ft"), "{}", ice.basis);
    assert_eq!((list.ice[0].is_whole, list.ice[0].rows), (true, 1));
}

#[test]
fn a_wall_that_nobody_measured_is_told() {
    let is_told = |site: &str| {
        let list = list(&jogged(0.2), &format!("{ICE}{site}"));
        let found = list.findings.iter().find(|f| f.code == "wall-assumed");
        found.is_some_and(|f| f.message.contains("6 in") && !f.remedy.is_empty())
    };
    assert!(is_told(""));
    assert!(!is_told("wall_thickness = \"8in\"\n"));
    assert!(!is_told("wall_face = \"outside\"\n"));
}

#[test]
fn a_face_under_ice_barrier_up_to_its_top_takes_no_underlayment() {
    // 2 ft of run; the reach is 3.5 ft.
    for top in [Ridge, Rake] {
        let corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 2.0), (0.0, 2.0)];
        let low = south(&corners, &[Eave, Rake, top, Rake]).roof();
        let list = list(&low, ICE);
        near(
            line(&list, "self_adhered_sheet").needed,
            40.0 * 1.25_f64.sqrt(),
        );
        assert!(list.lines.iter().all(|l| l.key != "underlayment"));
        assert!(list.lines.iter().all(|l| l.key != "cap_nails"));
        for l in &list.lines {
            let amounts = [l.needed, l.consumed, l.needed_packages, l.left_over];
            let is_nothing_below = |x: &f64| *x == 0.0 && x.is_sign_negative();
            assert!(!amounts.iter().any(is_nothing_below), "{}", l.item);
        }
    }
}
