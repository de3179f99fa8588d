//! What must hold for any bytes, stage by stage. `fuzz/` gives them bytes by coverage, `fuzz_driver.rs` by chance.

use std::sync::Arc;

use eavewright::courses::{self, Choices, Courses, LayRules};
use eavewright::drawing::text::{
    parse_area, parse_length, parse_pitch, parse_scale_text, pitch_in_words, scale_in_words,
};
use eavewright::drawing::{
    Drawing, FallArrow, Label, ReadOptions, Role, Rule, Says, Scale, Stroke, Style,
};
use eavewright::geometry::{Point, ring};
use eavewright::job::Job;
use eavewright::place::Source;
use eavewright::roof::map::{self, MapOptions, PlanMap};
use eavewright::roof::outline::{self, OutlineInput, OutlineProblem, OutlineRules, OutlineSide};
use eavewright::roof::{Roof, SolveOptions};
use eavewright::units::{Pitch, parse_length_in};

/// A target: what must hold, and what bytes are good to begin with.
pub(crate) type Target = fn(&[u8]);

/// Any file is either read or refused.
pub(crate) fn read(bytes: &[u8]) {
    if let Err(errors) = Drawing::read(bytes, &ReadOptions::default()) {
        assert!(errors.iter().all(|e| e.code != "reader-failed"));
    }
}

/// Any text is either a finite measure or none, and any job file is read or refused.
pub(crate) fn texts(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let pitches = [parse_pitch(&text), pitch_in_words(&text)];
    for pitch in pitches.into_iter().flatten() {
        assert!(pitch.pitch.to_in_12().is_finite() && pitch.pitch.to_in_12() >= 0.0);
    }
    if let Some(inches) = parse_length_in(&text) {
        assert!(inches.is_finite());
    }
    if let Some(length) = parse_length(&text, None) {
        assert!(length.feet.is_finite());
    }
    let _ = (
        parse_area(&text),
        parse_scale_text(&text),
        scale_in_words(&text),
    );
    let _ = Rule::parse(&text);
    if let Err(findings) = Job::parse(&text) {
        assert!(!findings.is_empty());
    }
}

/// Any lines give a subdivision or reasons for none; its faces have an area each.
pub(crate) fn subdivision(bytes: &[u8]) {
    for map in maps(&lines(&mut Numbers(bytes))).unwrap_or_default() {
        for face in &map.faces {
            assert!(ring::signed_area(&map.corners(&face.rings[0])) > 0.0);
        }
    }
}

/// Any lines and pitches give a roof or reasons for none; a roof's measures are finite, and no face is flatter in
/// truth than in plan.
pub(crate) fn solver(bytes: &[u8]) {
    if let Ok(maps) = maps(&lines(&mut Numbers(bytes))) {
        judge(&Roof::solve(&maps, &accepting()).unwrap_or_default());
    }
}

/// Any outline gives a roof whose every check holds, or a reason for none: that its proof failed is a defect.
pub(crate) fn skeleton(bytes: &[u8]) {
    let mut numbers = Numbers(bytes);
    let sides = 3 + numbers.below(14);
    let corners = if numbers.below(2) == 0 {
        star_shaped(&mut numbers, sides)
    } else {
        (0..sides).map(|_| numbers.point()).collect()
    };
    let sides = corners.into_iter().map(|start| match numbers.below(5) {
        0 => OutlineSide::gable(start),
        n => OutlineSide::eave(start, Pitch::in_12([4.0, 6.0, 8.0, 12.0][n - 1])),
    });
    let input = OutlineInput {
        rings: vec![sides.collect()],
    };
    match outline::build(&input, &OutlineRules::default()) {
        Ok(roof) => assert!(roof.checks.iter().all(|check| check.holds())),
        Err(problem) => assert!(
            !matches!(problem, OutlineProblem::NotProven { .. }),
            "{problem} {input:?}"
        ),
    }
}

/// Any face that is a roof can be laid, and no layout opens fewer shingles than the bound.
pub(crate) fn course_layout(bytes: &[u8]) {
    let mut numbers = Numbers(bytes);
    let sides = 3 + numbers.below(9);
    let corners = star_shaped(&mut numbers, sides);
    let middle = ring::centroid(&corners);
    let mut drawing = empty();
    let fall = numbers.point();
    drawing.falls.push(FallArrow {
        from: middle,
        to: Point::new(middle.x + fall.x * 0.01 + 0.1, middle.y + fall.y * 0.01),
        level: 0,
        source: Arc::default(),
    });
    drawing
        .labels
        .push(pitch_label(middle, 1.0 + numbers.below(20) as f64));
    drawing.strokes.push(stroke(corners, true));
    let Ok(maps) = maps(&drawing) else { return };
    let Ok(roof) = Roof::solve(&maps, &accepting()) else {
        return;
    };
    let name = ["39x13", "36x12"][numbers.below(2)];
    let format = courses::formats::by_name(name, &[]).unwrap();
    if let Ok(courses) = Courses::lay(&roof, &format, &LayRules::default(), &Choices::default()) {
        assert!(courses.bound() <= courses.opened());
        assert!(courses.waste_percent().is_finite());
    }
}

fn maps(drawing: &Drawing) -> Result<Vec<PlanMap>, ()> {
    map::build(drawing, &MapOptions::default()).map_err(|reasons| assert!(!reasons.is_empty()))
}

fn accepting() -> SolveOptions {
    SolveOptions {
        accept_falls: true,
        ..SolveOptions::default()
    }
}

fn judge(roof: &Roof) {
    for face in &roof.faces {
        let (plan, real) = (
            face.plan_area.to_square_feet(),
            face.true_area.to_square_feet(),
        );
        assert!(plan.is_finite() && real.is_finite() && real >= plan * (1.0 - 1e-9));
    }
    for edge in &roof.edges {
        assert!(edge.true_length.to_feet() >= edge.plan_length.to_feet() * (1.0 - 1e-9));
    }
}

/// Numbers out of bytes; none are left when the bytes are used up, and then all are 0.
struct Numbers<'a>(&'a [u8]);

impl Numbers<'_> {
    fn byte(&mut self) -> u8 {
        let Some((&first, rest)) = self.0.split_first() else {
            return 0;
        };
        self.0 = rest;
        first
    }
    fn below(&mut self, n: usize) -> usize {
        usize::from(self.byte()) % n
    }
    /// Mostly on a grid of two feet, as roofs are; sometimes off it by a hair, seldom anywhere.
    fn coordinate(&mut self) -> f64 {
        let kind = self.byte();
        let grid = f64::from(kind % 32) * 2.0;
        match kind / 32 {
            0 => grid + (f64::from(self.byte()) - 128.0) * 1e-3,
            1 => grid + f64::from(self.byte()) / 128.0,
            2 if kind == 95 => {
                let bytes = [self.byte(), self.byte(), self.byte(), self.byte()];
                let wild = f64::from(f32::from_le_bytes(bytes));
                if wild.abs() < 1e5 { wild } else { 0.0 }
            }
            _ => grid,
        }
    }
    fn point(&mut self) -> Point {
        Point::new(self.coordinate(), self.coordinate())
    }
}

fn empty() -> Drawing {
    Drawing {
        scale: Scale {
            feet_per_unit: 1.0,
            ..Scale::default()
        },
        ..Drawing::default()
    }
}

fn stroke(points: Vec<Point>, closed: bool) -> Stroke {
    Stroke {
        points,
        closed,
        curved: false,
        filled_only: false,
        role: Role::Roof,
        level: 0,
        style: Style::default(),
        names: Arc::default(),
        source: Arc::new(Source::default()),
    }
}

fn pitch_label(at: Point, in_12: f64) -> Label {
    Label {
        says: Says::Pitch {
            pitch: Pitch::in_12(in_12),
            half_step: 0.5 / 12.0,
        },
        text: format!("{in_12}/12"),
        at,
        baseline: [at, at],
        points_at: None,
        height_ft: 0.8,
        level: 0,
        source: Arc::default(),
    }
}

/// Up to sixteen lines and eight pitches.
fn lines(numbers: &mut Numbers<'_>) -> Drawing {
    let mut drawing = empty();
    for _ in 0..1 + numbers.below(16) {
        let kind = numbers.byte();
        let mut points: Vec<Point> = (0..2 + kind % 4).map(|_| numbers.point()).collect();
        points.dedup();
        if points.len() >= 2 {
            drawing.strokes.push(stroke(points, kind >= 128));
        }
    }
    for _ in 0..numbers.below(9) {
        let (at, in_12) = (numbers.point(), numbers.below(20) as f64);
        drawing.labels.push(pitch_label(at, in_12));
    }
    drawing
}

/// Corners round a middle by rising angle: a simple polygon whatever the numbers.
fn star_shaped(numbers: &mut Numbers<'_>, sides: usize) -> Vec<Point> {
    let corner = |n: usize| {
        let angle = std::f64::consts::TAU * n as f64 / sides as f64;
        let reach = 4.0 + f64::from(numbers.byte()) / 4.0;
        Point::new(40.0 + reach * angle.cos(), 40.0 + reach * angle.sin())
    };
    (0..sides).map(corner).collect()
}
