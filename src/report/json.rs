//! The machine-readable takeoff. Full precision: nothing is rounded.

use serde::Serialize;
use serde_json::Value;

use super::json_checks::{self, CheckOut, DoubtOut};
use super::json_money::{self as money, CostOut, OfferOut};
use super::json_site::{self as site, LoadingOut, TearOffOut, VentilationOut};
use super::{OutputUnits, Report};
use crate::courses::Courses;
use crate::geometry::Point3;
use crate::materials::MaterialLine;
use crate::roof::{Edge, EdgeClass, Face, Ring, Roof};
use crate::{Finding, Severity, gravest_first};

/// The name and version of the layout.
const SCHEMA: &str = "eavewright.takeoff/1";

#[derive(Serialize)]
struct Takeoff<'a> {
    schema: &'static str,
    units: Units,
    scale: ScaleOut<'a>,
    faces: Vec<FaceOut<'a>>,
    edges: Vec<EdgeOut<'a>>,
    totals: Totals,
    doubt: DoubtOut,
    checks: Vec<CheckOut<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    courses: Option<CoursesOut<'a>>,
    materials: Vec<MaterialOut<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tear_off: Option<TearOffOut>,
    #[serde(skip_serializing_if = "Option::is_none")]
    loading: Option<LoadingOut>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    ventilation: Vec<VentilationOut>,
    #[serde(skip_serializing_if = "Option::is_none")]
    offer: Option<OfferOut<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    internal_cost: Option<CostOut<'a>>,
    findings: Vec<FindingOut<'a>>,
}

#[derive(Serialize)]
pub(super) struct Units {
    length: &'static str,
    area: &'static str,
}

impl Units {
    pub(super) const fn of(units: OutputUnits) -> Self {
        Self {
            length: units.length_key(),
            area: units.area_key(),
        }
    }
}

#[derive(Serialize)]
struct ScaleOut<'a> {
    from: &'a str,
    length_per_drawing_unit: f64,
}

type Corner = [f64; 3];

#[derive(Serialize)]
struct FaceOut<'a> {
    name: &'a str,
    level: u32,
    rise_in_12: f64,
    pitch_deg: f64,
    downslope_deg: Option<f64>,
    plan_area: f64,
    true_area: f64,
    outline: Vec<Corner>,
    holes: Vec<Vec<Corner>>,
}

#[derive(Serialize)]
struct EdgeOut<'a> {
    class: &'static str,
    plan_length: f64,
    true_length: f64,
    faces: Vec<&'a str>,
    start: Corner,
    end: Corner,
}

#[derive(Serialize)]
struct Totals {
    plan_area: f64,
    true_area: f64,
    squares: f64,
    lengths: serde_json::Map<String, Value>,
}

#[derive(Serialize)]
struct CoursesOut<'a> {
    format: &'a str,
    pieces_opened: usize,
    pieces_bound: usize,
    cuts: usize,
    offcuts_reused: usize,
    waste_percent: f64,
    nails: u64,
    faces: Vec<FaceCourses<'a>>,
}

#[derive(Serialize)]
struct FaceCourses<'a> {
    name: &'a str,
    courses: usize,
    pieces_opened: usize,
    pieces_bound: usize,
    cuts: usize,
}

#[derive(Serialize)]
pub(super) struct MaterialOut<'a> {
    item: &'a str,
    key: &'a str,
    /// By which its price is looked up: the key, and what tells lines of one key apart.
    price_key: String,
    quantity: f64,
    unit: &'a str,
    /// In packages, as `quantity`.
    needed: f64,
    /// In the item's own measure.
    needed_amount: f64,
    needed_amount_unit: &'a str,
    /// With laps and cutting loss, in the item's own measure.
    consumed_amount: f64,
    /// What the order leaves over, in the item's own measure.
    left_over_amount: f64,
    /// Packages of the order that nothing computed asks for: spare bundles, the handling allowance.
    allowance: f64,
    /// The edges that feed it, by their places in `edges`; left out where there is more than one plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    edges: Option<Vec<usize>>,
    /// The faces that feed it, by their names; left out where there is more than one plan.
    #[serde(skip_serializing_if = "Option::is_none")]
    faces: Option<Vec<&'a str>>,
    basis: &'a str,
    source: &'a str,
}

#[derive(Serialize)]
pub(super) struct FindingOut<'a> {
    severity: &'static str,
    code: &'a str,
    message: &'a str,
    remedy: &'a str,
    at: Option<[f64; 2]>,
    element: Option<&'a str>,
    line: Option<u32>,
    column: Option<u32>,
}

/// The takeoff as JSON, in the layout that scripts outside this repository read.
pub fn json(report: &Report<'_>) -> String {
    let inputs = report.inputs();
    let k = inputs.units.per_foot();
    let takeoff = Takeoff {
        schema: SCHEMA,
        units: Units::of(inputs.units),
        scale: ScaleOut {
            from: &inputs.drawing.scale.from,
            length_per_drawing_unit: inputs.drawing.scale.feet_per_unit * k,
        },
        faces: inputs.roof.faces.iter().map(|f| face(report, f)).collect(),
        edges: inputs.roof.edges.iter().map(|e| edge(report, e)).collect(),
        totals: totals(report),
        doubt: json_checks::doubt(report.roof(), report.units()),
        checks: json_checks::checks(report.roof(), report.units()),
        courses: inputs.courses.map(|c| courses(report, c)),
        materials: inputs.materials.map_or_else(Vec::new, |m| {
            m.lines
                .iter()
                .map(|l| material(l, Some(inputs.roof)))
                .collect()
        }),
        tear_off: (inputs.materials)
            .and_then(|m| m.tear_off)
            .map(|off| site::tear_off(off, inputs.units)),
        loading: (inputs.materials)
            .and_then(|m| m.loading)
            .map(|loading| site::loading(loading, inputs.units)),
        ventilation: inputs.materials.map_or_else(Vec::new, |m| {
            let sums = m.ventilation.iter();
            sums.map(|sum| site::ventilation(sum, inputs.units))
                .collect()
        }),
        offer: inputs.offer.map(|o| money::offer(&o.bid)),
        internal_cost: inputs.offer.map(|o| money::cost(&o.cost)),
        findings: report.findings().iter().map(|f| finding(f, k)).collect(),
    };
    written(&takeoff)
}

/// Plain structs as text. Writing them with string keys to memory has nothing to fail on; were it to, an empty text is
/// refused by every reader, which is better than half a takeoff.
pub(super) fn written(out: &impl Serialize) -> String {
    serde_json::to_string_pretty(out)
        .map(|text| text + "\n")
        .unwrap_or_default()
}

/// The name and version of the layout of a refusal.
const REFUSAL_SCHEMA: &str = "eavewright.refusal/1";

#[derive(Serialize)]
struct Refusal<'a> {
    schema: &'static str,
    units: Units,
    findings: Vec<FindingOut<'a>>,
}

/// What stands in the place of a takeoff that could not be made: every reason, the gravest first, laid out as in the
/// takeoff.
pub fn refusal_json(findings: &[Finding], units: OutputUnits) -> String {
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    gravest_first(&mut sorted);
    let refusal = Refusal {
        schema: REFUSAL_SCHEMA,
        units: Units::of(units),
        findings: (sorted.into_iter())
            .map(|f| finding(f, units.per_foot()))
            .collect(),
    };
    serde_json::to_string_pretty(&refusal)
        .map(|text| text + "\n")
        .unwrap_or_default()
}

fn corner(p: Point3, k: f64) -> Corner {
    [p.x * k, p.y * k, p.z * k]
}

fn ring(ring: &Ring, k: f64) -> Vec<Corner> {
    ring.corners.iter().map(|&p| corner(p, k)).collect()
}

fn face<'a>(report: &Report<'a>, face: &'a Face) -> FaceOut<'a> {
    let units = report.units();
    let k = units.per_foot();
    FaceOut {
        name: &face.name,
        level: face.level,
        rise_in_12: face.pitch.to_in_12(),
        pitch_deg: face.pitch.to_degrees(),
        downslope_deg: face.downslope_deg().map(|deg| report.compass_deg(deg)),
        plan_area: face.plan_area.to_square_feet() * units.per_square_foot(),
        true_area: face.true_area.to_square_feet() * units.per_square_foot(),
        outline: ring(&face.outline, k),
        holes: face.holes.iter().map(|hole| ring(hole, k)).collect(),
    }
}

fn edge<'a>(report: &Report<'a>, edge: &'a Edge) -> EdgeOut<'a> {
    let k = report.units().per_foot();
    EdgeOut {
        class: edge.class.key(),
        plan_length: edge.plan_length.to_feet() * k,
        true_length: edge.true_length.to_feet() * k,
        faces: report.face_names(edge).collect(),
        start: corner(edge.start, k),
        end: corner(edge.end, k),
    }
}

fn totals(report: &Report<'_>) -> Totals {
    let (roof, units) = (report.roof(), report.units());
    Totals {
        plan_area: roof.plan_area().to_square_feet() * units.per_square_foot(),
        true_area: roof.true_area().to_square_feet() * units.per_square_foot(),
        squares: roof.true_area().to_squares(),
        lengths: EdgeClass::ALL
            .into_iter()
            .map(|class| {
                let length = roof.true_length(class).to_feet() * units.per_foot();
                (class.key().to_owned(), Value::from(length))
            })
            .collect(),
    }
}

fn courses<'a>(report: &Report<'a>, courses: &'a Courses) -> CoursesOut<'a> {
    let roof = report.roof();
    CoursesOut {
        format: &courses.format.name,
        pieces_opened: courses.opened(),
        pieces_bound: courses.bound(),
        cuts: courses.cuts(),
        offcuts_reused: courses.offcuts_reused(),
        waste_percent: courses.waste_percent(),
        nails: courses.nails(roof) as u64,
        faces: courses
            .faces
            .iter()
            .map(|layout| FaceCourses {
                name: &roof.face(layout.face).name,
                courses: layout.courses,
                pieces_opened: layout.opened,
                pieces_bound: layout.bound,
                cuts: layout.cuts,
            })
            .collect(),
    }
}

/// A line of the order; of one `roof` it says what feeds it.
pub(super) fn material<'a>(line: &'a MaterialLine, roof: Option<&'a Roof>) -> MaterialOut<'a> {
    MaterialOut {
        item: &line.item,
        key: line.key,
        price_key: line.price_key(),
        quantity: line.quantity,
        unit: &line.unit,
        needed: line.needed_packages,
        needed_amount: line.needed,
        needed_amount_unit: &line.needed_unit,
        consumed_amount: line.consumed,
        left_over_amount: line.left_over,
        allowance: line.allowance,
        edges: roof.map(|_| line.edges.iter().map(|(_, id)| id.0).collect()),
        faces: roof.map(|roof| {
            let names = line
                .faces
                .iter()
                .map(|(_, id)| roof.face(*id).name.as_str());
            names.collect()
        }),
        basis: &line.basis,
        source: &line.source,
    }
}

/// The word for a severity in machine-readable output and in compiler-like messages.
pub(super) const fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

/// A finding, its place in lengths of `k` a foot.
pub(super) fn finding(finding: &Finding, k: f64) -> FindingOut<'_> {
    let at = finding.places.iter().find_map(|place| place.at);
    let source = finding
        .places
        .iter()
        .find_map(|place| place.source.as_deref());
    FindingOut {
        severity: severity_word(finding.severity),
        code: finding.code,
        message: &finding.message,
        remedy: &finding.remedy,
        at: at.map(|p| [p.x * k, p.y * k]),
        element: source.and_then(|s| s.id.as_deref()),
        line: source.map(|s| s.line).filter(|&line| line > 0),
        column: source.map(|s| s.column).filter(|&column| column > 0),
    }
}
