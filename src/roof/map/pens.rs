//! Which strokes were drawn with one pen.

use std::collections::BTreeMap;

use crate::drawing::{Drawing, Stroke};

/// Line widths that differ by less than this part are one width.
const SAME_WIDTH: f64 = 0.02;
/// Fewer single lines of one pen, each on a layer of its own, may be on layers all the same.
const LEAST_NAMED: usize = 3;

/// Whether two strokes look as if drawn with one pen on one layer.
pub(super) fn alike(a: &Stroke, b: &Stroke) -> bool {
    a.source.layer == b.source.layer && same_pen(a, b)
}

/// The same, on whatever layer.
pub(super) fn same_pen(a: &Stroke, b: &Stroke) -> bool {
    let width = a.style.width.max(b.style.width);
    a.level == b.level
        && a.filled_only == b.filled_only
        && a.style.stroke == b.style.stroke
        && fill_seen(a) == fill_seen(b)
        && a.style.dashed == b.style.dashed
        && (a.style.width - b.style.width).abs() <= SAME_WIDTH * width
}

/// The fill, where there is anything to fill: a straight line has one in many files, by the format's default, and none
/// that anybody sees.
fn fill_seen(stroke: &Stroke) -> Option<&str> {
    (stroke.points.len() > 2)
        .then_some(stroke.style.fill.as_deref())
        .flatten()
}

/// Of each of the strokes whether it is a straight line alone in a group of its own, as many others of its pen are: some
/// programs write a group with a name round every object. To choose among single lines would be to take out those that part
/// a face without a pitch from its neighbour.
pub(super) fn each_named(drawing: &Drawing, strokes: &[usize]) -> Vec<bool> {
    let mut of_layer: BTreeMap<&str, usize> = BTreeMap::new();
    let layer = |i: usize| drawing.strokes[i].source.layer.as_deref();
    for layer in strokes.iter().filter_map(|&i| layer(i)) {
        *of_layer.entry(layer).or_default() += 1;
    }
    let is_lone = |&i: &usize| {
        let alone = layer(i).is_some_and(|layer| of_layer[layer] == 1);
        alone && drawing.strokes[i].points.len() == 2
    };
    let lone: Vec<usize> = strokes.iter().copied().filter(is_lone).collect();
    let mut pens: Vec<(&Stroke, usize)> = Vec::new();
    for stroke in lone.iter().map(|&i| &drawing.strokes[i]) {
        match pens.iter_mut().find(|(pen, _)| same_pen(pen, stroke)) {
            Some((_, count)) => *count += 1,
            None => pens.push((stroke, 1)),
        }
    }
    let are_many = |i: usize| {
        let mut pens = pens.iter();
        pens.any(|(pen, count)| *count >= LEAST_NAMED && same_pen(pen, &drawing.strokes[i]))
    };
    strokes
        .iter()
        .map(|&i| is_lone(&i) && are_many(i))
        .collect()
}

/// The same, but for those whose name somebody gave: names that end in a number are a program's.
pub(super) fn each_numbered(
    drawing: &Drawing,
    strokes: &[usize],
    each_named: &[bool],
) -> Vec<bool> {
    let is_numbered = |i: usize| {
        let layer = drawing.strokes[i].source.layer.as_deref();
        layer.is_none_or(|name| name.ends_with(|c: char| c.is_ascii_digit()))
    };
    let both = strokes.iter().zip(each_named);
    both.map(|(&i, &named)| named && is_numbered(i)).collect()
}

/// Words in the name of a layer that say that a line of the roof is drawn there.
const ROOF_LINES: [&str; 5] = ["ridge", "hip", "valley", "eave", "rake"];

/// Whether the layer of a stroke is called by a line of the roof.
pub(super) fn is_called_a_roof_line(stroke: &Stroke) -> bool {
    let layer = stroke.source.layer.as_deref().unwrap_or_default();
    let mut words = layer.split(|c: char| !c.is_alphabetic());
    words.any(|word| {
        let word = word.to_lowercase();
        let one = word.strip_suffix('s').unwrap_or(&word);
        ROOF_LINES.contains(&one)
    })
}

/// A rule for `--ignore` that takes these strokes out and none of those that stay, nor a label: `width>=3`. `None` where they
/// share their looks.
pub(super) fn rule_for(drawing: &Drawing, out: &[&Stroke], stay: &[&Stroke]) -> Option<String> {
    let first = out.first()?;
    let parts =
        |of: &dyn Fn(&Stroke) -> bool| out.iter().all(|s| of(s)) && !stay.iter().any(|s| of(s));
    if let Some(layer) = first.source.layer.as_deref() {
        let on_layer = |s: &Stroke| s.source.layer.as_deref() == Some(layer);
        let mut labels = drawing.labels.iter();
        let has_label = labels.any(|l| l.source.layer.as_deref() == Some(layer));
        if parts(&on_layer) && !has_label {
            return Some(format!("layer:{layer}"));
        }
    }
    let dashed = first.style.dashed;
    if parts(&|s: &Stroke| s.style.dashed == dashed) {
        return Some(format!("dash:{}", if dashed { "yes" } else { "no" }));
    }
    if let (Some(id), [_]) = (&first.source.id, out) {
        return Some(format!("id:{id}"));
    }
    // Black is the colour of texts that have none.
    let colour = first.style.stroke.as_ref().or(first.style.fill.as_ref());
    let colour = colour.filter(|c| *c != "#000000");
    if let Some(colour) = colour
        && parts(&|s: &Stroke| s.style.stroke.as_ref().or(s.style.fill.as_ref()) == Some(colour))
    {
        return Some(format!("colour:{colour}"));
    }
    let width = |s: &&Stroke| s.style.width;
    let thinnest = out.iter().map(width).fold(f64::INFINITY, f64::min);
    let widest = stay.iter().map(width).fold(0.0, f64::max);
    let drawn = out.iter().all(|s| s.style.stroke.is_some());
    let is_apart = drawn && thinnest > widest * (1.0 + SAME_WIDTH);
    is_apart.then(|| between(widest, thinnest)).flatten()
}

/// A rule for what is drawn as wide as `thinnest` and not as `widest`: the shortest number above the one and not above the other.
fn between(widest: f64, thinnest: f64) -> Option<String> {
    const MOST_PLACES: usize = 9;
    (0..=MOST_PLACES).find_map(|places| {
        let unit = 10_f64.powi(places as i32);
        let limit = (thinnest * unit).floor() / unit;
        (widest < limit && limit <= thinnest).then(|| format!("width>={limit:.places$}"))
    })
}

/// What a stroke looks like, in words, on its layer or without it.
pub(super) fn looks(stroke: &Stroke, on_layer: bool) -> String {
    let mut words = Vec::new();
    if let Some(layer) = stroke.source.layer.as_ref().filter(|_| on_layer) {
        words.push(format!("layer {layer}"));
    }
    match (&stroke.style.stroke, &stroke.style.fill) {
        (Some(line), _) => words.push(format!("lines {line}")),
        (None, Some(fill)) => words.push(format!("shapes filled {fill}")),
        (None, None) => {}
    }
    if stroke.style.stroke.is_some() && stroke.style.width > 0.0 {
        words.push(format!("width {:.3}", stroke.style.width));
    }
    if stroke.style.dashed {
        words.push("dashed".to_owned());
    }
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::between;

    #[test]
    fn a_width_to_part_pens_by_is_never_above_the_pen_that_it_takes_out() {
        for (widest, thinnest, rule) in [
            (1.0, 3.0, "width>=3"),
            (0.25, 0.3526, "width>=0.3"),
            (0.35, 0.3596, "width>=0.359"),
            (0.000_1, 0.000_35, "width>=0.0003"),
            (0.0, 0.5, "width>=0.5"),
        ] {
            assert_eq!(between(widest, thinnest).as_deref(), Some(rule));
        }
    }
}
