//! One roof drawn at several places and scales, where its corners are rounded otherwise: it takes the same packages, worked
//! by hand.

use eavewright::materials::MaterialList;
use eavewright::roof::{Flank, Roof};

use crate::materials::{line, list};
use crate::support::roof_of;

/// Units of the page to a foot, and where the roof's corner lies: at the first of them nothing is rounded.
const PLACES: [(f64, f64); 6] = [
    (10.0, 40.0),
    (18.0, 33.3),
    (28.8, 40.2),
    (24.0, 100.1),
    (9.6, 20.3),
    (28.3465, 33.3),
];

type Line = &'static [(f64, f64)];

/// A plan in feet, y down, all of its faces at 6:12.
struct Plan {
    length_ft: f64,
    roof: &'static [Line],
    /// Where the pitches are written.
    pitches: Line,
    opening: &'static str,
    outline: Line,
}

impl Plan {
    const fn of(length_ft: f64, roof: &'static [Line], pitches: Line) -> Self {
        Self {
            length_ft,
            roof,
            pitches,
            opening: "skylight",
            outline: &[],
        }
    }

    fn at(&self, (scale, edge): (f64, f64)) -> Roof {
        let place = |x: f64, y: f64| format!("{:.6} {:.6}", x * scale + edge, y * scale + edge);
        let path = |line: &[(f64, f64)]| {
            let corners: Vec<String> = line.iter().map(|&(x, y)| place(x, y)).collect();
            format!(r#"<path d="M{}"/>"#, corners.join("L"))
        };
        let text = |(x, y): (f64, f64), said: &str| {
            let place = place(x, y).replace(' ', r#"" y=""#);
            format!(r#"<text font-size="{scale}" x="{place}">{said}</text>"#)
        };
        let roof: String = self.roof.iter().map(|line| path(line)).collect();
        let pitches: String = self.pitches.iter().map(|&at| text(at, "6/12")).collect();
        let (kind, far) = (self.opening, self.length_ft);
        let opening = match self.outline {
            [] => String::new(),
            outline => path(outline),
        };
        let long = path(&[(0.0, 38.0), (far, 38.0)]) + &text((far / 2.0, 37.5), &format!("{far}'"));
        let side = (far + 20.0) * scale + 2.0 * edge;
        let svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}"><g stroke="black" fill="none"><g id="roof">{roof}</g><g id="{kind}">{opening}</g><g id="dims">{long}</g></g><g id="text">{pitches}</g></svg>"#
        );
        roof_of(svg.as_bytes()).unwrap_or_else(|f| panic!("{scale} {edge}: {f:#?}"))
    }

    fn roofs(&self) -> Vec<Roof> {
        PLACES.map(|place| self.at(place)).into()
    }

    /// How much of an item is ordered at each place.
    #[track_caller]
    fn takes(&self, key: &str, quantity: f64) {
        for (roof, place) in self.roofs().iter().zip(PLACES) {
            let list = list(roof, "");
            assert_eq!(line(&list, key).quantity, quantity, "{key} at {place:?}");
        }
    }
}

/// A gable 24 ft wide.
const fn gable(length_ft: f64, roof: &'static [Line]) -> Plan {
    Plan::of(length_ft, roof, &[(2.0, 6.0), (2.0, 18.0)])
}

/// 40 × 24 ft, with an opening.
const fn with(opening: &'static str, outline: Line) -> Plan {
    Plan {
        opening,
        outline,
        ..gable(40.0, &[GABLE_40, &[(0.0, 12.0), (40.0, 12.0)]])
    }
}

const GABLE_40: Line = &[
    (0.0, 0.0),
    (40.0, 0.0),
    (40.0, 24.0),
    (0.0, 24.0),
    (0.0, 0.0),
];

fn has(list: &MaterialList, key: &str) -> bool {
    list.lines.iter().any(|l| l.key == key)
}

#[test]
fn metal_and_vents_are_as_many_pieces_wherever_on_the_page_a_roof_is_drawn() {
    let wing = Plan::of(
        40.0,
        &[
            &[
                (0.0, 0.0),
                (40.0, 0.0),
                (40.0, 24.0),
                (28.0, 24.0),
                (28.0, 34.0),
                (12.0, 34.0),
                (12.0, 24.0),
                (0.0, 24.0),
                (0.0, 0.0),
            ],
            &[(0.0, 12.0), (40.0, 12.0)],
            &[(20.0, 34.0), (20.0, 16.0), (12.0, 24.0)],
            &[(20.0, 16.0), (28.0, 24.0)],
        ],
        &[(2.0, 6.0), (2.0, 18.0), (14.0, 29.0), (23.0, 29.0)],
    );
    // Eaves of 40, 12, 12, 10 and 10 ft in pieces of 10 ft that lap 2 in: 478 / 118 is 4.05, so 5; 142 / 118 is 1.2, so 2
    // and 2; 118 / 118, so 1 and 1.
    wing.takes("drip_edge_eave", 11.0);
    // Ridges of 40 and 18 ft less 1 ft at each end, in pieces of 4 ft: 38 / 4 is 9.5, so 10; 16 / 4, so 4.
    wing.takes("ridge_vent", 14.0);
}

#[test]
fn rows_that_fill_rolls_take_no_roll_more_wherever_a_roof_is_drawn() {
    const OUTLINE: Line = &[
        (0.0, 0.0),
        (72.0, 0.0),
        (72.0, 24.0),
        (0.0, 24.0),
        (0.0, 0.0),
    ];
    let plan = gable(72.0, &[OUTLINE, &[(0.0, 12.0), (72.0, 12.0)]]);
    // 161 in and 6 in past the ridge, in rows of 34 in net: 5 on each face, of 72 ft; two rows are one roll of 144 ft.
    plan.takes("underlayment", 5.0);
    for roof in plan.roofs() {
        let list = list(&roof, "");
        let basis = &line(&list, "underlayment").basis;
        assert!(
            basis.contains("10 rows of 720 ft in all, 0 end laps"),
            "{basis}"
        );
    }
}

#[test]
fn a_bundle_that_just_covers_the_eaves_is_one_wherever_a_roof_is_drawn() {
    const OUTLINE: Line = &[
        (0.0, 0.0),
        (52.5, 0.0),
        (52.5, 24.0),
        (0.0, 24.0),
        (0.0, 0.0),
    ];
    // Twice 52.5 ft, and a bundle of starter covers 105 ft.
    gable(52.5, &[OUTLINE, &[(0.0, 12.0), (52.5, 12.0)]]).takes("starter", 1.0);
}

#[test]
fn the_sides_of_a_skylight_drawn_at_45_degrees_are_sides_wherever_it_is_drawn() {
    let plan = with(
        "skylight",
        &[
            (21.0, 2.0),
            (23.0, 4.0),
            (21.0, 6.0),
            (19.0, 4.0),
            (21.0, 2.0),
        ],
    );
    // Each side reaches 4 ft of plan up the slope, 4.472 ft: 53.67 / 5 is 10.7, so 11 and one, twice.
    plan.takes("step_flashing", 24.0);
    for roof in plan.roofs() {
        assert_eq!(roof.openings[0].flashed(Flank::Beside).count(), 2);
        let list = list(&roof, "");
        assert!(!has(&list, "apron_flashing") && !has(&list, "head_flashing"));
    }
}

#[test]
fn a_chimney_drawn_30_in_wide_is_not_wider_wherever_it_is_drawn() {
    // IRC R903.2.2 (READ): a cricket above one of more than 30 in.
    let plan = with(
        "chimney",
        &[
            (20.0, 3.0),
            (22.5, 3.0),
            (22.5, 5.0),
            (20.0, 5.0),
            (20.0, 3.0),
        ],
    );
    plan.takes("head_flashing", 1.0);
    for roof in plan.roofs() {
        assert!(!has(&list(&roof, ""), "cricket"));
    }
}

/// A plan whose roof lines a hand traced: each of their coordinates up to 0.05 units (0.07 in on the roof) off, by dice.
fn traced(plan: &str, dice: &mut u64) -> String {
    let (from, to) = (r#"<g id="outline">"#, r#"inkscape:label="Chimney""#);
    let (before, rest) = plan.split_once(from).expect("the roof lines");
    let (lines, after) = rest.split_once(to).expect("the next layer");
    let mut thrown = || {
        *dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        ((*dice >> 33) as f64 / f64::from(1_u32 << 31) - 0.5) * 0.1
    };
    let mut off = |value: &str| -> String {
        let numbers = value.split([',', ' ']).map(|n| match n.parse::<f64>() {
            Ok(n) => format!("{:.3}", n + thrown()),
            Err(_) => n.to_owned(),
        });
        numbers.collect::<Vec<_>>().join(",")
    };
    // Attributes stand between every other pair of quotes.
    let parts = lines.split('"').enumerate();
    let parts = parts.map(|(i, part)| {
        if i % 2 == 1 {
            off(part)
        } else {
            part.to_owned()
        }
    });
    [
        before,
        from,
        &parts.collect::<Vec<_>>().join("\""),
        to,
        after,
    ]
    .concat()
}

/// The ridges lean by a hair then: half a foot past them, square to them, was a mile along the row.
#[test]
fn a_traced_plan_takes_the_rolls_of_the_drawn_one_whatever_hair_its_ridges_lean_by() {
    let plan = include_str!("../../examples/quillback-road.svg");
    let drawn = list(&roof_of(plan.as_bytes()).expect("the plan as drawn"), "");
    let felt = line(&drawn, "underlayment");
    let mut dice = 2_026;
    for throw in 0..60 {
        let traced = traced(plan, &mut dice);
        let roof = roof_of(traced.as_bytes()).unwrap_or_else(|f| panic!("{throw}: {f:#?}"));
        let list = list(&roof, "");
        let of = line(&list, "underlayment");
        assert!(
            (of.quantity - felt.quantity).abs() <= 1.0,
            "{throw}: {}",
            of.basis
        );
        assert!(
            (of.needed - felt.needed).abs() < 0.03 * felt.needed,
            "{throw}: {}",
            of.needed
        );
    }
}

/// A mansard of 47.5 by 38 ft, turned on its page: its faces come in another order, and its rows of felt are the same.
#[test]
fn a_house_takes_as_many_rolls_whichever_way_it_faces() {
    let turned = |degrees: u32, length: &str| {
        let text = |x: u32, y: u32, said: &str| format!(r#"<text x="{x}" y="{y}">{said}</text>"#);
        let steep = [(310, 399), (310, 108), (121, 248), (499, 248)];
        let low = [(310, 332), (310, 178), (198, 248), (422, 248)];
        let steep = steep.map(|(x, y)| text(x, y, "24/12")).concat();
        let low = low.map(|(x, y)| text(x, y, "4/12")).concat();
        let svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="-700 -700 1400 1400"><g transform="rotate({degrees})" font-size="9" text-anchor="middle">
            <g id="roof" fill="none" stroke="black"><path d="M100 416H520V80H100ZM142 374H478V122H142Z"/><path d="M100 416L142 374M520 416L478 374M520 80L478 122M100 80L142 122M268 248H352M142 374L268 248L142 122M478 374L352 248L478 122"/></g>
            <g id="pitch">{steep}{low}</g><g id="dims"><path stroke="black" d="M100 500H520"/>{}</g></g></svg>"#,
            text(310, 494, length)
        );
        let roof = roof_of(svg.as_bytes()).unwrap_or_else(|f| panic!("{degrees}: {f:#?}"));
        let list = list(&roof, "");
        let felt = line(&list, "underlayment");
        (felt.quantity, felt.consumed)
    };
    for length in ["45'", "46'", "47'", "47.5'", "48'", "49'"] {
        let (rolls, used_sqft) = turned(0, length);
        for degrees in [90, 180, 270] {
            let (other_rolls, other_sqft) = turned(degrees, length);
            assert_eq!(other_rolls, rolls, "{length} at {degrees}°");
            assert!(
                (other_sqft - used_sqft).abs() < 1e-6,
                "{length} at {degrees}°"
            );
        }
    }
}
