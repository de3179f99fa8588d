//! However the same lines are drawn — element kinds, point order, groups, transforms, units, reuse — the same drawing is
//! read.

use std::io::Write as _;

use eavewright::drawing::{Drawing, ReadOptions, Says};
use eavewright::geometry::Point;
use proptest::prelude::*;

/// An L-shaped hip roof in feet, y down; every line once.
const LINES: [[f64; 4]; 15] = [
    [12.0, 24.0, 28.0, 24.0],
    [32.0, 20.0, 32.0, 8.0],
    [0.0, 36.0, 12.0, 24.0],
    [0.0, 12.0, 12.0, 24.0],
    [40.0, 36.0, 28.0, 24.0],
    [40.0, 0.0, 32.0, 8.0],
    [24.0, 0.0, 32.0, 8.0],
    [32.0, 20.0, 28.0, 24.0],
    [24.0, 12.0, 32.0, 20.0],
    [0.0, 36.0, 40.0, 36.0],
    [40.0, 36.0, 40.0, 0.0],
    [40.0, 0.0, 24.0, 0.0],
    [24.0, 0.0, 24.0, 12.0],
    [24.0, 12.0, 0.0, 12.0],
    [0.0, 12.0, 0.0, 36.0],
];
const LABELS: [(f64, f64, &str); 3] = [
    (20.0, 31.0, "6/12"),
    (37.0, 18.0, "6.5/12"),
    (4.0, 24.0, "26.6°"),
];

/// a b c d e f, as SVG writes a matrix.
type Matrix = [f64; 6];

fn apply(m: Matrix, x: f64, y: f64) -> (f64, f64) {
    (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5])
}

fn inverse([a, b, c, d, e, f]: Matrix) -> Matrix {
    let det = a * d - b * c;
    let (ia, ib, ic, id) = (d / det, -b / det, -c / det, a / det);
    [ia, ib, ic, id, -(ia * e + ic * f), -(ib * e + id * f)]
}

#[derive(Clone, Debug)]
enum Group {
    None,
    Matrix(Matrix),
    Rotate(f64, f64, f64),
    Nested,
    Styled,
    Switch,
    Symbol,
    Clipped,
}

#[derive(Clone, Debug)]
struct Way {
    kind: u8,
    reversed: bool,
    group: Group,
}

fn ways() -> impl Strategy<Value = Vec<Way>> {
    let matrix = (
        0.2..5.0_f64,
        -0.9..0.9_f64,
        -0.9..0.9_f64,
        0.2..5.0_f64,
        -50.0..50.0_f64,
        -50.0..50.0_f64,
    )
        .prop_map(|(a, b, c, d, e, f)| [a, b, c * 0.2, -d, e, f]);
    let group = prop_oneof![
        Just(Group::None),
        Just(Group::Nested),
        Just(Group::Styled),
        Just(Group::Switch),
        Just(Group::Symbol),
        Just(Group::Clipped),
        matrix.prop_map(Group::Matrix),
        (-180.0..180.0_f64, -40.0..40.0_f64, -40.0..40.0_f64)
            .prop_map(|(r, x, y)| Group::Rotate(r, x, y)),
    ];
    let way = (0..13_u8, any::<bool>(), group).prop_map(|(kind, reversed, group)| Way {
        kind,
        reversed,
        group,
    });
    prop::collection::vec(way, LINES.len())
}

fn element(kind: u8, (x1, y1): (f64, f64), (x2, y2): (f64, f64), id: usize) -> String {
    let pen = "fill=\"none\" stroke=\"#000\" stroke-width=\".1\"";
    let (dx, dy) = (x2 - x1, y2 - y1);
    match kind {
        0 => format!("<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\" {pen}/>"),
        1 => format!("<path d=\"M{x1} {y1}L{x2} {y2}\" {pen}/>"),
        2 => format!(
            "<path d=\"m{x1},{y1} {dx},{dy}\" style=\"fill:none;stroke:black;stroke-width:.1\"/>"
        ),
        3 => format!("<polyline points=\"{x1},{y1} {x2},{y2}\" {pen}/>"),
        4 => format!("<path d=\"M{x1} {y1}C{x1} {y1} {x2} {y2} {x2} {y2}\" {pen}/>"),
        5 => format!("<path d=\"M{x1} {y1}l{dx} {dy}z\" {pen}/>"),
        6 => format!(
            "<defs><path id=\"d{id}\" d=\"M{x1} {y1}L{x2} {y2}\" {pen}/></defs><use href=\"#d{id}\"/>"
        ),
        7 => format!("<polygon points=\"{x1} {y1} {x2} {y2}\" class=\"pen\"/>"),
        8 => format!("<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\" style=\"&pen;\"/>"),
        // Drawn twice, once the other way.
        9 => format!("<path d=\"M{x1} {y1}L{x2} {y2}M{x2} {y2}L{x1} {y1}\" {pen}/>"),
        10 => format!(
            "<a href=\"#x\"><path d=\"M{x1} {y1}L{x2} {y2}\" {pen} stroke-dasharray=\".5 .2\" marker-end=\"url(#none)\"/></a>"
        ),
        // Each dash a line of its own, half a dash apart.
        11 => {
            let count = (dx.hypot(dy) / 0.6).ceil().max(8.0);
            let dash = 1.0 / (1.5 * count - 0.5);
            let at = |t: f64| format!("{} {}", x1 + dx * t, y1 + dy * t);
            let starts = (0..count as usize).map(|i| 1.5 * dash * i as f64);
            let dashes = starts.map(|t| format!("<path d=\"M{}L{}\" {pen}/>", at(t), at(t + dash)));
            dashes.collect()
        }
        _ => {
            let (mx, my) = (x1 + dx * 0.25, y1 + dy * 0.25);
            format!("<path d=\"M{x1} {y1}Q{mx} {my} {x2} {y2}\" class=\"pen\"/>")
        }
    }
}

fn drawn(way: &Way, [x1, y1, x2, y2]: [f64; 4], id: usize) -> String {
    let (mut a, mut b) = ((x1, y1), (x2, y2));
    if way.reversed {
        std::mem::swap(&mut a, &mut b);
    }
    let put = |m: Matrix, p: (f64, f64)| apply(inverse(m), p.0, p.1);
    match way.group {
        Group::None => element(way.kind, a, b, id),
        Group::Styled => format!(
            "<g style=\"stroke-linecap:round\"><g>{}</g></g>",
            element(way.kind, a, b, id)
        ),
        Group::Switch => format!(
            "<switch><g systemLanguage=\"xx\"><path d=\"M0 0L9 33\" stroke=\"#000\"/></g><g>{}</g></switch>",
            element(way.kind, a, b, id)
        ),
        Group::Symbol => {
            let m = [0.25, 0.0, 0.0, 0.25, -10.0, -10.0];
            format!(
                "<symbol id=\"s{id}\" viewBox=\"0 0 400 400\">{}</symbol><use href=\"#s{id}\" x=\"-10\" y=\"-10\" width=\"100\" height=\"100\"/>",
                element(way.kind, put(m, a), put(m, b), id)
            )
        }
        Group::Clipped => format!(
            "<clipPath id=\"c{id}\"><circle cx=\"20\" cy=\"20\" r=\"60\"/></clipPath><g clip-path=\"url(#c{id})\">{}</g>",
            element(way.kind, a, b, id)
        ),
        Group::Nested => {
            let m = [0.5, 0.0, 0.0, 0.5, 3.0, 4.0];
            format!(
                "<svg x=\"3\" y=\"4\" width=\"50\" height=\"50\" viewBox=\"0 0 100 100\" overflow=\"visible\">{}</svg>",
                element(way.kind, put(m, a), put(m, b), id)
            )
        }
        Group::Matrix(m) => format!(
            "<g transform=\"matrix({},{},{},{},{},{})\">{}</g>",
            m[0],
            m[1],
            m[2],
            m[3],
            m[4],
            m[5],
            element(way.kind, put(m, a), put(m, b), id)
        ),
        Group::Rotate(degrees, x, y) => {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let m = [
                cos,
                sin,
                -sin,
                cos,
                x - cos * x + sin * y,
                y - sin * x - cos * y,
            ];
            format!(
                "<g transform=\"rotate({degrees} {x} {y})\">{}</g>",
                element(way.kind, put(m, a), put(m, b), id)
            )
        }
    }
}

/// A label in one element, in a run for every letter, with a place for every letter, or in a box of web text.
fn label(form: u8, x: f64, y: f64, text: &str) -> String {
    let letters = |each: &dyn Fn(char) -> String| text.chars().map(each).collect::<String>();
    match form {
        0 => format!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"1\" text-anchor=\"middle\">{text}</text>"
        ),
        1 => format!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"1\" text-anchor=\"middle\">{}</text>",
            letters(&|c| format!("<tspan>{c}</tspan>"))
        ),
        _ => format!(
            "<g transform=\"translate({x} {y})\"><text y=\"0\" style=\"font-size:1px;text-anchor:middle\"><tspan>{text}</tspan></text></g>"
        ),
    }
}

/// The file's bytes: as they are, with a byte order mark, in UTF-16 of either kind, or packed.
fn written(text: &str, form: u8) -> Vec<u8> {
    let wide = |mark: [u8; 2], unit: fn(u16) -> [u8; 2]| {
        let units = text.encode_utf16().flat_map(unit);
        mark.into_iter().chain(units).collect()
    };
    match form {
        0 => text.as_bytes().to_vec(),
        1 => [b"\xef\xbb\xbf", text.as_bytes()].concat(),
        2 => wide([0xff, 0xfe], u16::to_le_bytes),
        3 => wide([0xfe, 0xff], u16::to_be_bytes),
        _ => {
            let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
            packer.write_all(text.as_bytes()).unwrap();
            packer.finish().unwrap()
        }
    }
}

/// The plan with every line in its own way, `units` drawing units to the foot.
fn plan(ways: &[Way], order: usize, units: f64, labels: u8) -> String {
    let mut body = String::new();
    for i in 0..LINES.len() {
        let i = (i + order) % LINES.len();
        body += &drawn(&ways[i], LINES[i], i);
    }
    for (x, y, text) in LABELS {
        body += &label(labels, x, y, text);
    }
    let size = 60.0 * units;
    format!(
        "<!DOCTYPE svg [<!ENTITY pen \"fill:none;stroke:#000;stroke-width:.1\">]><svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{0} {0} {size} {size}\"><style>.pen{{fill:none;stroke:#000}}</style>\
         <g transform=\"scale({units})\"><g id=\"roof\">{body}</g><g id=\"scale\"><path d=\"M0 40h20\" stroke=\"#000\"/>\
         <text x=\"10\" y=\"39.5\" font-size=\"1\" text-anchor=\"middle\">20'-0\"</text></g></g></svg>",
        -5.0 * units
    )
}

type Piece = (Point, Point);

/// Pieces in one order, whichever way round they were drawn; rounded for the order only.
fn sorted(mut all: Vec<Piece>) -> Vec<Piece> {
    let key = |p: Point| ((p.x * 10.0).round() as i64, (p.y * 10.0).round() as i64);
    for piece in &mut all {
        if key(piece.0) > key(piece.1) {
            std::mem::swap(&mut piece.0, &mut piece.1);
        }
    }
    all.sort_by_key(|&(a, b)| (key(a), key(b)));
    all
}

fn pieces(drawing: &Drawing) -> Vec<Piece> {
    let strokes = drawing.strokes.iter();
    let mut all = sorted(
        strokes
            .flat_map(|s| s.points.windows(2).map(|w| (w[0], w[1])))
            .collect(),
    );
    // A line drawn twice is one line.
    all.dedup_by(|b, a| a.0.distance(b.0) < 1e-3 && a.1.distance(b.1) < 1e-3);
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]
    #[test]
    fn the_same_lines_drawn_in_any_way_are_the_same_drawing(
        ways in ways(),
        order in 0..LINES.len(),
        labels in 0..3_u8,
        bytes in 0..5_u8,
        units in prop_oneof![Just(1.0), Just(9.0), Just(12.5), Just(304.8)],
    ) {
        let text = plan(&ways, order, units, labels);
        let drawing = Drawing::read(&written(&text, bytes), &ReadOptions::default())
            .map_err(|e| TestCaseError::fail(format!("{e:?}\n{text}")))?;
        prop_assert!((drawing.scale.feet_per_unit * units - 1.0).abs() < 1e-5);
        let expected = sorted(LINES.iter().map(|l| (Point::new(l[0], -l[1]), Point::new(l[2], -l[3]))).collect());
        let read = pieces(&drawing);
        prop_assert_eq!(read.len(), expected.len(), "{}", text);
        for (r, e) in read.iter().zip(&expected) {
            prop_assert!(r.0.distance(e.0) < 1e-3 && r.1.distance(e.1) < 1e-3, "{:?} for {:?} in {}", r, e, text);
        }
        prop_assert_eq!(drawing.labels.len(), LABELS.len());
        for (label, (x, y, text)) in drawing.labels.iter().zip(LABELS) {
            prop_assert_eq!(&label.text, text);
            prop_assert!(label.at.distance(Point::new(x, -y + 0.36)) < 0.02);
            let is_pitch = matches!(label.says, Says::Pitch { .. });
            prop_assert!(is_pitch);
        }
    }
}
