//! The root element's size: what a drawing unit is on paper, if anything.

/// What the root element says about size.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Frame {
    /// `min-x min-y width height` of the root's viewBox.
    pub(super) view_box: Option<[f64; 4]>,
    /// Paper inches per drawing unit, where the size is a physical one.
    pub(super) paper: Option<Paper>,
    /// Why there is no paper size, in words.
    pub(super) no_paper: &'static str,
}

/// A physical size.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Paper {
    /// Inches per drawing unit.
    pub(super) inches_per_unit: f64,
    /// How far the written size may be rounded, as a part of it.
    pub(super) rounding: f64,
    /// Width and height, in inches.
    pub(super) sides_in: [f64; 2],
    /// As written: `279.4mm × 215.9mm`.
    pub(super) text: String,
}

struct Size {
    inches: f64,
    rounding: f64,
}

const PIXELS: &str =
    "its size is in pixels, and programs have meant 72, 90 and 96 of them to the inch";

/// Reads width, height, viewBox and preserveAspectRatio of the root.
pub(super) fn read(
    width: Option<&str>,
    height: Option<&str>,
    view_box: Option<&str>,
    aspect: Option<&str>,
) -> Frame {
    let view_box = view_box.and_then(read_view_box);
    let (paper, no_paper) = match paper(width, height, view_box, aspect) {
        Ok(paper) => (Some(paper), ""),
        Err(why) => (None, why),
    };
    Frame {
        view_box,
        paper,
        no_paper,
    }
}

fn read_view_box(text: &str) -> Option<[f64; 4]> {
    let numbers: Vec<f64> = text
        .split([' ', ',', '\t', '\n', '\r'])
        .filter(|p| !p.is_empty())
        .map(str::parse)
        .collect::<Result<_, _>>()
        .ok()?;
    let four: [f64; 4] = numbers.try_into().ok()?;
    (four.iter().all(|n| n.is_finite()) && four[2] > 0.0 && four[3] > 0.0).then_some(four)
}

fn paper(
    width: Option<&str>,
    height: Option<&str>,
    view_box: Option<[f64; 4]>,
    aspect: Option<&str>,
) -> Result<Paper, &'static str> {
    let (Some(width), Some(height)) = (width, height) else {
        return Err("it has no width and height");
    };
    let (w, h) = (size(width)?, size(height)?);
    let Some([_, _, units_wide, units_high]) = view_box else {
        return Err("it has no viewBox, so that its units are pixels of unknown size");
    };
    let (x, y) = (w.inches / units_wide, h.inches / units_high);
    let stretched = aspect.is_some_and(|a| a.trim_start().starts_with("none"));
    let rounding = w.rounding.max(h.rounding);
    // Both ways the same to what the writing can tell; 0.5 % for sizes rounded to whole points or millimetres.
    if (x / y - 1.0).abs() > (2.0 * rounding).max(0.005) {
        return Err(if stretched {
            "its page is stretched differently in width and height"
        } else {
            "its page size and its viewBox have different proportions"
        });
    }
    let inches_per_unit = if stretched { (x * y).sqrt() } else { x.min(y) };
    Ok(Paper {
        inches_per_unit,
        rounding,
        sides_in: [w.inches, h.inches],
        text: format!("{} × {}", width.trim(), height.trim()),
    })
}

fn size(text: &str) -> Result<Size, &'static str> {
    let text = text.trim();
    let end = text
        .find(|c: char| c.is_ascii_alphabetic() || c == '%')
        .unwrap_or(text.len());
    let number: f64 = text[..end]
        .trim()
        .parse()
        .map_err(|_| "its size cannot be read")?;
    if !(number.is_finite() && number > 0.0) {
        return Err("its size is nothing");
    }
    let per_inch = match text[end..].trim().to_ascii_lowercase().as_str() {
        "in" => 1.0,
        "mm" => 25.4,
        "cm" => 2.54,
        "pt" => 72.0,
        "pc" => 6.0,
        "q" => 101.6,
        "" | "px" => return Err(PIXELS),
        "%" => return Err("its size is in percent of the window"),
        _ => return Err("its size is in a unit that is no length of paper"),
    };
    // Programs that write centimetres or points without decimals have rounded them up; 11in and 210mm are sheet sizes.
    let whole = !text[..end].contains(['.', 'e', 'E']);
    let rounded = whole && matches!(per_inch, 2.54 | 72.0);
    Ok(Size {
        inches: number / per_inch,
        rounding: if rounded {
            1.0 / number
        } else {
            0.0005 / number.max(0.5)
        },
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::*;

    #[test]
    fn a_size_in_millimetres_is_paper() {
        let frame = read(Some("279.4mm"), Some("215.9mm"), Some("0 0 1056 816"), None);
        let paper = frame.paper.unwrap();
        assert!((paper.inches_per_unit - 1.0 / 96.0).abs() < 1e-12);
    }

    #[test]
    fn pixels_percent_and_missing_sizes_are_no_paper() {
        let box_ = Some("0 0 792 612");
        for (w, h) in [("792", "612"), ("792px", "612px"), ("100%", "100%")] {
            assert!(read(Some(w), Some(h), box_, None).paper.is_none(), "{w}");
        }
        assert!(read(None, None, box_, None).paper.is_none());
        assert!(
            read(Some("11in"), Some("8.5in"), None, None)
                .paper
                .is_none()
        );
        assert!(read(Some("11in"), Some("3in"), box_, None).paper.is_none());
    }

    #[test]
    fn whole_centimetres_may_be_rounded_up_by_one() {
        let frame = read(Some("26cm"), Some("20cm"), Some("0 0 509 392"), None);
        assert!(frame.paper.unwrap().rounding > 0.03);
    }
}
