//! What to order: needed, ordered, how it was computed, and where the rule comes from.

use super::flow::{Flow, on_fewest_sheets};
use super::table::{Column, Table};
use super::{Bound, Draft, Sheet, text_height};
use crate::materials::{
    CUYD_PER_SQUARE_AND_LAYER, EAVE_NFA_SQIN_PER_FT, LB_PER_SQUARE_AND_LAYER, MOST_LB_PER_RIDGE_FT,
    MaterialLine, MaterialList, RIDGE_NFA_SQIN_PER_FT, Spread, Ventilation, rules,
};
use crate::report::canvas::{Canvas, Fonts};
use crate::report::pdf::Paper;
use crate::report::typeset::typeset;
use crate::report::{OutputUnits, Report, number};

/// Draws the list, on as many sheets as it needs.
pub(super) fn draw<'f>(
    report: &Report<'_>,
    fonts: &'f Fonts,
    paper: Paper,
    bound: Bound<'_>,
) -> Vec<Draft<'f>> {
    let Some(materials) = report.inputs().materials else {
        return Vec::new();
    };
    let size = paper.landscape();
    let blank = Canvas::new(fonts);
    on_fewest_sheets(&blank, text_height(size), |blank, style| {
        let mut flow = Flow::new(blank, size, "Materials", style, &[1.0]);
        flow.table(&table(materials, bound));
        flow.lists(&[
            ("Off the roof and on it", &loads(report, materials)),
            ("Attic vents", &vents(report, materials)),
        ]);
        flow.finish()
    })
}

/// Kilograms in an avoirdupois pound, and metres in a yard, by definition (1959).
const KG_PER_LB: f64 = 0.453_592_37;
const METRES_PER_YARD: f64 = 0.9144;

/// What comes off, and what the bundles weigh before they are laid.
fn loads(report: &Report<'_>, materials: &MaterialList) -> Vec<String> {
    let units = report.units();
    let weight_to = |lb: f64, places: u32| match units {
        OutputUnits::Feet => format!("{} lb", number::trimmed(lb, places)),
        OutputUnits::Metres => format!("{} kg", number::trimmed(lb * KG_PER_LB, places)),
    };
    let weight = |lb: f64| weight_to(lb, 0);
    let volume = |cuyd: f64| match units {
        OutputUnits::Feet => format!("{} yd³", number::decimal(cuyd, 1)),
        OutputUnits::Metres => {
            format!("{} m³", number::decimal(cuyd * METRES_PER_YARD.powi(3), 1))
        }
    };
    let mut said = Vec::new();
    if let Some(off) = materials.tear_off {
        let area = crate::units::Area::<crate::units::True>::square_feet(off.squares * 100.0);
        said.push(format!(
            "Torn off: {} {} in {}, about {} and {}, at {}: {} of 20 yd³ (15.3 m³) and 4 tons (3.6 t), whichever is full first (common practice, no source).",
            units.area(area),
            units.area_sign(),
            counted(f64::from(off.layers), "layer"),
            weight(off.weight_lb),
            volume(off.volume_cuyd),
            a_layer(units),
            counted(off.containers, "container"),
        ));
    }
    if let Some(loading) = materials.loading {
        let ridge = units.length(loading.ridge_ft);
        let a_foot = |lb: f64| match units {
            OutputUnits::Feet => format!("{} a foot", weight(lb)),
            OutputUnits::Metres => {
                format!("{} a metre", weight(lb / crate::units::METRES_PER_FOOT))
            }
        };
        let loaded = loading.lb_per_ridge_ft().map(a_foot);
        let loaded = loaded.unwrap_or_default();
        let load = match units {
            OutputUnits::Feet => "20 lb/ft², for which roofs are commonly framed, over 4 ft",
            OutputUnits::Metres => "98 kg/m², for which roofs are commonly framed, over 1.2 m",
        };
        let most = format!(
            "{} (own choice: {load} on either side)",
            a_foot(MOST_LB_PER_RIDGE_FT)
        );
        let along = match loading.spread() {
            Spread::NoRidge => "there is no ridge to spread them along".to_owned(),
            Spread::AlongRidge if loaded.is_empty() => format!("spread along {ridge} of ridge"),
            Spread::AlongRidge => {
                format!("spread along {ridge} of ridge, {loaded}, of at most {most}")
            }
            Spread::InLifts => format!(
                "{ridge} of ridge is too short for them: {loaded}, over {most}; bring them up in lifts and spread them over the faces"
            ),
        };
        let weighing = match loading.weight_lb.zip(loading.lb_per_bundle()) {
            None => "weight not stated: read it off the wrapper before they go up".to_owned(),
            Some((all, each)) => format!(
                "{} at {} a bundle (the format’s own figure)",
                weight(all),
                // So that it comes to that with as many bundles.
                weight_to(each, 2)
            ),
        };
        said.push(format!(
            "Shingles on the roof before they are laid: {}, {weighing}; {along}.",
            counted(loading.bundles, "bundle"),
        ));
    }
    said
}

/// What a layer is reckoned at: `275 lb and 0.6 yd³ a square and layer (…)`.
fn a_layer(units: OutputUnits) -> String {
    const SQM_PER_SQUARE: f64 = 9.290_304;
    let at = match units {
        OutputUnits::Feet => format!(
            "{} lb and {} yd³ a square",
            number::trimmed(LB_PER_SQUARE_AND_LAYER, 1),
            number::trimmed(CUYD_PER_SQUARE_AND_LAYER, 2)
        ),
        OutputUnits::Metres => format!(
            "{} kg and {} m³ a square metre",
            number::decimal(LB_PER_SQUARE_AND_LAYER * KG_PER_LB / SQM_PER_SQUARE, 1),
            number::decimal(
                CUYD_PER_SQUARE_AND_LAYER * METRES_PER_YARD.powi(3) / SQM_PER_SQUARE,
                3
            )
        ),
    };
    format!(
        "{at} and layer (weight: common practice, no source; volume: worked out of a trade journal’s tonnage)"
    )
}

/// What the attic asks for against what ridges and eaves can hold, a roof each.
fn vents(report: &Report<'_>, materials: &MaterialList) -> Vec<String> {
    let units = report.units();
    let free = |sqin: f64| match units {
        OutputUnits::Feet => format!("{} in²", number::decimal(sqin, 0)),
        OutputUnits::Metres => format!("{} cm²", number::decimal(sqin * 2.54 * 2.54, 0)),
    };
    let a_foot = |sqin: f64| match units {
        OutputUnits::Feet => format!("{} in² a foot", number::trimmed(sqin, 1)),
        OutputUnits::Metres => format!("{} a metre", free(sqin / crate::units::METRES_PER_FOOT)),
    };
    let sentence = |sum: &Ventilation| {
        let floor = crate::units::Area::<crate::units::Plan>::square_feet(sum.floor_sqft);
        let floor = format!("{} {}", units.area(floor), units.area_sign());
        let of = if sum.floor_given {
            format!("the attic floor of {floor}")
        } else {
            format!("the plan area of {floor}, since nobody gave the attic floor: an upper bound")
        };
        format!(
            "Net free area: 1/{} of {of}: {} (IRC R806.2). Ridges less their ends can hold {} at {}, vented eaves {} at {} (common practice, no source: the vents’ own figures win).",
            number::trimmed(sum.parts, 0),
            free(sum.required_sqin),
            free(sum.ridges_hold_sqin),
            a_foot(RIDGE_NFA_SQIN_PER_FT),
            free(sum.eaves_hold_sqin),
            a_foot(EAVE_NFA_SQIN_PER_FT),
        )
    };
    materials.ventilation.iter().map(sentence).collect()
}

/// `1 bundle`, `67 bundles`.
fn counted(count: f64, one: &str) -> String {
    let s = if (count - 1.0).abs() < 1e-9 { "" } else { "s" };
    format!("{} {one}{s}", number::trimmed(count, 2))
}

/// `R905.2.8.5`, `R905.2.5, R905.2.6`, `practice`: where the rules of a line stand, each once. What they say, and where
/// the package sizes come from, stands on the method sheets.
fn rules_of(line: &MaterialLine) -> String {
    let mut cited: Vec<&str> = Vec::new();
    for rule in line.rules.iter().filter_map(|name| rules::find(name)) {
        if !cited.contains(&rule.short()) {
            cited.push(rule.short());
        }
    }
    cited.join(", ")
}

fn table(materials: &MaterialList, bound: Bound<'_>) -> Table {
    let mut table = Table::new(
        "Materials",
        vec![
            Column::words("Item").grows(1.1),
            Column::figures("Needed"),
            Column::figures("Used"),
            Column::words(""),
            Column::figures("Order").bold(),
            Column::words("Sold as"),
            Column::figures("Left"),
            Column::words("How computed").grows(2.0),
            Column::words("Rule").grows(0.55),
        ],
    );
    let told = if bound.holds(Sheet::Method) {
        ", see the method"
    } else {
        ""
    };
    table.subject = format!(
        "whole roof; needed lies on the roof, used has laps and cuts too, order is rounded once; rules: IRC {} and trade practice{told}",
        materials.edition.year()
    );
    for line in &materials.lines {
        table.rows.push(vec![
            typeset(&line.item).into(),
            number::needed(line.needed, &line.needed_unit, 1).into(),
            number::needed(line.consumed, &line.needed_unit, 1).into(),
            line.needed_unit.as_str().into(),
            number::trimmed(line.quantity, 2).into(),
            line.unit.as_str().into(),
            number::left_over(line.left_over, &line.needed_unit).into(),
            typeset(&line.basis).into(),
            typeset(&rules_of(line)).into(),
        ]);
    }
    table
}
