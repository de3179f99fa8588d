//! What the code or the trade says about slopes and places where water gathers.

use crate::roof::limits::near_limits;
use crate::roof::{Edge, EdgeClass, Face, Roof, SlopeLimits};
use crate::units::Pitch;
use crate::{Finding, Place};

use super::words;

/// Cautions about slopes and valleys.
pub(super) fn cautions(roof: &Roof, limits: &SlopeLimits) -> Vec<Finding> {
    let mut findings = slopes(roof, limits);
    for edge in &roof.edges {
        findings.extend(dead_valley(roof, edge));
    }
    findings.extend(eaves_at_two_heights(roof));
    findings.extend(eaves_aslant(roof));
    findings
}

/// An outer edge nearer to square to its face's fall than this, in degrees, is meant as an eave or a high edge: no rake
/// runs so (chosen, no source).
const MEANT_SQUARE_DEG: f64 = 3.0;
/// Shorter ones, in feet, change what is ordered by less than a length of drip edge.
const TELLING_FT: f64 = 10.0;

/// On a steep face an eave drawn a little aslant rises by more than eaves do and is taken for a rake, with other drip edge and
/// without starter strips.
fn eaves_aslant(roof: &Roof) -> Option<Finding> {
    let aslant: Vec<(&Edge, f64)> = roof
        .edges
        .iter()
        .filter(|e| e.class == EdgeClass::Rake && e.plan_length.to_feet() >= TELLING_FT)
        .filter_map(|e| Some((e, off_square_deg(roof, e)?)))
        .filter(|(_, off_deg)| *off_deg < MEANT_SQUARE_DEG)
        .collect();
    let rise_ft = |e: &Edge| (e.end.z - e.start.z).abs();
    let &(steepest, off_deg) =
        (aslant.iter()).max_by(|(a, _), (b, _)| rise_ft(a).total_cmp(&rise_ft(b)))?;
    let more = match aslant.len() - 1 {
        0 => String::new(),
        1 => "; so is one more".to_owned(),
        n => format!("; so are {n} more"),
    };
    let message = format!(
        "the outer edge of {} from {} to {} is drawn {off_deg:.1}° off square to the fall, nearly as eaves run, but rises {} along its length at this pitch and was taken for a rake{more}",
        roof.face(*steepest.faces.first()?).name,
        words::place(steepest.start.plan()),
        words::place(steepest.end.plan()),
        words::feet(rise_ft(steepest)),
    );
    let finding = Finding::warning("eave-taken-for-rake", message)
        .remedy("If it is level as built, draw it square to the fall, along with the ridge; if it does rise, nothing is wrong.");
    Some(aslant.iter().fold(finding, |finding, (edge, _)| {
        finding.place(Place::at(edge.start.plan().midpoint(edge.end.plan())))
    }))
}

/// How far an edge with one face is from square to its fall, in degrees.
fn off_square_deg(roof: &Roof, edge: &Edge) -> Option<f64> {
    let &[face] = &edge.faces[..] else {
        return None;
    };
    let fall = roof.face(face).plane.gradient.unit()?;
    let along = (edge.end.plan() - edge.start.plan()).unit()?;
    Some(fall.dot(along).abs().min(1.0).asin().to_degrees())
}

/// Eaves on the two sides of a ridge that differ by less are level to the eye (feet; common practice, no source) ...
const TWO_HEIGHTS_FT: f64 = 0.25;
/// ... besides what the ridge and the two eaves, each off by the snap tolerance, make of it.
const TRACED_TOLERANCES: f64 = 2.0;
/// ... up to this, which anybody sees.
const MOST_TWO_HEIGHTS_FT: f64 = 0.75;

/// Pitches and a ridge may fit only with one eave higher than the other. That is a roof, but often a wrong pitch.
fn eaves_at_two_heights(roof: &Roof) -> Option<Finding> {
    let mut eave_of: Vec<Option<f64>> = vec![None; roof.faces.len()];
    for edge in roof.edges.iter().filter(|e| e.class == EdgeClass::Eave) {
        let z = edge.start.z.midpoint(edge.end.z);
        for face in &edge.faces {
            let lowest = &mut eave_of[face.0];
            *lowest = Some(lowest.map_or(z, |l| l.min(z)));
        }
    }
    let mut pairs: Vec<(f64, [usize; 2])> = roof
        .edges
        .iter()
        .filter(|e| e.class == EdgeClass::Ridge)
        .filter_map(|edge| {
            let &[first, second] = &edge.faces[..] else {
                return None;
            };
            let apart = eave_of[first.0]? - eave_of[second.0]?;
            let higher_first = if apart > 0.0 {
                [first.0, second.0]
            } else {
                [second.0, first.0]
            };
            let steeper = [first, second]
                .map(|f| roof.face(f).pitch.to_rise_per_run())
                .into_iter()
                .fold(0.0, f64::max);
            let traced = TRACED_TOLERANCES * roof.snap_tolerance_ft * steeper;
            (apart.abs() > (TWO_HEIGHTS_FT + traced).min(MOST_TWO_HEIGHTS_FT))
                .then_some((apart.abs(), higher_first))
        })
        .collect();
    pairs.sort_by_key(|pair| pair.1);
    pairs.dedup_by_key(|pair| pair.1);
    let (largest, [high, low]) = *pairs.iter().max_by(|a, b| a.0.total_cmp(&b.0))?;
    let more = match pairs.len() - 1 {
        0 => String::new(),
        1 => "; so do those of one more pair of faces".to_owned(),
        n => format!("; so do those of {n} more pairs of faces"),
    };
    let message = format!(
        "the eaves on both sides of a ridge stand at two heights: that of {} {} above that of {}{more}",
        roof.faces[high].name,
        words::feet(largest),
        roof.faces[low].name,
    );
    let mut finding = Finding::note("eaves-at-two-heights", message)
        .remedy("Where they should be level, check the pitches and where the ridge is drawn.");
    for (_, [high, _]) in pairs {
        finding = finding.place(Place::at(roof.faces[high].label_at));
    }
    Some(finding)
}

fn slopes(roof: &Roof, limits: &SlopeLimits) -> Vec<Finding> {
    let faces = |applies: &dyn Fn(&Face) -> bool| -> Vec<&Face> {
        roof.faces.iter().filter(|f| applies(f)).collect()
    };
    let words =
        |limit: Option<Pitch>| limit.map_or(String::new(), |l| words::pitch(l.to_rise_per_run()));
    let flat = faces(&|f| limits.refuses_shingles(f));
    let low = faces(&|f| limits.doubles_underlayment(f) && !limits.refuses_shingles(f));
    let steep = faces(&|f| limits.takes_steep_fastening(f));
    let falls = faces(&|f| limits.is_steep_for_falls(f));
    [
        list(&flat, |names| {
            Finding::warning(
                "too-flat-for-shingles",
                format!("{names}: {}; asphalt shingles are not allowed there (IRC R905.2.2)", limits.shingles_from.map_or_else(|| "level".to_owned(), |l| format!("below {}", words(Some(l))))),
            )
            .remedy("Price another roofing for these faces.")
        }),
        list(&low, |names| {
            Finding::warning(
                "double-underlayment",
                format!("{names}: below {}; the underlayment is laid double (IRC R905.1.1)", words(limits.single_underlayment_from)),
            )
        }),
        list(&steep, |names| {
            Finding::warning(
                "steep-fastening",
                format!("{names}: above {}; shingles are fastened as their maker says for steep roofs (IRC R905.2.6)", words(limits.steep_fastening_above)),
            )
            .remedy("Look up the maker's fastening; the high-wind number of nails is counted there.")
        }),
        list(&falls, |names| {
            Finding::note(
                "fall-protection",
                format!("{names}: above {}, a steep roof for fall protection (29 CFR 1926.500(b), 1926.501(b)(11))", words(Some(limits.fall_protection_above))),
            )
        }),
    ]
    .into_iter()
    .flatten()
    .chain(near_limits(&faces(&|_| true), &limits.hinges()))
    .collect()
}

/// One finding for all the faces, named and placed; none for none.
fn list(faces: &[&Face], finding: impl Fn(String) -> Finding) -> Option<Finding> {
    if faces.is_empty() {
        return None;
    }
    let names: Vec<&str> = faces.iter().map(|f| f.name.as_str()).collect();
    let mut made = finding(names.join(", "));
    for face in faces {
        made = made.place(Place::at(face.label_at));
    }
    Some(made)
}

/// A valley that hardly falls keeps water and snow.
fn dead_valley(roof: &Roof, edge: &Edge) -> Option<Finding> {
    if !edge.is_dead_valley() {
        return None;
    }
    let (a, b) = (edge.start.plan(), edge.end.plan());
    let names: Vec<&str> = edge
        .faces
        .iter()
        .map(|&f| roof.face(f).name.as_str())
        .collect();
    let message = format!(
        "the valley between {} from {} to {} is level: water and snow stay in it",
        names.join(" and "),
        words::place(a),
        words::place(b)
    );
    Some(
        Finding::warning("dead-valley", message)
            .remedy("It needs a cricket, or a lining and outlet made for standing water.")
            .place(Place::at(a.midpoint(b))),
    )
}
