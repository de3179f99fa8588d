//! Which part of the roof an area is of by its words: the main roof, the sloped or shingled one, a garage apart, a room beneath.

use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::review::{AgainstList, AreaCheck, Review, ReviewSettings, Subject, Verdict};

use crate::support::roof_of;

/// Ten units are a foot. Lines, pitches and what stands beside them.
fn drawn(lines: &str, pitches: &[(u32, u32, &str)], more: &str) -> String {
    let pitch =
        |(x, y, text): &(u32, u32, &str)| format!("<text x=\"{x}\" y=\"{y}\">{text}</text>");
    let pitches: String = pitches.iter().map(pitch).collect();
    format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1400 900">
<g id="roof" fill="none" stroke="black" stroke-width="1.5">{lines}</g>
<g id="pitch" font-size="10" text-anchor="middle">{pitches}</g>
<g id="dim" font-size="10" text-anchor="middle"><line x1="100" y1="60" x2="600" y2="60" stroke="black"/><text x="350" y="56">50'-0"</text></g>
<g id="note" font-size="10">{more}</g></svg>"##
    )
}

fn texts(all: &[(u32, u32, &str)]) -> String {
    let text = |(x, y, text): &(u32, u32, &str)| format!("<text x=\"{x}\" y=\"{y}\">{text}</text>");
    all.iter().map(text).collect()
}

/// A house of 50 × 28 ft at 6 in 12: 1,400 ft² of plan, 1,400 × √1.25 = 1,565.2 on the slope.
const HOUSE: &str = r#"<polyline points="100,100 600,100 600,380 100,380 100,100"/><polyline points="100,240 600,240"/>"#;
/// A garage of 24 × 22 ft at 4 in 12 that stands apart: 528 ft² of plan, 528 × √(1 + 1/9) = 556.6 on the slope.
const GARAGE: &str = r#"<polyline points="700,100 940,100 940,320 700,320 700,100"/><polyline points="700,210 940,210"/>"#;
/// A flat roof of 20 × 10 ft behind a wall on the house's southern eave: 200 ft².
const FLAT: &str = r#"<polyline points="200,380 200,480 400,480 400,380"/>"#;
const WALL: &str = r#"</g><g id="wall" stroke="black"><line x1="200" y1="380" x2="400" y2="380"/></g><g font-size="10">"#;

fn reviewed_with(svg: &str, list: Option<&str>) -> Review {
    let drawing = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap();
    let roof = roof_of(svg.as_bytes()).unwrap();
    let list = list.map(|list| AgainstList::parse(list, false).unwrap());
    Review::of(&drawing, &roof, list.as_ref(), &ReviewSettings::default()).unwrap()
}

/// House and garage: 1,565.2 + 556.6 = 2,121.8 ft².
fn house_and_garage(all: &[(u32, u32, &str)]) -> Review {
    let pitches = [
        (220, 170, "6/12"),
        (220, 310, "6/12"),
        (760, 150, "4/12"),
        (760, 260, "4/12"),
    ];
    reviewed_with(
        &drawn(&format!("{HOUSE}{GARAGE}"), &pitches, &texts(all)),
        None,
    )
}

/// House and flat roof: 1,565.2 + 200 = 1,765.2 ft².
fn house_and_flat_roof(all: &[(u32, u32, &str)]) -> Review {
    let pitches = [(150, 170, "6/12"), (150, 310, "6/12"), (300, 430, "flat")];
    let more = texts(all) + WALL;
    reviewed_with(&drawn(&format!("{HOUSE}{FLAT}"), &pitches, &more), None)
}

fn codes(review: &Review) -> Vec<&'static str> {
    review.findings.iter().map(|f| f.code).collect()
}

fn one(review: &Review) -> &AreaCheck {
    let [check] = &review.areas[..] else {
        panic!("{:?} {:?}", review.areas, codes(review));
    };
    check
}

fn causes(check: &AreaCheck) -> Vec<&'static str> {
    check.explanations.iter().map(|e| e.cause.key()).collect()
}

fn is_part(check: &AreaCheck) -> bool {
    matches!(check.subject, Subject::Part(_))
}

/// Whether nothing is compared, and that is told.
fn not_compared(review: &Review) -> bool {
    review.areas.is_empty() && codes(review) == ["stated-area-of-nothing"]
}

#[test]
fn the_main_roof_is_that_of_the_house_where_a_garage_stands_apart() {
    for rows in [
        [
            (150, 200, "MAIN ROOF 1,565 SF"),
            (720, 200, "GARAGE ROOF 557 SF"),
            (100, 480, "TOTAL ROOF AREA 2,122 SF"),
        ],
        [
            (100, 440, "MAIN ROOF 1,565 SF"),
            (100, 460, "GARAGE ROOF 557 SF"),
            (100, 480, "TOTAL ROOF AREA 2,122 SF"),
        ],
    ] {
        let review = house_and_garage(&rows);
        assert_eq!(review.areas.len(), 3, "{:?}", codes(&review));
        assert_eq!(review.verdict(), Verdict::Agrees);
        assert_eq!(review.areas.iter().filter(|a| is_part(a)).count(), 2);
    }
    // In two lines over the slope it is no slope's either.
    let review = house_and_garage(&[(150, 180, "MAIN ROOF"), (150, 195, "1,565 SF")]);
    assert!(is_part(one(&review)));
    assert_eq!(review.verdict(), Verdict::Agrees);
    // In plan it is still the house's, and everything may be called the main roof.
    let plan = house_and_garage(&[(100, 440, "MAIN ROOF 1,400 SF")]);
    assert_eq!(causes(one(&plan)), ["plan-for-true"]);
    let all = house_and_garage(&[(100, 440, "MAIN ROOF 2,122 SF")]);
    assert_eq!(
        (one(&all).subject, all.verdict()),
        (Subject::Roof, Verdict::Agrees)
    );
}

/// A house alone has nothing that its main roof leaves out.
#[test]
fn the_main_roof_of_a_house_with_nothing_else_is_the_whole_roof() {
    let house = |text: &str| {
        let pitches = [(220, 170, "6/12"), (220, 310, "6/12")];
        reviewed_with(&drawn(HOUSE, &pitches, &texts(&[(100, 440, text)])), None)
    };
    for words in [
        "MAIN ROOF",
        "SLOPED ROOF AREA",
        "SHINGLED ROOF",
        "ASPHALT SHINGLE ROOF",
    ] {
        let review = house(&format!("{words} 1,565 SF"));
        assert_eq!(
            (one(&review).subject, review.verdict()),
            (Subject::Roof, Verdict::Agrees),
            "{words}"
        );
        let review = house(&format!("{words} 1,300 SF"));
        assert_eq!(
            (one(&review).subject, review.verdict()),
            (Subject::Roof, Verdict::Differs),
            "{words}"
        );
    }
}

#[test]
fn a_sloped_or_shingled_roof_leaves_flat_parts_out() {
    for words in [
        "SHINGLED ROOF AREA",
        "SHINGLE ROOF",
        "SLOPED ROOF",
        "MAIN ROOF",
        "ROOF SHINGLES",
    ] {
        let review = house_and_flat_roof(&[(650, 400, &format!("{words} 1,565 SF"))]);
        assert!(is_part(one(&review)), "{words}");
        assert_eq!(review.verdict(), Verdict::Agrees, "{words}");
        let plan = house_and_flat_roof(&[(650, 400, &format!("{words} 1,400 SF"))]);
        assert_eq!(causes(one(&plan)), ["plan-for-true"], "{words}");
    }
    // Sloped may be how all of it was measured; and what is neither with nor without the flat part is not compared.
    let sloped = house_and_flat_roof(&[(650, 400, "TOTAL ROOF AREA (SLOPED) 1,765 SF")]);
    assert_eq!(
        (one(&sloped).subject, sloped.verdict()),
        (Subject::Roof, Verdict::Agrees)
    );
    assert!(not_compared(&house_and_flat_roof(&[(
        650,
        400,
        "SLOPED ROOF 1,640 SF"
    )])));
    // Shingles on the flat part are too many, whatever else 1,765.2 / 1,565.2 may be.
    let shingles = house_and_flat_roof(&[(650, 400, "SHINGLED ROOF 1,765 SF")]);
    assert_eq!(shingles.verdict(), Verdict::Differs);
    assert!(causes(one(&shingles)).contains(&"whole-for-part"));
    // The flat part is known beside the plan too.
    let flat = house_and_flat_roof(&[(650, 400, "FLAT ROOF 200 SF")]);
    assert_eq!(flat.verdict(), Verdict::Agrees);
}

#[test]
fn a_room_or_a_floor_beneath_a_roof_is_not_held_against_it() {
    for text in [
        "GARAGE 528 SF",
        "GARAGE: 490 SF",
        "GARAGE AREA 528 SF",
        "UPPER 700 SF",
        "MAIN 400 SF",
    ] {
        let review = house_and_garage(&[(720, 200, text)]);
        assert!(not_compared(&review), "{text}: {:?}", review.areas);
    }
    for text in [
        "MAIN 700 SF",
        "UPPER 700 SF",
        "PORCH 120 SF",
        "ADDITION 400 SF",
    ] {
        let review = house_and_garage(&[(150, 200, text)]);
        assert!(not_compared(&review), "{text}: {:?}", review.areas);
    }
    let lines = house_and_garage(&[(720, 190, "GARAGE"), (720, 203, "528 SF")]);
    assert!(not_compared(&lines));
    // As large as the roof it can only be the roof's.
    let roof = house_and_garage(&[(720, 200, "GARAGE 557 SF")]);
    assert_eq!(roof.verdict(), Verdict::Agrees);
    let main = house_and_garage(&[(100, 440, "MAIN 1,565 SF")]);
    assert_eq!(main.verdict(), Verdict::Agrees);
    // With its roof named it is compared, right or wrong.
    let plan = house_and_garage(&[(720, 200, "GARAGE ROOF 528 SF")]);
    assert_eq!(causes(one(&plan)), ["plan-for-true"]);
}

#[test]
fn the_roof_of_a_garage_apart_may_stand_in_a_schedule_or_beneath_its_building() {
    for at in [(720, 370), (100, 460)] {
        for (text, verdict) in [
            ("GARAGE ROOF 557 SF", Verdict::Agrees),
            ("GARAGE ROOF 528 SF", Verdict::Differs),
        ] {
            let review = house_and_garage(&[(at.0, at.1, text)]);
            assert!(is_part(one(&review)), "{text}");
            assert_eq!(review.verdict(), verdict, "{text}");
        }
    }
    // Words and figures in columns, with a unit each or that of the column.
    let columns = [
        (100, 440, "MAIN ROOF"),
        (240, 440, "1,565 SF"),
        (100, 453, "GARAGE ROOF"),
        (240, 453, "557 SF"),
        (100, 466, "TOTAL ROOF AREA"),
        (240, 466, "2,122 SF"),
    ];
    let review = house_and_garage(&columns);
    assert_eq!(
        (review.areas.len(), review.verdict()),
        (3, Verdict::Agrees),
        "{:?}",
        codes(&review)
    );
    let bare = [
        (240, 427, "AREA (SF)"),
        (100, 440, "MAIN ROOF"),
        (240, 440, "1,565"),
        (100, 453, "GARAGE ROOF"),
        (240, 453, "528"),
    ];
    let review = house_and_garage(&bare);
    assert_eq!(
        (review.areas.len(), review.verdict()),
        (2, Verdict::Differs),
        "{:?}",
        codes(&review)
    );
    // Under a head about roofs the names of parts are enough; under one about floors they are not.
    let under =
        |head: &str, garage: &str| house_and_garage(&[(100, 430, head), (100, 445, garage)]);
    assert_eq!(
        causes(one(&under("ROOF AREAS", "GARAGE 528 SF"))),
        ["plan-for-true"]
    );
    for head in ["FLOOR AREAS", "ROOF PLAN", "AREAS"] {
        assert!(not_compared(&under(head, "GARAGE 528 SF")), "{head}");
    }
    // What is no part's area may be that of a part that no line parts off.
    assert!(not_compared(&house_and_garage(&[(
        100,
        460,
        "PORCH ROOF 300 SF"
    )])));
    // Parts put together are all of them or not known.
    let both = house_and_garage(&[(150, 200, "MAIN &amp; GARAGE ROOF 2,122 SF")]);
    assert_eq!(
        (one(&both).subject, both.verdict()),
        (Subject::Roof, Verdict::Agrees)
    );
    assert!(not_compared(&house_and_garage(&[(
        720,
        200,
        "PORCH AND GARAGE ROOF 700 SF"
    )])));
}

/// A number at the name of a part in a plan is its dimension, and nothing is told of it.
#[test]
fn a_bare_number_beside_the_name_of_a_part_is_no_area() {
    let review = house_and_garage(&[
        (720, 200, "GARAGE ROOF"),
        (800, 200, "24"),
        (100, 440, "ROOF 2,122 SF"),
    ]);
    assert_eq!(
        (review.areas.len(), codes(&review).len()),
        (1, 0),
        "{:?}",
        review.findings
    );
}

/// A gable of 16 × 12 ft at 4 in 12 on a level of its own over the house: the roof beneath it, 192 ft² of plan, is counted here. From
/// above 1,400 ft² are seen; on the slope there are 1,565.2 + 192 × 1.05409 = 1,767.6.
#[test]
fn a_footprint_stated_for_a_roof_of_two_levels_is_known_as_such() {
    let upper = r#"</g><g id="upper" fill="none" stroke="black"><polyline points="250,140 410,140 410,260 250,260 250,140"/><polyline points="250,200 410,200"/></g>
<g id="upper pitch" font-size="10"><text x="300" y="175">4/12</text><text x="300" y="235">4/12</text>"#;
    let svg = drawn(HOUSE, &[(160, 170, "6/12"), (160, 310, "6/12")], upper);
    let total = |list: &str| reviewed_with(&svg, Some(list));
    let review = total("total,1400\n");
    assert!((one(&review).computed_sqft - 1767.64).abs() < 0.01);
    assert_eq!(causes(one(&review)), ["footprint-for-true"]);
    assert!(one(&review).decided);
    // The plan area of both levels, 1,400 + 192, has its own name.
    assert_eq!(causes(one(&total("total,1592\n"))), ["plan-for-true"]);
    // The gable covers 16 × 10 of the northern slope: 700 - 160 = 540 ft² of plan are seen, 540 × √1.25 = 603.7 on the slope.
    for (list, cause) in [
        ("N1,540\n", "footprint-for-true"),
        ("N1,603.7\n", "covered-left-out"),
    ] {
        let review = total(list);
        assert!(
            causes(one(&review)).contains(&cause),
            "{list}: {:?}",
            causes(one(&review))
        );
    }
    // Where it says plan, what a level does comes before scales that only come near.
    let plan = total("plan total,1400\n");
    let told = causes(one(&plan));
    assert_eq!(told[..2], ["covered-left-out", "level-missing"], "{told:?}");
}
