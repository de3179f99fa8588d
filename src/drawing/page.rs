//! The page behind the drawing, and what cannot be seen against it.

use super::extent::Extent;
use super::shape::Shape;

/// Finds a filled shape without a line that covers the whole page and is drawn before all lines.
pub(super) fn background(shapes: &[Shape], view_box: Option<[f64; 4]>) -> Option<usize> {
    let first_line = shapes.iter().position(|s| !s.filled_only())?;
    let page = match view_box {
        Some([x, y, w, h]) => Extent::of_points([
            crate::geometry::Point::new(x, y),
            crate::geometry::Point::new(x + w, y + h),
        ])?,
        None => shapes
            .iter()
            .filter_map(Extent::of_shape)
            .reduce(Extent::union)?,
    };
    (0..first_line).find(|&i| {
        let shape = &shapes[i];
        let box_like = shape.outlines.len() == 1 && shape.outlines[0].pieces.len() <= 5;
        box_like
            && shape.style.fill.is_some()
            && Extent::of_shape(shape).is_some_and(|e| e.covers(&page, 0.01 * page.size()))
    })
}

/// Whether a shape has the page's colour and so is not seen: masks behind text, white boxes. Where most lines have that
/// colour the page is meant to be another one, and nothing is unseen.
pub(super) struct PageColour {
    colour: String,
    lines_have_it: bool,
}

impl PageColour {
    pub(super) fn of(shapes: &[Shape], background: Option<usize>) -> Self {
        let colour = background
            .and_then(|i| shapes[i].style.fill.clone())
            .unwrap_or_else(|| "#ffffff".to_string());
        let lines: Vec<&Shape> = shapes.iter().filter(|s| !s.filled_only()).collect();
        let same = lines
            .iter()
            .filter(|s| s.style.stroke.as_deref() == Some(colour.as_str()))
            .count();
        Self {
            lines_have_it: same * 2 > lines.len(),
            colour,
        }
    }
    pub(super) fn hides(&self, shape: &Shape) -> bool {
        let is_page = |c: &Option<String>| c.as_deref() == Some(self.colour.as_str());
        if shape.filled_only() {
            return is_page(&shape.style.fill);
        }
        !self.lines_have_it
            && is_page(&shape.style.stroke)
            && (shape.style.fill.is_none() || is_page(&shape.style.fill))
    }
}
