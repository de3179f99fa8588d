//! Where a dimension line starts and stops: at its own end, tick or extension line, and at nothing that only lies near.

use eavewright::Finding;
use eavewright::drawing::{Drawing, ReadOptions};

/// A rectangle of 40 × 24 ft at 10 units to the foot on a roof layer, with what is given beside it.
fn read(more: &str) -> Drawing {
    let svg = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400">
        <g id="roof" fill="none" stroke="black"><polygon points="100,100 500,100 500,340 100,340"/></g>{more}</svg>"#
    );
    Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap()
}

/// A dimension of 40 ft above the roof, on a layer of this name: its line and its text.
fn above(layer: &str, marks: &str) -> String {
    format!(
        r#"<g id="{layer}" font-size="8" stroke="black"><line x1="100" y1="60" x2="500" y2="60"/>{marks}
        <text stroke="none" x="290" y="56">40'-0"</text></g>"#
    )
}

fn moved(drawing: &Drawing) -> bool {
    let mut all = drawing.findings.iter();
    all.any(|f| f.code == "dimension-end-moved")
}

#[track_caller]
fn assert_ten_units_a_foot(drawing: &Drawing, what: &str) {
    let off = drawing.scale.feet_per_unit * 10.0 - 1.0;
    assert!(off.abs() < 1e-9, "{what}: {off}");
}

#[test]
fn frames_and_grids_beside_its_ends_do_not_move_a_dimension() {
    for step in [9, 10, 12, 14, 16] {
        let lines: String = (0..600 / step)
            .map(|i| format!(r#"<path d="M{0} 0V400M0 {0}H600"/>"#, i * step + 3))
            .collect();
        for layer in ["grid", "photo", "ignore"] {
            let grid = format!(r##"<g id="{layer}" stroke="#ccc">{lines}</g>"##);
            let drawing = read(&(above("dimensions", "") + &grid));
            assert_ten_units_a_foot(&drawing, &format!("{layer} of {step}"));
        }
    }
    for x in [86, 88, 90, 95, 99] {
        let frame = format!(
            r#"<g id="frame" fill="none" stroke="black"><rect x="{x}" y="20" width="480" height="360"/></g>"#
        );
        let drawing = read(&(above("dimensions", "") + &frame));
        assert_ten_units_a_foot(&drawing, &format!("frame at {x}"));
        assert!(!moved(&drawing));
    }
}

#[test]
fn a_dimension_from_wall_to_wall_inside_the_roof_keeps_its_ticks_and_bare_ends() {
    // A foot inside the rakes: 38 ft.
    for ticks in [
        "",
        r#"<path d="M107 163L113 157"/><path d="M487 163L493 157"/>"#,
    ] {
        for layer in ["dimensions", "a"] {
            let drawing = read(&format!(
                r#"<g id="{layer}" font-size="8" stroke="black"><path d="M110 160H490"/>{ticks}
                <text stroke="none" x="290" y="157">38'-0"</text></g>"#
            ));
            assert_ten_units_a_foot(&drawing, layer);
        }
    }
}

#[test]
fn a_line_drawn_past_its_extension_lines_is_measured_between_them() {
    let past = r#"<g id="dimensions" font-size="8" stroke="black"><path d="M94 60H506M100 66V50M500 66V50"/>
        <text stroke="none" x="290" y="56">40'-0"</text></g>"#;
    assert_ten_units_a_foot(&read(past), "on a layer of dimensions");
    let unnamed = read(&past.replace("dimensions", "a"));
    assert_ten_units_a_foot(&unnamed, "on any layer");
    assert!(!moved(&unnamed));
    // Lines that do not reach the dimension line are only near its ends, by 12 of 400 units.
    let short = past.replace("dimensions", "a").replace(
        "M94 60H506M100 66V50M500 66V50",
        "M106 60H494M100 61V90M500 61V90",
    );
    let short = read(&short);
    assert_ten_units_a_foot(&short, "short of its lines");
    assert!(moved(&short));
}

/// A gable of 40 × 24 ft at 10 units to the foot, its outline one rectangle, with what is given beside it.
fn gable(more: &str) -> String {
    gable_of(
        r#"<rect x="50" y="50" width="400" height="240"/><path d="M50 170H450"/>"#,
        more,
    )
}

/// The same with an outline and a ridge drawn otherwise.
fn gable_of(lines: &str, more: &str) -> String {
    format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 600 400" font-size="10" text-anchor="middle">
        <g fill="none" stroke="black">{lines}</g><text x="250" y="110">6/12</text><text x="250" y="230">6/12</text>{more}</svg>"#
    )
}

fn text(x: u32, y: u32, says: &str) -> String {
    format!(r#"<text x="{x}" y="{y}">{says}</text>"#)
}

/// What marks a place of a chain.
type Mark = fn(u32) -> String;
/// Where the texts of a chain stand, and what they say.
type Texts = &'static [(u32, &'static str)];

/// One line under the gable, crossed at each of these places by a witness line and a mark.
fn chain(layer: &str, at: &[u32], mark: Mark, texts: Texts) -> String {
    let marks: String = at
        .iter()
        .map(|&x| format!(r#"<path d="M{x} 294V336" stroke="black"/>{}"#, mark(x)))
        .collect();
    let texts: String = texts.iter().map(|&(x, says)| text(x, 326, says)).collect();
    format!(r#"<g id="{layer}"><path d="M50 330H450" stroke="black"/>{marks}{texts}</g>"#)
}

fn tick(x: u32) -> String {
    format!(r#"<path d="M{} 333L{} 327" stroke="black"/>"#, x - 3, x + 3)
}

fn dot(x: u32) -> String {
    format!(r#"<circle cx="{x}" cy="330" r="2"/>"#)
}

fn nothing(_: u32) -> String {
    String::new()
}

fn read_all(svg: &str) -> Drawing {
    Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap()
}

#[track_caller]
fn refusal(svg: &str, code: &str) -> Finding {
    let errors = Drawing::read(svg.as_bytes(), &ReadOptions::default()).unwrap_err();
    let found = errors.iter().find(|e| e.code == code);
    found.unwrap_or_else(|| panic!("{errors:?}")).clone()
}

#[test]
fn each_length_of_a_chain_belongs_to_the_stretch_that_it_stands_beside() {
    let marks: [(&str, Mark); 3] = [("ticks", tick), ("dots", dot), ("witness lines", nothing)];
    for layer in ["dims", "a"] {
        for (name, mark) in marks {
            // 40 ft in two, three and four parts, in two unequal ones, and one part that alone has its length written.
            let chains: [(&[u32], Texts); 5] = [
                (&[50, 250, 450], &[(150, "20'-0\""), (350, "20'-0\"")]),
                (
                    &[50, 150, 350, 450],
                    &[(100, "10'"), (250, "20'"), (400, "10'")],
                ),
                (
                    &[50, 150, 250, 350, 450],
                    &[(100, "10'"), (200, "10'"), (300, "10'"), (400, "10'")],
                ),
                (&[50, 200, 450], &[(125, "15'-0\""), (325, "25'-0\"")]),
                (&[50, 150, 450], &[(100, "10'-0\"")]),
            ];
            for (at, texts) in chains {
                let drawing = read_all(&gable(&chain(layer, at, mark, texts)));
                let what = format!("{name} on layer {layer}, {texts:?}");
                assert_ten_units_a_foot(&drawing, &what);
                // The rectangle and the ridge; all of the chain is left out.
                assert_eq!(drawing.strokes.len(), 2, "{what}");
            }
        }
    }
}

#[test]
fn a_length_in_the_middle_of_a_whole_line_is_that_of_the_whole_line() {
    // A mark at 20 ft right above the text, and a bay of 4 ft that the text does not stand in the middle of.
    for at in [&[50, 250, 450][..], &[50, 90, 450][..], &[50, 240, 450][..]] {
        for mark in [tick, nothing] {
            let drawing = read_all(&gable(&chain("dims", at, mark, &[(250, "40'")])));
            assert_ten_units_a_foot(&drawing, &format!("{at:?}"));
        }
    }
    // The witness lines of another row cross it without ticks.
    let other = r#"<g id="dims"><path d="M150 310V350M350 310V350M150 346H350" stroke="black"/>
        <path d="M147 349L153 343M347 349L353 343" stroke="black"/><text x="250" y="343">20'</text></g>"#;
    let rows = chain("dims", &[50, 450], tick, &[(250, "40'")]) + other;
    assert_ten_units_a_foot(&read_all(&gable(&rows)), "two rows");
}

#[test]
fn dimension_lines_that_cross_inside_the_roof_do_not_part_each_other() {
    let cross = r#"<g id="dims" stroke="black"><path d="M50 200H450"/><path d="M350 180V280"/>
        <text stroke="none" x="150" y="196">40'</text>
        <text stroke="none" x="344" y="240" transform="rotate(-90 344 240)">10'</text></g>"#;
    assert_ten_units_a_foot(&read_all(&gable(cross)), "crossing");
}

#[test]
fn a_dimension_that_ends_on_a_roof_line_leaves_the_roof_line_where_it_is() {
    // From rake to rake, from ridge to eave, and 2 ft inside the rake from eave to eave.
    for (line, words) in [
        ("M50 200H450", text(150, 196, "40'")),
        (
            "M350 170V290",
            r#"<text x="344" y="230" transform="rotate(-90 344 230)">12'</text>"#.to_string(),
        ),
        (
            "M70 50V290",
            r#"<text x="64" y="100" transform="rotate(-90 64 100)">24'</text>"#.to_string(),
        ),
    ] {
        let ticks = r#"<path d="M47 203L53 197M447 203L453 197" stroke="black"/>"#;
        let ticks = if line == "M50 200H450" { ticks } else { "" };
        let dimension =
            format!(r#"<g id="dims"><path d="{line}" stroke="black"/>{ticks}{words}</g>"#);
        let one = r#"<rect x="50" y="50" width="400" height="240"/><path d="M50 170H450"/>"#;
        let lines = r#"<path d="M50 50H450"/><path d="M450 50V290"/><path d="M450 290H50"/><path d="M50 290V50"/><path d="M50 170H450"/>"#;
        for (outline, count) in [(one, 2), (lines, 5)] {
            for layer in ["roof", "a"] {
                let roof = format!(r#"<g id="{layer}">{outline}</g>"#);
                let drawing = read_all(&gable_of(&roof, &dimension));
                assert_eq!(drawing.strokes.len(), count, "{line} on {layer}");
                assert_ten_units_a_foot(&drawing, line);
            }
        }
    }
}

#[test]
fn a_length_beside_a_side_is_measured_between_its_corners_where_its_line_runs_past_them() {
    // Every end runs past its corner by so many tenths of a foot, or stops short by as much.
    for past in [-2_i32, 1, 2, 3, 5] {
        for layer in ["roof", "a"] {
            let [w, e, n, s] = [50 - past, 450 + past, 50 - past, 290 + past];
            let lines = format!(
                r#"<g id="{layer}"><path d="M{w} 50H{e}"/><path d="M450 {n}V{s}"/><path d="M{e} 290H{w}"/>
                <path d="M50 {s}V{n}"/><path d="M{w} 170H{e}"/></g>"#
            );
            let drawing = read_all(&gable_of(&lines, &text(250, 44, "40'")));
            let what = format!("{past} on {layer}");
            assert_ten_units_a_foot(&drawing, &what);
            assert_eq!(drawing.strokes.len(), 5, "{what}");
        }
    }
}

#[test]
fn lengths_that_disagree_are_asked_about_whatever_they_stand_beside() {
    let lines = r#"<path d="M50 50H450"/><path d="M450 50V290"/><path d="M450 290H50"/><path d="M50 290V50"/><path d="M50 170H450"/>"#;
    let one = r#"<rect x="50" y="50" width="400" height="240"/><path d="M50 170H450"/>"#;
    for outline in [one, lines] {
        // 240 units beside them: 24 ft, and not 30, 12 or 24.33.
        for length in ["30'-0\"", "12'", "24'-4\""] {
            let beside = format!(
                r#"{}<text x="40" y="170" transform="rotate(-90 40 170)">{length}</text>"#,
                text(250, 44, "40'-0\"")
            );
            let finding = refusal(&gable_of(outline, &beside), "scales-disagree");
            assert!(!finding.message.contains("page size"), "{finding:?}");
            let dims = r#"<g id="dims"><path d="M50 330H450" stroke="black"/><text x="250" y="326">40'-0"</text></g>"#;
            let beside = beside.replace(&text(250, 44, "40'-0\""), dims);
            refusal(&gable_of(outline, &beside), "scales-disagree");
        }
    }
}

#[test]
fn a_length_to_be_verified_is_read_and_told() {
    for says in ["40'-0\" ±", "40'-0\" VIF", "(40'-0\")", "±40'-0\""] {
        let drawing = read_all(&gable(
            &chain("dims", &[50, 450], tick, &[(250, "40'")]).replace("40'", says),
        ));
        assert_ten_units_a_foot(&drawing, says);
        let told = |f: &Finding| f.code == "length-with-a-doubt" && f.message.contains(says);
        let told = drawing.findings.iter().find(|f| told(f));
        assert_eq!(told.map(|f| f.places.len()), Some(1), "{says}");
    }
}

/// What is to be verified is 2 in off, less than makes two scales disagree, and measured over more.
#[test]
fn a_length_to_be_verified_gives_the_scale_only_where_none_without_a_doubt_does() {
    let doubted = chain("dims", &[50, 450], tick, &[(250, "±40'-2\"")]);
    let alone = read_all(&gable(&doubted)).scale.feet_per_unit;
    assert!((alone * 400.0 - 40.0 - 2.0 / 12.0).abs() < 1e-9, "{alone}");
    let sure = r#"<g id="dims"><path d="M50 30H290" stroke="black"/><text x="170" y="26">24'-0"</text></g>"#;
    assert_ten_units_a_foot(&read_all(&gable(&(doubted + sure))), "beside a sure one");
}

#[test]
fn lengths_that_give_no_scale_are_named() {
    let unread = chain("dims", &[50, 450], tick, &[(250, "40'-0\" CLEAR")]);
    let finding = refusal(&gable(&unread), "no-scale");
    assert!(finding.message.contains("“40'-0\" CLEAR”"), "{finding:?}");
    assert_eq!(finding.places.len(), 1);
    let finding = refusal(&gable(&text(550, 380, "40'-0\"")), "no-scale");
    assert!(
        finding.message.contains("beside no line: “40'-0\"”"),
        "{finding:?}"
    );
}

/// A dimension of 40 ft above the roof whose line runs between these places, with these closed shapes on it.
fn headed(from: u32, to: u32, heads: &str) -> Drawing {
    read(&format!(
        r#"<line x1="{from}" y1="60" x2="{to}" y2="60" stroke="black"/>{heads}
        <text font-size="8" x="290" y="56">40'-0"</text>"#
    ))
}

#[test]
fn a_line_is_measured_between_the_tips_of_its_arrow_heads_wherever_it_stops() {
    let inward = "M100 60L110 63.5V56.5Z M500 60L490 63.5V56.5Z";
    let outward = "M100 60L90 63.5V56.5Z M500 60L510 63.5V56.5Z";
    for paint in ["", r#"stroke="black""#, r#"fill="none" stroke="black""#] {
        // The line runs up to the tips, or stops at the heads' backs; heads that point at each other from outside, on a line
        // up to the tips or one that runs on to their backs.
        for (from, to, heads) in [
            (100, 500, inward),
            (110, 490, inward),
            (100, 500, outward),
            (90, 510, outward),
        ] {
            let drawing = headed(from, to, &format!(r#"<path {paint} d="{heads}"/>"#));
            let what = format!("{paint} from {from}, {heads}");
            assert_ten_units_a_foot(&drawing, &what);
        }
    }
}

#[test]
fn a_line_is_measured_between_the_middles_of_its_dots() {
    for shape in [
        r#"<circle cx="100" cy="60" r="2"/><circle cx="500" cy="60" r="2"/>"#,
        r#"<path d="M98 58H102V62H98Z M498 58H502V62H498Z"/>"#,
        r#"<circle fill="none" stroke="black" cx="100" cy="60" r="2"/><circle cx="500" cy="60" r="2"/>"#,
    ] {
        assert_ten_units_a_foot(&headed(100, 500, shape), shape);
    }
}

#[test]
fn a_length_over_a_short_end_bay_belongs_to_its_chain() {
    // 2 ft of overhang at each end of 36 ft.
    let texts: Texts = &[(60, "2'-0\""), (250, "36'-0\""), (440, "2'-0\"")];
    for layer in ["dims", "a"] {
        for mark in [tick as Mark, dot, nothing] {
            let drawing = read_all(&gable(&chain(layer, &[50, 70, 430, 450], mark, texts)));
            assert_ten_units_a_foot(&drawing, layer);
        }
    }
}

#[test]
fn dots_alone_part_a_chain_too() {
    let dots: String = [50, 200, 450].into_iter().map(dot).collect();
    let texts = text(125, 326, "15'-0\"") + &text(325, 326, "25'-0\"");
    let line = r#"<path d="M50 330H450" stroke="black"/>"#;
    let drawing = read_all(&gable(&format!("{line}{dots}{texts}")));
    assert_ten_units_a_foot(&drawing, "dots");
}

/// Lines that rise a little across the sheet, so many to the size of a letter, from 0 to 600.
fn stray(count: usize, step: f64) -> String {
    let line = |i: usize| {
        let y = 61.0 - step * i as f64;
        format!(r#"<path d="M0 {y}L600 {}"/>"#, y - 0.5)
    };
    let lines: String = (0..count).map(line).collect();
    format!(r#"<g fill="none" stroke="black">{lines}</g>"#)
}

#[test]
fn a_dimension_line_on_its_own_layer_is_found_among_any_number_of_stray_lines() {
    for step in [0.3, 0.4, 0.7] {
        for count in [7, 8, 9, 16, 40] {
            let drawing = read(&(above("dimensions", "") + &stray(count, step)));
            assert_ten_units_a_foot(&drawing, &format!("{count} lines, {step} apart"));
            let unclear = drawing.findings.iter();
            assert_eq!(unclear.filter(|f| f.code == UNCLEAR).count(), 0);
        }
    }
}

const UNCLEAR: &str = "dimension-line-unclear";

#[test]
fn a_length_with_more_lines_about_it_than_are_looked_at_is_told_as_unclear() {
    let drawing = read(&(above("a", "") + &stray(16, 0.4)));
    let told = drawing.findings.iter().find(|f| f.code == UNCLEAR).unwrap();
    assert!(told.message.contains("40'-0\""), "{}", told.message);
    assert_eq!(told.places.len(), 1);
    let few = read(&above("a", ""));
    assert!(few.findings.iter().all(|f| f.code != UNCLEAR));
}

fn read_metric(svg: &str) -> Result<Drawing, Vec<Finding>> {
    let options = ReadOptions {
        metric_job: true,
        ..ReadOptions::default()
    };
    Drawing::read(svg.as_bytes(), &options)
}

/// Lines with figures beside them: the number of a grid line in its bubble, of a mark, the year of a title block.
fn numbered(layer: &str, figures: [&str; 2]) -> String {
    let lines: String = [(50, figures[0]), (250, figures[1])]
        .map(|(x, says)| {
            format!(
                r#"<path d="M{x} 20V40" stroke="black"/><circle cx="{x}" cy="12" r="8" fill="none" stroke="black"/>{}"#,
                text(x, 15, says)
            )
        })
        .concat();
    format!(r#"<g id="{layer}">{lines}</g>"#)
}

#[test]
fn a_figure_without_a_unit_on_a_layer_that_is_left_out_gives_no_scale() {
    // 400 units are 12,192 mm, 40 ft.
    let dimension = r#"<g id="dims"><path d="M50 330H450" stroke="black"/><text x="250" y="326">12192</text></g>"#;
    for layer in ["grid", "ignore findings", "title", "frame", "photo"] {
        for figures in [["1", "2"], ["2026", "2027"]] {
            let marks = numbered(layer, figures);
            let drawing = read_metric(&gable(&(dimension.to_owned() + &marks)));
            let drawing = drawing.unwrap_or_else(|f| panic!("{layer}: {f:?}"));
            assert_ten_units_a_foot(&drawing, layer);
            let refused = read_metric(&gable(&marks)).unwrap_err();
            let codes: Vec<&str> = refused.iter().map(|f| f.code).collect();
            assert_eq!(codes, ["no-scale"], "{layer}");
        }
    }
    // On no layer, or one of notes, small ones number something; a longer one is a dimension, and these two contradict it.
    for layer in ["g1", "note"] {
        let drawing = read_metric(&gable(
            &(dimension.to_owned() + &numbered(layer, ["1", "2"])),
        ));
        let drawing = drawing.unwrap_or_else(|f| panic!("{layer}: {f:?}"));
        assert_ten_units_a_foot(&drawing, layer);
    }
    // A small one on a layer of dimensions is one, and so is one with its unit.
    for (layer, says) in [("dims", "99"), ("g1", "99 mm")] {
        let all = format!(
            r#"<g id="{layer}"><path d="M50 330H450" stroke="black"/><text x="250" y="326">{says}</text></g>"#
        );
        let drawing = read_metric(&gable(&all)).unwrap();
        let feet = 400.0 * drawing.scale.feet_per_unit;
        assert!((feet * 304.8 - 99.0).abs() < 1e-9, "{layer}: {feet}");
    }
}
