//! The drawing written back with findings and falls marked.

use eavewright::drawing::marked::{self, Fall};
use eavewright::drawing::{Drawing, ReadOptions};
use eavewright::geometry::{Point, Vector};
use eavewright::{Finding, Place};

fn fixture(name: &str) -> Vec<u8> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("fixtures/drawings")
        .join(name);
    std::fs::read(path).unwrap()
}

fn read(bytes: &[u8]) -> Drawing {
    Drawing::read(bytes, &ReadOptions::default()).unwrap()
}

fn mark(bytes: &[u8], drawing: &Drawing) -> Vec<u8> {
    let stroke = &drawing.strokes[0];
    let findings = [
        Finding::warning("open-corner", "Two lines end 0.12 ft apart — “here”.")
            .place(Place::at(stroke.points[0])),
        Finding::note("element", "This line.").place(Place::of(&stroke.source)),
    ];
    let falls = [Fall {
        at: drawing.labels.first().map_or(stroke.points[0], |l| l.at),
        direction: Vector::new(0.0, -1.0),
        name: "S1".to_string(),
        level: 0,
    }];
    marked::write(bytes, "plan.svg", drawing, &findings, &falls).unwrap()
}

/// The file without what lies between the end of the common head and the start of the common tail.
fn added<'m>(original: &[u8], marked: &'m [u8]) -> &'m [u8] {
    let head = original
        .iter()
        .zip(marked)
        .take_while(|(a, b)| a == b)
        .count();
    let tail = original.len() - head;
    assert_eq!(
        original[head..],
        marked[marked.len() - tail..],
        "the rest is untouched"
    );
    &marked[head..marked.len() - tail]
}

/// Every drawing among the fixtures that can be read, with a scale given where it holds none.
fn all_files() -> Vec<(String, Vec<u8>, Drawing)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/drawings");
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".svg"))
        .collect();
    names.sort();
    let given = ReadOptions {
        scale: eavewright::drawing::parse_scale_text("1ft=10"),
        ..ReadOptions::default()
    };
    names
        .into_iter()
        .map(|name| {
            let bytes = fixture(&name);
            let drawing = Drawing::read(&bytes, &ReadOptions::default())
                .or_else(|_| Drawing::read(&bytes, &given))
                .unwrap();
            (name, bytes, drawing)
        })
        .collect()
}

const FILES: [&str; 6] = [
    "layer-labels-in-mm.svg",
    "origin-in-the-middle.svg",
    "entities-and-escaped-ids.svg",
    "styles-in-cdata.svg",
    "group-ids.svg",
    "two-point-closed-paths.svg",
];

#[test]
fn marking_a_plan_leaves_every_other_byte_alone() {
    let files = all_files();
    assert!(files.len() >= 36, "fixtures are missing");
    for (name, original, drawing) in files {
        let marked = mark(&original, &drawing);
        let layer = String::from_utf8(added(&original, &marked).to_vec()).unwrap();
        assert!(
            layer.contains("circle") && layer.contains("open-corner"),
            "{name}: {layer}"
        );
    }
}

#[test]
fn a_marked_plan_reads_as_before_with_its_falls_settled() {
    for name in FILES {
        let original = fixture(name);
        let before = read(&original);
        let after = read(&mark(&original, &before));
        assert_eq!(before.strokes.len(), after.strokes.len(), "{name}");
        assert_eq!(before.labels.len(), after.labels.len(), "{name}");
        assert_eq!(before.scale, after.scale, "{name}");
        let [fall] = &after.falls[before.falls.len()..] else {
            panic!("{name}: {:?}", after.falls);
        };
        let u = (fall.to - fall.from).unit().unwrap();
        assert!(
            (u - Vector::new(0.0, -1.0)).length() < 1e-4,
            "{name}: {u:?}"
        );
        let middle = fall.from.midpoint(fall.to);
        assert!(
            middle.distance(before.labels[0].at) < 0.01,
            "{name}: {middle:?}"
        );
    }
}

#[test]
fn utf_16_and_one_byte_files_keep_their_encoding() {
    let text = String::from_utf8(fixture("group-ids.svg")).unwrap();
    let mut utf16 = vec![0xff, 0xfe];
    utf16.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
    let drawing = read(&utf16);
    let marked = mark(&utf16, &drawing);
    let layer = added(&utf16, &marked);
    assert!(
        layer.chunks_exact(2).all(|c| c[1] == 0),
        "the layer is UTF-16 too"
    );
    assert_eq!(read(&marked).falls.len(), 1);

    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::default());
    std::io::Write::write_all(&mut packed, text.as_bytes()).unwrap();
    let packed = packed.finish().unwrap();
    let marked = mark(&packed, &read(&packed));
    let mut unpacked = Vec::new();
    let mut reader = flate2::read::GzDecoder::new(marked.as_slice());
    std::io::Read::read_to_end(&mut reader, &mut unpacked).unwrap();
    added(text.as_bytes(), &unpacked);

    let declared = text.replacen(
        "<svg",
        "<?xml version=\"1.0\" encoding=\"ISO-8859-1\"?><svg",
        1,
    );
    let mut latin1: Vec<u8> = declared.bytes().collect();
    let end = latin1.len() - 6;
    latin1.splice(end..end, *b"<!-- \xe9 -->");
    let drawing = read(&latin1);
    let marked = mark(&latin1, &drawing);
    added(&latin1, &marked);
    assert_eq!(read(&marked).labels.len(), drawing.labels.len());
}

#[test]
fn a_point_of_the_plan_is_marked_in_drawing_units() {
    let original = fixture("group-ids.svg");
    let drawing = read(&original);
    let k = drawing.scale.feet_per_unit;
    let finding =
        Finding::note("here", "Here.").place(Place::at(Point::new(240.0 * k, -624.0 * k)));
    let marked = marked::write(&original, "plan.svg", &drawing, &[finding], &[]).unwrap();
    let layer = String::from_utf8(added(&original, &marked).to_vec()).unwrap();
    assert!(layer.contains("cx=\"240\" cy=\"624\""), "{layer}");
}

#[test]
fn what_comes_after_the_root_stays_after_it_even_where_it_looks_like_its_end() {
    let plan = r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60"><rect x="10" y="10" width="80" height="30" fill="none" stroke="#000"/>
<g id="scale"><line x1="10" y1="50" x2="50" y2="50" stroke="#000"/><text x="22" y="49" font-size="4">20'-0"</text></g></svg >"##;
    let bytes = format!("{plan}\n<!-- end of </svg> -->\n");
    let drawing = read(bytes.as_bytes());
    let marked = String::from_utf8(mark(bytes.as_bytes(), &drawing)).unwrap();
    let layer = marked.find("ignore-findings").unwrap();
    assert!(layer < marked.find("</svg >").unwrap(), "{marked}");
    assert!(marked.ends_with("</svg >\n<!-- end of </svg> -->\n"));
    read(marked.as_bytes());
}
