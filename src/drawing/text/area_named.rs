//! Which faces the words beside an area name, and on which surface they say that it was measured.

use super::area_words::of_roofs;

/// Words that name a part of a building, which may have a roof of several faces.
const BUILDING_PARTS: [&str; 7] = [
    "garage", "porch", "dormer", "upper", "lower", "addition", "shed",
];
/// The part of a building that is not one of those: `MAIN 700 SF` is a floor's as `UPPER 700 SF` is.
const MAIN: &str = "main";
/// Words that name faces by where they lie.
const SIDES: [&str; 6] = ["flat", "north", "east", "south", "west", "side"];
/// Words for what lies on the sloping part of a roof.
const SHINGLED: [&str; 4] = ["shingle", "shingles", "shingled", "asphalt"];
/// Words that only a roof's area has beside it, though they are no word for roofs.
const OF_SLOPES: [&str; 4] = ["sloped", "slope", "overhang", "overhangs"];

/// What follows these is counted in, and no part by itself: `ROOF AREA 1,500 SF INCL. PORCH`.
const COUNTED_IN: [&str; 3] = ["incl", "including", "with"];
/// Words that put several parts together: `MAIN & GARAGE ROOF`.
const TOGETHER: [&str; 2] = ["and", "&"];

/// The share of a roof that words give it which name no part by itself: where the roof has nothing else, it is the whole roof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Share {
    /// `MAIN ROOF`: what is left without porches, garages and the like.
    Main,
    /// `SLOPED ROOF`: without flat parts, or the whole roof measured on the slope.
    Sloped,
    /// `SHINGLED ROOF`: without what takes no shingles.
    Shingled,
    /// `MAIN AND GARAGE ROOF`: several parts together, of which it is not known whether they are all.
    Several,
}

/// What the words beside an area name.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Named {
    /// A part of the roof.
    pub(super) part: Option<&'static str>,
    /// Whether that part is one of a building.
    pub(super) of_building_part: bool,
    pub(super) share: Option<Share>,
    /// Whether the words speak of a roof.
    pub(super) of_roof: bool,
}

impl Named {
    /// By the words before and after an area.
    pub(super) fn by(sides: [&[&str]; 2]) -> Self {
        let says = |names: &[&str]| sides.iter().any(|s| s.iter().any(|w| names.contains(w)));
        let about_roofs = sides.iter().any(|side| side.iter().any(of_roofs));
        let of_roof = about_roofs || says(&OF_SLOPES);
        let named = |names: &[&'static str]| sides.iter().find_map(|side| named_in(side, names));
        let building_part = named(&BUILDING_PARTS);
        let main = named(&[MAIN]);
        let part = building_part.or_else(|| named(&SIDES));
        let any = part.or(main).is_some();
        if any && says(&TOGETHER) {
            return Self {
                share: Some(Share::Several),
                of_roof,
                ..Self::default()
            };
        }
        if part.is_some() {
            return Self {
                part,
                of_building_part: building_part.is_some(),
                share: None,
                of_roof,
            };
        }
        if main.is_some() && !of_roof && !says(&["total"]) {
            return Self {
                part: main,
                of_building_part: true,
                share: None,
                of_roof,
            };
        }
        let share = if main.is_some() {
            Some(Share::Main)
        } else if named(&SHINGLED).is_some() {
            Some(Share::Shingled)
        } else {
            named(&["sloped"]).map(|_| Share::Sloped)
        };
        Self {
            share,
            of_roof,
            ..Self::default()
        }
    }
}

/// Whether words name a part of a building and its roof: `GARAGE ROOF`, `MAIN ROOF`.
pub(super) fn name_a_roof(words: &[&str]) -> bool {
    let is_part = |word: &&str| BUILDING_PARTS.contains(word) || *word == MAIN;
    words.contains(&"roof") && words.iter().any(is_part)
}

/// The first of some names that stands among words, but not as what is counted in.
fn named_in(words: &[&str], names: &[&'static str]) -> Option<&'static str> {
    let mut by_itself = words.iter().take_while(|w| !COUNTED_IN.contains(w));
    by_itself.find_map(|word| names.iter().find(|name| *name == word).copied())
}

/// What the word `plan` says.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum SaysPlan {
    /// On which surface an area was measured: `PLAN AREA`, `ROOF PLAN AREA`.
    Surface,
    /// What the drawing is: `ROOF PLAN - 1,073 SF`.
    Title,
}

pub(super) fn plan_in(words: &[&str]) -> Option<SaysPlan> {
    if words
        .iter()
        .any(|w| matches!(*w, "projected" | "horizontal"))
    {
        return Some(SaysPlan::Surface);
    }
    let at = words.iter().position(|w| *w == "plan")?;
    let behind_roof = at > 0 && words[at - 1] == "roof";
    let is_title = behind_roof && words.get(at + 1) != Some(&"area");
    Some(match is_title {
        true => SaysPlan::Title,
        false => SaysPlan::Surface,
    })
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the run")]
mod tests {
    use super::super::area::parse_area;
    use super::*;

    #[test]
    fn words_that_may_leave_some_of_the_roof_out_are_known() {
        for (text, share) in [
            ("MAIN ROOF 1,565 SF", Some(Share::Main)),
            ("MAIN ROOF AREA = 1,565 SF", Some(Share::Main)),
            ("SLOPED ROOF AREA: 1,565 SF", Some(Share::Sloped)),
            ("TOTAL 1,073 SF (SLOPED)", Some(Share::Sloped)),
            ("ASPHALT SHINGLE ROOF - 1,565 SF", Some(Share::Shingled)),
            (
                "TOTAL AREA OF ROOF SHINGLES 1,565 SF",
                Some(Share::Shingled),
            ),
            ("MAIN & GARAGE ROOF 2,122 SF", Some(Share::Several)),
            ("ROOF AREA 2,122 SF", None),
            ("ROOF AREA ON SLOPE 2,122 SF", None),
            ("ROOF AREA INCL. SHINGLED PORCH 2,122 SF", None),
        ] {
            let area = parse_area(text).unwrap();
            assert_eq!((area.share, area.part), (share, None), "{text}");
            assert!(area.whole_roof, "{text}");
        }
    }

    #[test]
    fn a_part_without_a_word_for_roofs_is_a_room_or_a_floor() {
        for (text, part, of_roof) in [
            ("GARAGE 528 SF", "garage", false),
            ("MAIN 1,250 SF", "main", false),
            ("UPPER 700 SF", "upper", false),
            ("GARAGE AREA 528 SF", "garage", false),
            ("GARAGE ROOF 557 SF", "garage", true),
            ("PORCH 130 SF (SLOPED)", "porch", true),
            ("PORCH OVERHANG 40 SF", "porch", true),
        ] {
            let area = parse_area(text).unwrap();
            assert_eq!(area.part, Some(part), "{text}");
            assert!(area.of_building_part && area.share.is_none(), "{text}");
            assert_eq!(area.of_roof, of_roof, "{text}");
        }
    }
}
