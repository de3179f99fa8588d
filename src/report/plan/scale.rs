//! Standard scales, and from plan feet to millimetres of paper.

use crate::geometry::{Point, Vector};
use crate::report::OutputUnits;
use crate::report::canvas::Area;

/// Millimetres in a foot.
const MM_PER_FOOT: f64 = 304.8;

/// A scale that drawing offices use.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct DrawingScale {
    /// So many of the building to one on paper.
    pub(crate) ratio: f64,
    words: &'static str,
}

const fn scale(ratio: f64, words: &'static str) -> DrawingScale {
    DrawingScale { ratio, words }
}

/// Architectural scales, then engineer's scales for what is larger than a house. Usual practice; the list of
/// architectural scales is that of the common scale rule.
const IMPERIAL: [DrawingScale; 14] = [
    scale(16.0, "¾″ = 1′-0″"),
    scale(24.0, "½″ = 1′-0″"),
    scale(32.0, "⅜″ = 1′-0″"),
    scale(48.0, "¼″ = 1′-0″"),
    scale(64.0, "³⁄₁₆″ = 1′-0″"),
    scale(96.0, "⅛″ = 1′-0″"),
    scale(128.0, "³⁄₃₂″ = 1′-0″"),
    scale(192.0, "¹⁄₁₆″ = 1′-0″"),
    scale(240.0, "1″ = 20′-0″"),
    scale(360.0, "1″ = 30′-0″"),
    scale(480.0, "1″ = 40′-0″"),
    scale(600.0, "1″ = 50′-0″"),
    scale(720.0, "1″ = 60′-0″"),
    scale(1200.0, "1″ = 100′-0″"),
];

/// Metric scales after ISO 5455, with those between them that are on a common triangular rule: 1:25, 1:75, 1:125, 1:250
/// (common practice, no source).
const METRIC: [DrawingScale; 11] = [
    scale(20.0, "1:20"),
    scale(25.0, "1:25"),
    scale(50.0, "1:50"),
    scale(75.0, "1:75"),
    scale(100.0, "1:100"),
    scale(125.0, "1:125"),
    scale(200.0, "1:200"),
    scale(250.0, "1:250"),
    scale(500.0, "1:500"),
    scale(1000.0, "1:1000"),
    scale(2000.0, "1:2000"),
];

impl DrawingScale {
    /// The standard scales, the largest first.
    pub(crate) const fn standard(units: OutputUnits) -> &'static [Self] {
        match units {
            OutputUnits::Feet => &IMPERIAL,
            OutputUnits::Metres => &METRIC,
        }
    }
    /// As written in a title block: `⅛″ = 1′-0″ (1:96)`.
    pub(crate) fn words(self) -> String {
        if self.words.starts_with("1:") {
            self.words.to_owned()
        } else {
            format!("{} (1:{})", self.words, self.ratio)
        }
    }
    /// Millimetres of paper for a foot of the building.
    pub(crate) fn mm_per_foot(self) -> f64 {
        MM_PER_FOOT / self.ratio
    }
    /// This scale, or the nearest standard one that draws no larger than 1:`ratio`.
    pub(crate) fn at_most_ratio(self, ratio: f64) -> Self {
        let all = if self.words.starts_with("1:") {
            &METRIC[..]
        } else {
            &IMPERIAL[..]
        };
        all.iter()
            .copied()
            .find(|scale| scale.ratio >= self.ratio && scale.ratio >= ratio)
            .unwrap_or(self)
    }
    /// The largest standard scale at which something of `size` feet fits `width` × `height` mm. The smallest there is
    /// where none does.
    pub(crate) fn fitting(units: OutputUnits, size_ft: Vector, width: f64, height: f64) -> Self {
        let all = Self::standard(units);
        all.iter()
            .copied()
            .find(|scale| {
                let k = scale.mm_per_foot();
                size_ft.x * k <= width && size_ft.y * k <= height
            })
            .unwrap_or(all[all.len() - 1])
    }
}

/// Plan feet on paper.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Projection {
    pub(crate) scale: DrawingScale,
    /// The plan's origin on paper.
    origin: Vector,
}

impl Projection {
    /// With the middle of `low..high` (plan feet) in the middle of an area of paper.
    pub(crate) fn centred(scale: DrawingScale, low: Point, high: Point, area: Area) -> Self {
        let k = scale.mm_per_foot();
        let middle = low.midpoint(high);
        let center = area.center();
        Self {
            scale,
            origin: Vector::new(center.x - middle.x * k, center.y - middle.y * k),
        }
    }
    /// The place of the plan under a place of paper.
    pub(crate) fn plan(&self, p: Point) -> Point {
        let k = self.scale.mm_per_foot();
        Point::new((p.x - self.origin.x) / k, (p.y - self.origin.y) / k)
    }
    /// A place of the plan on paper.
    pub(crate) fn paper(&self, p: Point) -> Point {
        let k = self.scale.mm_per_foot();
        Point::new(p.x * k + self.origin.x, p.y * k + self.origin.y)
    }
}
