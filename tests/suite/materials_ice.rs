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
    // upper one asks for, 0.224 + 3.913 and 1.118 + 3.913 ft. Each part is needed once: 40 ft × 3.913 from the eaves, and over
    // the lower one as far as the upper one's goes.
    for by_ft in [0.2, 1.0] {
        let list = list(&jogged(by_ft), ICE);
        let ice = line(&list, "self_adhered_sheet");
        assert!(ice.basis.contains("2 rows of 80 ft"), "{}", ice.basis);
        near(ice.needed, (40.0 * 3.5 + 10.0 * by_ft) * 1.25_f64.sqrt());
        // All of it is covered up to one height, and the felt starts there.
        assert!(!told(&list));
        let felt = line(&list, "underlayment");
        let above = (12.0 + by_ft) * 1.25_f64.sqrt() - (6.0 - 3.5 / 12.0);
        near(felt.needed, 40.0 * above);
    }
}

#[test]
fn where_the_eave_jogs_by_more_than_the_rows_reach_one_row_more_is_laid() {
    // 3 ft of plan, 3.354 ft: wanted up to 7.267 ft, covered up to 5.708: one row lapping it, over the whole width.
    let list = list(&jogged(3.0), ICE);
    let ice = line(&list, "self_adhered_sheet");
    // The first row, 3 ft high, ends below the upper eave and is 10 ft long.
    assert!(ice.basis.contains("3 rows of 90 ft"), "{}", ice.basis);
}

#[test]
fn rows_from_a_higher_eave_lap_the_upper_edge_of_those_from_the_lower_one() {
    // 4.2 ft of plan, 4.696 ft: wanted up to 8.609 ft, covered up to 5.708. A row lapping that begins at 5.417 and ends at
    // 8.417: 2.3 in short, so a second one is laid. The first row is 10 ft long, the other three 40 ft.
    let list = list(&jogged(4.2), ICE);
    let ice = line(&list, "self_adhered_sheet");
    assert!(ice.basis.contains("4 rows of 130 ft"), "{}", ice.basis);
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
fn a_foot_drawn_a_hair_lower_than_its_eave_leaves_nothing_without_a_sheet() {
    // A fortieth of an inch over 10 ft of the foot, and no eave there: 0.02 ft² that no sheet needs to be ordered for.
    let foot = |class| {
        let corners = [
            (0.0, -0.002),
            (10.0, -0.002),
            (10.0, 0.0),
            (40.0, 0.0),
            (40.0, 12.0),
            (0.0, 12.0),
        ];
        south(&corners, &[class, Rake, Eave, Rake, Ridge, Rake]).roof()
    };
    let felt = |roof: &Roof| {
        let list = list(roof, ICE);
        assert!(!told(&list));
        line(&list, "underlayment").needed
    };
    let (hair, straight) = (felt(&foot(PitchChange)), felt(&jogged(0.0)));
    assert!((hair - straight).abs() < 1.0, "{hair} {straight}");
}
