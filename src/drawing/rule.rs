//! Rules that pick shapes by what a drafter tells them apart by: `layer:roof*`, `colour:red`, `width>=0.5mm`, `id:hip*`.

use std::str::FromStr;

use super::layer;

/// One rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    text: String,
    test: Test,
}

#[derive(Clone, Debug, PartialEq)]
enum Test {
    Layer(String),
    Id(String),
    Colour(Colour),
    Width(Comparison, f64, WidthUnit),
    Dashed(bool),
}

#[derive(Clone, Debug, PartialEq)]
enum Colour {
    Exact(u8, u8, u8),
    Family(Family),
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Family {
    Black,
    White,
    Grey,
    Red,
    Orange,
    Yellow,
    Green,
    Cyan,
    Blue,
    Purple,
    Magenta,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Comparison {
    Less,
    AtMost,
    Equal,
    AtLeast,
    More,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum WidthUnit {
    Drawing,
    Millimetre,
    Point,
    Inch,
}

/// What a rule is held against.
pub(super) struct Subject<'a> {
    pub(super) names: &'a [String],
    pub(super) id: Option<&'a str>,
    pub(super) stroke: Option<&'a str>,
    pub(super) fill: Option<&'a str>,
    pub(super) width: f64,
    pub(super) dashed: bool,
    pub(super) paper_inches_per_unit: Option<f64>,
}

impl Rule {
    /// Reads a rule.
    ///
    /// # Errors
    /// A sentence that says what is wrong with it.
    ///
    /// ```
    /// use eavewright::drawing::Rule;
    /// assert!(Rule::parse("layer:roof*").is_ok());
    /// assert!(Rule::parse("width>=0.5mm").is_ok());
    /// assert!(Rule::parse("shape:round").is_err());
    /// ```
    pub fn parse(text: &str) -> Result<Self, String> {
        let plain = text.trim();
        let test = if let Some(rest) = plain.strip_prefix("width") {
            width_test(rest.trim()).ok_or_else(|| {
                format!(
                    "“{plain}” is no width rule: write `width>=0.5mm`, `width<1` or `width=0.35mm`"
                )
            })?
        } else {
            keyed_test(plain)?
        };
        Ok(Self {
            text: plain.to_string(),
            test,
        })
    }

    /// As written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Whether it asks for a width on paper.
    pub(super) fn needs_paper(&self) -> bool {
        matches!(&self.test, Test::Width(_, _, unit) if *unit != WidthUnit::Drawing)
    }

    pub(super) fn matches(&self, subject: &Subject<'_>) -> bool {
        match &self.test {
            Test::Layer(pattern) => subject.names.iter().any(|n| layer::matches(pattern, n)),
            Test::Id(pattern) => subject.id.is_some_and(|id| layer::matches(pattern, id)),
            Test::Colour(colour) => {
                let shown = subject.stroke.or(subject.fill);
                shown.and_then(rgb).is_some_and(|c| colour.matches(c))
            }
            Test::Width(comparison, limit, unit) => {
                subject.stroke.is_some()
                    && unit
                        .drawing_units(*limit, subject.paper_inches_per_unit)
                        .is_some_and(|limit| comparison.holds(subject.width, limit))
            }
            Test::Dashed(dashed) => subject.dashed == *dashed,
        }
    }
}

impl FromStr for Rule {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        Self::parse(text)
    }
}

fn keyed_test(plain: &str) -> Result<Test, String> {
    match plain {
        "dashed" => return Ok(Test::Dashed(true)),
        "solid" => return Ok(Test::Dashed(false)),
        _ => {}
    }
    let unknown = || {
        format!(
            "“{plain}” is no rule: write `layer:NAME`, `id:NAME` (with * for anything), `colour:red` or `colour:#c00000`, \
             `width>=0.5mm`, `dash:yes` or `dash:no`"
        )
    };
    let (key, value) = plain.split_once(':').ok_or_else(unknown)?;
    let value = value.trim();
    if value.is_empty() {
        return Err(unknown());
    }
    match key.trim().to_lowercase().as_str() {
        "layer" | "group" => Ok(Test::Layer(value.to_string())),
        "id" => Ok(Test::Id(value.to_string())),
        "colour" | "color" => Colour::parse(value)
            .map(Test::Colour)
            .ok_or_else(|| format!("“{value}” is no colour: write a name such as red, or #rrggbb")),
        "dash" | "dashed" => match value {
            "yes" | "true" | "dashed" => Ok(Test::Dashed(true)),
            "no" | "false" | "solid" => Ok(Test::Dashed(false)),
            _ => Err(unknown()),
        },
        _ => Err(unknown()),
    }
}

fn width_test(rest: &str) -> Option<Test> {
    const SIGNS: [(&str, Comparison); 6] = [
        (">=", Comparison::AtLeast),
        ("<=", Comparison::AtMost),
        (">", Comparison::More),
        ("<", Comparison::Less),
        ("=", Comparison::Equal),
        (":", Comparison::Equal),
    ];
    let (comparison, rest) = SIGNS
        .iter()
        .find_map(|(sign, c)| Some((*c, rest.strip_prefix(sign)?.trim())))?;
    let end = rest.find(|c: char| c.is_alphabetic()).unwrap_or(rest.len());
    let limit: f64 = rest[..end].trim().parse().ok()?;
    let unit = match rest[end..].trim() {
        "" | "px" => WidthUnit::Drawing,
        "mm" => WidthUnit::Millimetre,
        "pt" => WidthUnit::Point,
        "in" => WidthUnit::Inch,
        _ => return None,
    };
    (limit.is_finite() && limit >= 0.0).then_some(Test::Width(comparison, limit, unit))
}

impl WidthUnit {
    fn drawing_units(self, width: f64, paper_inches_per_unit: Option<f64>) -> Option<f64> {
        let inches = match self {
            Self::Drawing => return Some(width),
            Self::Millimetre => width / 25.4,
            Self::Point => width / 72.0,
            Self::Inch => width,
        };
        paper_inches_per_unit.map(|per_unit| inches / per_unit)
    }
}

impl Comparison {
    /// Widths pass through several roundings in a file; one part in two hundred is the same width.
    fn holds(self, width: f64, limit: f64) -> bool {
        let slack = limit.abs() * 0.005;
        match self {
            Self::Less => width < limit - slack,
            Self::AtMost => width <= limit + slack,
            Self::Equal => (width - limit).abs() <= slack,
            Self::AtLeast => width >= limit - slack,
            Self::More => width > limit + slack,
        }
    }
}

impl Colour {
    fn parse(value: &str) -> Option<Self> {
        if let Some(family) = Family::named(&value.to_lowercase()) {
            return Some(Self::Family(family));
        }
        let colour: svgtypes::Color = value.parse().ok()?;
        Some(Self::Exact(colour.red, colour.green, colour.blue))
    }
    fn matches(&self, (r, g, b): (u8, u8, u8)) -> bool {
        match self {
            Self::Exact(er, eg, eb) => {
                let near = |a: u8, b: u8| a.abs_diff(b) <= 2;
                near(r, *er) && near(g, *eg) && near(b, *eb)
            }
            Self::Family(family) => Family::of(r, g, b) == *family,
        }
    }
}

impl Family {
    fn named(name: &str) -> Option<Self> {
        Some(match name {
            "black" => Self::Black,
            "white" => Self::White,
            "grey" | "gray" => Self::Grey,
            "red" => Self::Red,
            "orange" | "brown" => Self::Orange,
            "yellow" => Self::Yellow,
            "green" => Self::Green,
            "cyan" | "turquoise" => Self::Cyan,
            "blue" => Self::Blue,
            "purple" | "violet" => Self::Purple,
            "magenta" | "pink" => Self::Magenta,
            _ => return None,
        })
    }
    /// The name that a person would give a colour, by its lightness, strength and hue.
    fn of(r: u8, g: u8, b: u8) -> Self {
        let (high, low) = (r.max(g).max(b), r.min(g).min(b));
        let strength = high - low;
        if high < 50 {
            return Self::Black;
        }
        if strength < 36 {
            return if low > 225 { Self::White } else { Self::Grey };
        }
        let (rf, gf, bf) = (f64::from(r), f64::from(g), f64::from(b));
        let span = f64::from(strength);
        let sixth = if high == r {
            ((gf - bf) / span).rem_euclid(6.0)
        } else if high == g {
            (bf - rf) / span + 2.0
        } else {
            (rf - gf) / span + 4.0
        };
        match sixth * 60.0 {
            h if h < 18.0 => Self::Red,
            h if h < 45.0 => Self::Orange,
            h if h < 70.0 => Self::Yellow,
            h if h < 165.0 => Self::Green,
            h if h < 200.0 => Self::Cyan,
            h if h < 255.0 => Self::Blue,
            h if h < 290.0 => Self::Purple,
            h if h < 340.0 => Self::Magenta,
            _ => Self::Red,
        }
    }
}

fn rgb(hex: &str) -> Option<(u8, u8, u8)> {
    let digits = hex.strip_prefix('#')?;
    let part = |at: usize| u8::from_str_radix(digits.get(at..at + 2)?, 16).ok();
    Some((part(0)?, part(2)?, part(4)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn subject<'a>(names: &'a [String], stroke: &'a str, width: f64) -> Subject<'a> {
        Subject {
            names,
            id: Some("hip-3"),
            stroke: Some(stroke),
            fill: None,
            width,
            dashed: false,
            paper_inches_per_unit: Some(1.0 / 25.4),
        }
    }

    #[test]
    fn rules_pick_by_layer_id_colour_width_and_dash() {
        let names = ["Roof Lines".to_string()];
        let s = subject(&names, "#c00010", 0.5);
        let holds = |rule: &str| Rule::parse(rule).unwrap().matches(&s);
        assert!(holds("layer:roof*"));
        assert!(!holds("layer:notes"));
        assert!(holds("id:hip*"));
        assert!(holds("colour:red"));
        assert!(!holds("colour:blue"));
        assert!(holds("color:#c00010"));
        assert!(holds("width>=0.5mm"));
        assert!(!holds("width>0.5mm"));
        assert!(holds("dash:no"));
    }

    #[test]
    fn a_rule_that_cannot_be_read_says_how_to_write_one() {
        for text in [
            "roof",
            "colour:",
            "width>=thick",
            "shape:round",
            "colour:blurple",
        ] {
            assert!(Rule::parse(text).is_err(), "{text}");
        }
    }
}
