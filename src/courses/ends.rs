//! The two ends of a run: the line that its pieces are cut to, with overhang, trim or lap.

use super::face::EdgeKind;
use super::profile::at;
use super::runs::{Line, Slab};
use super::{LayRules, ShingleFormat};

/// One end of a run, in the coordinate s that grows INTO the run: s = u at the left end, s = −u at the right end.
#[derive(Clone, Debug)]
pub(super) struct End {
    /// Where the pieces must reach to, as (h, s) in order of h from 0 to the height of the piece; two points may
    /// share a height. Where the side does not reach down to the butt line, its line is carried on; where it ends
    /// below the piece's top, it is held level from there.
    pub(super) outer: Vec<(f64, f64)>,
    /// The same, but held level at the lower end too: never asks for more than the roof does.
    pub(super) inner: Vec<(f64, f64)>,
    /// Least s of the joint next to the end, from the keep-out of a through valley.
    pub(super) least_joint: Option<f64>,
}

/// What is askew by no more over the height of a shingle is cut square, in inches: no saw and no tape shows less, and a rake
/// that is drawn at an angle is off by a part of it.
pub(super) const SQUARE_WITHIN_IN: f64 = 1.0 / 64.0;

impl End {
    /// Whether the end is square: the same at every height.
    pub(super) fn is_square(&self) -> bool {
        let reach = self.reach();
        self.outer.iter().all(|p| p.1 - reach < SQUARE_WITHIN_IN)
    }
    /// The farthest out that a piece must reach.
    pub(super) fn reach(&self) -> f64 {
        least(&self.outer)
    }
    pub(super) fn outer_at(&self, h: f64) -> f64 {
        at(&self.outer, h, f64::min)
    }
    /// The farthest in that the end line comes at a height, whichever way it is carried on.
    pub(super) fn innermost_at(&self, h: f64) -> f64 {
        at(&self.outer, h, f64::max).max(at(&self.inner, h, f64::max))
    }
    pub(super) fn inner_at(&self, h: f64) -> f64 {
        at(&self.inner, h, f64::max)
    }
}

fn least(profile: &[(f64, f64)]) -> f64 {
    profile.iter().map(|p| p.1).fold(f64::INFINITY, f64::min)
}

/// What finding an end needs to know.
pub(super) struct Context<'a> {
    pub(super) lines: &'a [Line],
    pub(super) format: &'a ShingleFormat,
    pub(super) rules: &'a LayRules,
    pub(super) top_v: f64,
    pub(super) tiny: f64,
}

/// A stretch of boundary line between two v.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    line: usize,
    low_v: f64,
    high_v: f64,
}

/// The left or right end of the part of the strip.
pub(super) fn end(
    context: &Context<'_>,
    part: &[Slab],
    butt_v: f64,
    strip: f64,
    is_left: bool,
) -> End {
    let chain = outermost_chain(context, part, is_left);
    let in_strip = chain.len();
    let full = follow_up(
        context,
        chain,
        butt_v,
        butt_v + context.format.height_in,
        strip,
    );
    let top = context.format.height_in.min(context.top_v - butt_v);
    let sign = if is_left { 1.0 } else { -1.0 };
    // Two points more than the stretches have: what is carried down and held level.
    let mut outer = Vec::with_capacity(2 * full.len() + 2);
    for stretch in &full {
        let line = &context.lines[stretch.line];
        for v in [stretch.low_v, stretch.high_v] {
            outer.push((v - butt_v, sign * line.u_at(v) - line.allowance));
        }
    }
    let mut inner = outer.clone();
    beyond_the_side(context, &full, in_strip, sign, butt_v, &mut outer, f64::min);
    beyond_the_side(context, &full, in_strip, sign, butt_v, &mut inner, f64::max);
    carry_down(context, &full, sign, butt_v, &mut outer);
    hold_level(top, &mut outer);
    hold_level(top, &mut inner);
    let mut least_joint = None;
    // A piece that runs through a valley is not cut to its line: it ends square, past the farthest lap.
    for stretch in &full[..in_strip] {
        let line = &context.lines[stretch.line];
        if line.kind == EdgeKind::ValleyThrough {
            let (low, high) = (
                sign * line.u_at(stretch.low_v),
                sign * line.u_at(stretch.high_v),
            );
            let clear = low.max(high) + context.rules.valley_joint_clear_in;
            least_joint = Some(least_joint.map_or(clear, |c: f64| c.max(clear)));
        }
    }
    if least_joint.is_some() {
        let reach = full[..in_strip]
            .iter()
            .flat_map(|s| {
                let line = &context.lines[s.line];
                [s.low_v, s.high_v].map(|v| sign * line.u_at(v) - line.allowance)
            })
            .fold(f64::INFINITY, f64::min);
        outer = vec![(0.0, reach), (top, reach)];
        inner = outer.clone();
    }
    End {
        outer,
        inner,
        least_joint,
    }
}

/// The boundary stretches of one side of the part, as far as they hang together with the outermost of them.
fn outermost_chain(context: &Context<'_>, part: &[Slab], is_left: bool) -> Vec<Stretch> {
    let sign = if is_left { 1.0 } else { -1.0 };
    // Of several slabs at one height the outermost counts.
    let mut stretches: Vec<Stretch> = Vec::new();
    for slab in part {
        let line = if is_left { slab.left } else { slab.right };
        let middle = (slab.low_v + slab.high_v) / 2.0;
        let s = |i: usize| sign * context.lines[i].u_at(middle);
        match stretches.last_mut() {
            Some(last) if last.low_v == slab.low_v => {
                if s(line) < s(last.line) {
                    last.line = line;
                }
            }
            _ => stretches.push(Stretch {
                line,
                low_v: slab.low_v,
                high_v: slab.high_v,
            }),
        }
    }
    let reach = |t: &Stretch| {
        let line = &context.lines[t.line];
        (sign * line.u_at(t.low_v)).min(sign * line.u_at(t.high_v))
    };
    let mut chains: Vec<Vec<Stretch>> = Vec::new();
    for stretch in stretches {
        let v = stretch.low_v;
        let joins = chains.last().and_then(|c| c.last()).is_some_and(|below| {
            below.high_v == v
                && (context.lines[below.line].u_at(v) - context.lines[stretch.line].u_at(v)).abs()
                    <= context.tiny
        });
        match chains.last_mut() {
            Some(chain) if joins => chain.push(stretch),
            _ => chains.push(vec![stretch]),
        }
    }
    let outermost = |chain: &Vec<Stretch>| chain.iter().map(reach).fold(f64::INFINITY, f64::min);
    chains
        .into_iter()
        .min_by(|a, b| outermost(a).total_cmp(&outermost(b)))
        .unwrap_or_default()
}

/// Follows the boundary above the exposed strip, as far as it goes on upwards without a jump.
fn follow_up(
    context: &Context<'_>,
    mut chain: Vec<Stretch>,
    butt_v: f64,
    piece_top_v: f64,
    strip: f64,
) -> Vec<Stretch> {
    let Some(mut last) = chain.last().copied() else {
        return chain;
    };
    if last.high_v < butt_v + strip - context.tiny {
        return chain;
    }
    let is_left = context.lines[last.line].bounds_left;
    let mut v = last.high_v;
    while v < piece_top_v - context.tiny {
        let line = &context.lines[last.line];
        if line.high.y > v + context.tiny {
            let high_v = line.high.y.min(piece_top_v);
            chain.push(Stretch {
                line: last.line,
                low_v: v,
                high_v,
            });
            v = high_v;
            continue;
        }
        let next = line.above;
        let on = &context.lines[next];
        if on.is_level(context.tiny) || on.bounds_left != is_left || on.low.y < v - context.tiny {
            break;
        }
        last = Stretch {
            line: next,
            low_v: v,
            high_v: v,
        };
    }
    chain
}

/// How far out of its line a side's pieces reach, along the course. Rakes overhang and valleys are trimmed square to
/// the line, so along the course it is that times √(1 + lean²); a lap through a valley is measured along the course. A side
/// that is all but level ends no run that far: pieces stay back no farther than it is long, or a shingle, and reach out no
/// farther than a shingle.
pub(super) fn allowance(line: &Line, rules: &LayRules, shingle_in: f64) -> f64 {
    let most = (line.high.x - line.low.x).abs().max(shingle_in);
    let square = |inches: f64| inches * 1.0_f64.hypot(line.lean());
    match line.kind {
        EdgeKind::Rake => square(rules.rake_overhang_in).min(shingle_in),
        EdgeKind::ValleyCut => -square(rules.valley_cut_back_in).min(most),
        EdgeKind::ValleyOpen => -square(rules.valley_open_back_in).min(most),
        EdgeKind::ValleyThrough => rules.valley_lap_in,
        _ => 0.0,
    }
}

/// Above the upper corner of the side that ends the strip, one may follow the outline or hold the side's end level:
/// the piece is cut for the farther of the two, and only the nearer is asked of the bound.
fn beyond_the_side(
    context: &Context<'_>,
    chain: &[Stretch],
    in_strip: usize,
    sign: f64,
    butt_v: f64,
    profile: &mut [(f64, f64)],
    choose: fn(f64, f64) -> f64,
) {
    let Some(last) = in_strip.checked_sub(1).and_then(|i| chain.get(i)) else {
        return;
    };
    let line = &context.lines[last.line];
    let held = sign * line.u_at(line.high.y) - line.allowance;
    for (i, stretch) in chain.iter().enumerate() {
        if stretch.low_v >= line.high.y - context.tiny && stretch.low_v > butt_v {
            for point in &mut profile[2 * i..2 * i + 2] {
                point.1 = choose(point.1, held);
            }
        }
    }
}

/// Carries the lowest side on down to the butt line, as a piece of full height is laid.
fn carry_down(
    context: &Context<'_>,
    chain: &[Stretch],
    sign: f64,
    butt_v: f64,
    profile: &mut Vec<(f64, f64)>,
) {
    let Some(first) = chain.first() else { return };
    if first.low_v - butt_v > context.tiny {
        let line = &context.lines[first.line];
        let (at_foot, at_butt) = (line.u_at(first.low_v), line.u_at(butt_v));
        // What leans by more than a shingle below its foot is the foot itself, drawn askew by a hair: no side to follow.
        let u = if (at_butt - at_foot).abs() > context.format.width_in {
            at_foot
        } else {
            at_butt
        };
        profile.insert(0, (0.0, sign * u - line.allowance));
    }
}

/// Where the side ends above or below, its line is not followed farther.
fn hold_level(top: f64, profile: &mut Vec<(f64, f64)>) {
    if let Some(&(h, s)) = profile.first()
        && h > 0.0
    {
        profile.insert(0, (0.0, s));
    }
    if let Some(&(h, s)) = profile.last()
        && h < top
    {
        profile.push((top, s));
    }
}
