//! Laws of the list: each class of edge feeds its items and none twice; needs of several roofs add up.

use std::collections::BTreeSet;

use eavewright::materials::{MaterialList, MaterialSettings};
use eavewright::roof::{EdgeClass, Roof};

use crate::materials::{list, near, settings};
use crate::materials_support::{RoofBuilder, courses, face, gable, gable_at, gable_with_wing, hip};

/// A job in which every choice that makes an edge feed something is taken.
const ALL: &str = "[plan]\neave_overhang = \"12in\"\n[site]\nice_barrier = true\nexisting_layers = 1\n\
[materials]\nstarter_at_rakes = true\ncounterflashing = \"chimneys-and-walls\"\n";

/// What each class of edge feeds. Ice barrier and underlayment are laid on faces and are not here.
const FEEDS: [(EdgeClass, &[&str]); 11] = [
    (
        EdgeClass::Eave,
        &["drip_edge_eave", "starter", "roofing_nails"],
    ),
    (EdgeClass::HighEdge, &["drip_edge_rake"]),
    (
        EdgeClass::Rake,
        &["drip_edge_rake", "starter", "roofing_nails"],
    ),
    (
        EdgeClass::Ridge,
        &["ridge_vent", "hip_ridge_cap", "roofing_nails_long"],
    ),
    (EdgeClass::Hip, &["hip_ridge_cap", "roofing_nails"]),
    (EdgeClass::Valley, &["self_adhered_sheet", "roof_cement"]),
    (EdgeClass::PitchChange, &["pitch_change_flashing"]),
    (EdgeClass::Headwall, &["apron_flashing", "counterflashing"]),
    (
        EdgeClass::Sidewall,
        &["step_flashing", "kick_out", "counterflashing"],
    ),
    (EdgeClass::FlatEdge, &[]),
    (EdgeClass::InPlane, &[]),
];

/// A roof with an edge of the class, beside an eave and others.
fn with(class: EdgeClass) -> Roof {
    use EdgeClass::{FlatEdge, Headwall, HighEdge, PitchChange, Rake, Ridge};
    match class {
        HighEdge | Headwall | PitchChange | Ridge | FlatEdge => face(6.0, Rake, class, Rake).roof(),
        _ => face(6.0, class, Ridge, Rake).roof(),
    }
}

#[test]
fn each_class_of_edge_feeds_exactly_its_items() {
    assert_eq!(FEEDS.map(|f| f.0), EdgeClass::ALL);
    for (class, items) in FEEDS {
        let roof = with(class);
        let list = list(&roof, ALL);
        let fed: BTreeSet<&str> = list
            .lines
            .iter()
            .filter(|l| l.edges.iter().any(|(_, id)| roof.edge(*id).class == class))
            .map(|l| l.key)
            .collect();
        assert_eq!(fed, items.iter().copied().collect(), "{}", class.key());
    }
}

#[test]
fn no_item_takes_from_an_edge_twice() {
    // Where an item is measured in run length, what it needs is the length of the edges that feed it, once each; ridge
    // vents stop a foot short of both ends, and openings (none here) feed without edges.
    for roof in [
        gable_with_wing(),
        hip(40.0, 24.0, 6.0),
        gable(40.0, 24.0, 3.0),
    ] {
        for line in &list(&roof, ALL).lines {
            if line.needed_unit != "ft" {
                continue;
            }
            let edges: f64 = line
                .edges
                .iter()
                .map(|(_, id)| roof.edge(*id).true_length.to_feet())
                .sum();
            let short = if line.key == "ridge_vent" { 2.0 } else { 0.0 };
            let runs = roof
                .edges
                .iter()
                .filter(|e| e.class == EdgeClass::Ridge)
                .count() as f64;
            near(line.needed, edges - short * runs);
        }
    }
}

#[test]
fn nothing_ordered_is_less_than_what_is_used_and_nothing_used_is_less_than_what_is_needed() {
    for roof in [
        gable_with_wing(),
        hip(40.0, 24.0, 6.0),
        gable(33.3, 21.7, 3.3),
        gable(7.0, 9.0, 14.0),
    ] {
        for line in &list(&roof, ALL).lines {
            // A hundredth of a package is forgiven.
            let ordered = (line.quantity + 0.01) * line.holds;
            assert!(
                ordered >= line.consumed - 1e-6,
                "{}: {ordered} for {}",
                line.key,
                line.consumed
            );
            assert!(
                line.consumed >= line.needed - 1e-6,
                "{}: {} of {}",
                line.key,
                line.consumed,
                line.needed
            );
            assert!(line.quantity >= line.needed_packages - 1e-6, "{}", line.key);
            assert!(
                (line.quantity - line.quantity.round()).abs() < 1e-9,
                "{}",
                line.key
            );
            assert!(
                !line.basis.is_empty() && !line.source.is_empty(),
                "{}",
                line.key
            );
        }
    }
}

/// What is the same for two lists: all that is not the indices of edges and faces.
fn figures(list: &MaterialList) -> Vec<(String, [f64; 5])> {
    list.lines
        .iter()
        .map(|l| {
            (
                l.price_key(),
                [
                    l.needed,
                    l.consumed,
                    l.needed_packages,
                    l.quantity,
                    l.left_over,
                ],
            )
        })
        .collect()
}

#[test]
fn two_roofs_in_one_job_take_what_they_take_as_one_roof() {
    let settings: MaterialSettings = settings(ALL);
    let both = gable_at(
        gable_at(RoofBuilder::default(), 0.0, 40.0, 24.0, 6.0),
        100.0,
        31.0,
        18.0,
        9.0,
    )
    .roof();
    let (a, b) = (gable(40.0, 24.0, 6.0), gable(31.0, 18.0, 9.0));
    let whole = MaterialList::compute(&both, &courses(&both), &settings);
    let (ca, cb) = (courses(&a), courses(&b));
    let joined = MaterialList::compute_job(&[(&a, &ca), (&b, &cb)], &settings);
    let (whole, joined) = (figures(&whole), figures(&joined));
    assert_eq!(whole.len(), joined.len());
    for ((key, w), (other, j)) in whole.iter().zip(&joined) {
        assert_eq!(key, other);
        for (x, y) in w.iter().zip(j) {
            assert!((x - y).abs() < 1e-6, "{key}: {x} and {y}");
        }
    }
    // Rounded once: two jobs apart would order more of something.
    let apart = |r: &Roof, c| {
        MaterialList::compute(r, c, &settings)
            .lines
            .iter()
            .map(|l| l.quantity)
            .sum::<f64>()
    };
    let together: f64 = joined.iter().map(|(_, f)| f[3]).sum();
    assert!(together < apart(&a, &ca) + apart(&b, &cb));
}

#[test]
fn lines_come_in_the_crews_order() {
    let list = list(&gable_with_wing(), ALL);
    let keys: Vec<&str> = list.lines.iter().map(|l| l.key).collect();
    let place = |key: &str| {
        keys.iter()
            .position(|k| *k == key)
            .unwrap_or_else(|| panic!("no {key}"))
    };
    let order = [
        "deck_sheet",
        "drip_edge_eave",
        "self_adhered_sheet",
        "underlayment",
        "drip_edge_rake",
        "starter",
        "shingles",
        "ridge_vent",
        "hip_ridge_cap",
    ];
    for pair in order.windows(2) {
        assert!(place(pair[0]) < place(pair[1]), "{pair:?}");
    }
}

#[test]
fn two_formats_in_one_job_are_two_items() {
    let roof = gable(40.0, 24.0, 6.0);
    let one = courses(&roof);
    let mut other = courses(&roof);
    other.format.name = "other".into();
    other.format.pieces_per_bundle = 20;
    let list = MaterialList::compute_job(&[(&roof, &one), (&roof, &other)], &settings(""));
    let bundles: Vec<(String, f64)> = list
        .lines
        .iter()
        .filter(|l| l.key == "shingles")
        .map(|l| (l.variant.clone(), l.quantity - l.allowance))
        .collect();
    // 860 / 27 = 31.85 and 860 / 20 = 43.
    assert_eq!(
        bundles,
        [("36x12".to_owned(), 32.0), ("other".to_owned(), 43.0)]
    );
    // What is noticed on both roofs is told once.
    let told = list
        .findings
        .iter()
        .filter(|f| f.code == "ice-barrier-not-said")
        .count();
    assert_eq!(told, 1);
}

#[test]
fn an_opening_in_a_face_takes_nothing_from_its_eave() {
    // The example's north face has its eave on either side of a lower roof, in one straight line with the pitch change
    // between them, and a chimney cut out of it.
    use eavewright::drawing::{Drawing, ReadOptions};
    use eavewright::roof::map::{self, MapOptions};
    use eavewright::roof::{Side, SolveOptions};
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/quillback-road.svg");
    let drawing = Drawing::read(&std::fs::read(path).unwrap(), &ReadOptions::default()).unwrap();
    let maps = map::build(&drawing, &MapOptions::default()).unwrap();
    let roof = Roof::solve(&maps, &SolveOptions::default()).unwrap();
    let (index, north) = roof
        .faces
        .iter()
        .enumerate()
        .find(|(_, f)| f.name == "N1")
        .unwrap();
    let along = |class: EdgeClass| {
        let of_class = |s: &&Side| matches!(s, Side::Edge(e) if roof.edge(*e).class == class);
        north.outline.sides.iter().filter(of_class).count()
    };
    assert_eq!(north.holes.len(), 1);
    assert_eq!(
        (along(EdgeClass::Eave), along(EdgeClass::PitchChange)),
        (2, 1)
    );
    let list = MaterialList::compute(
        &roof,
        &courses(&roof),
        &settings("[plan]\neave_overhang = \"18in\"\n[site]\nice_barrier = true\n"),
    );
    assert!(list.ice.iter().any(|ice| ice.face.0 == index));
}
