//! Prices, cost sheet and bid: exact to the cent, and every total the sum of its lines.

use eavewright::job::Job;
use eavewright::materials::{
    Alternate, CostInputs, CostSheet, MaterialList, Offer, PriceList, Work,
};
use eavewright::roof::Roof;

use crate::materials_support::{courses, gable, gable_with_wing};

fn list_of(roof: &Roof, job: &Job) -> MaterialList {
    MaterialList::compute(roof, &courses(roof), &job.material_settings(false).unwrap())
}

fn offer_with(roof: &Roof, job: &str, prices: Option<PriceList>) -> Offer {
    let job = Job::parse(job).unwrap_or_else(|f| panic!("{f:#?}"));
    let prices = prices.unwrap_or_else(|| job.price_list(None).unwrap());
    let list = list_of(roof, &job);
    let inputs = CostInputs {
        roofs: &[roof],
        list: &list,
        prices: &prices,
        labour: &job.labour,
        bidding: &job.bid,
        storeys: job.site.storeys.unwrap_or(1),
        date: job.project.date.as_deref(),
    };
    Offer::make(&inputs, job.prices.currency.as_deref(), false).unwrap_or_else(|f| panic!("{f:#?}"))
}

fn demo(roof: &Roof, job: &str) -> Offer {
    offer_with(roof, job, Some(PriceList::demo().unwrap()))
}

const BUSY: &str = "[site]\nexisting_layers = 2\nstoreys = 2\n[labour]\nrate = 58.37\nhours_per_square = 1.6\n\
tear_off_hours_per_square = 1.0\nfurther_layer_factor = 0.7\nsecond_storey = 1.1\n\
[bid]\noverhead_percent = 12.5\nmarkup_percent = 15\ntax_on_materials_percent = 6.25\ntax_on_price_percent = 2.9\n\
allowances = [{ name = \"Rotten boards\", amount = 400 }]\n";

fn add_up(cost: &CostSheet) {
    let lines: rust_decimal::Decimal = cost.lines().filter_map(|l| l.amount).sum();
    assert_eq!(cost.cost, lines + cost.tax_on_materials);
    assert_eq!(cost.price, cost.cost + cost.overhead + cost.profit);
    assert_eq!(cost.total, cost.price + cost.tax_on_price);
    for amount in cost.lines().filter_map(|l| l.amount) {
        assert_eq!(amount, amount.round_dp(2));
    }
}

#[test]
fn hauling_is_a_service_and_bears_no_tax_on_materials() {
    let cost = demo(&gable(40.0, 24.0, 6.0), BUSY).cost;
    let (hauled, bought): (Vec<_>, Vec<_>) = cost
        .materials
        .iter()
        .partition(|line| line.work == Work::TearOff);
    assert_eq!(hauled.len(), 1, "{hauled:?}");
    let bought: rust_decimal::Decimal = bought.iter().filter_map(|line| line.amount).sum();
    let tax = bought * rust_decimal::Decimal::new(625, 4);
    assert!((cost.tax_on_materials - tax).abs() <= rust_decimal::Decimal::new(5, 3));
}

#[test]
fn totals_are_the_sums_of_the_printed_lines() {
    for roof in [
        gable(40.0, 24.0, 6.0),
        gable_with_wing(),
        gable(33.0, 17.0, 9.5),
    ] {
        for rounding in ["half-up", "half-even"] {
            let offer = demo(&roof, &format!("{BUSY}rounding = \"{rounding}\"\n"));
            add_up(&offer.cost);
            let parts: rust_decimal::Decimal = offer.bid.lines.iter().map(|l| l.amount).sum();
            assert_eq!(parts, offer.bid.price);
            assert_eq!(offer.bid.total, offer.cost.total);
            assert!(offer.cost.unpriced.is_empty(), "{:?}", offer.cost.unpriced);
        }
    }
}

/// A job that prices one thing only: one bundle of starter (80 ft of 105).
fn starter_at(price: &str, bid: &str) -> CostSheet {
    let job = format!("[prices.items]\nstarter = {{ price = {price} }}\n[bid]\n{bid}");
    offer_with(&gable(40.0, 24.0, 6.0), &job, None).cost
}

#[test]
fn halves_of_a_cent_are_rounded_as_the_job_says() {
    let cost = |price, way| {
        starter_at(price, &format!("rounding = \"{way}\"\n"))
            .cost
            .to_string()
    };
    assert_eq!(
        (cost("0.125", "half-up"), cost("0.125", "half-even")),
        ("0.13".into(), "0.12".into())
    );
    assert_eq!(
        (cost("0.135", "half-up"), cost("0.135", "half-even")),
        ("0.14".into(), "0.14".into())
    );
}

#[test]
fn a_margin_is_a_part_of_the_price_and_a_markup_a_part_of_the_cost() {
    let margin = starter_at("100", "margin_percent = 25\n");
    assert_eq!(
        (margin.price.to_string(), margin.profit.to_string()),
        ("133.33".into(), "33.33".into())
    );
    let markup = starter_at("100", "markup_percent = 25\n");
    assert_eq!(markup.price.normalize().to_string(), "125");
    assert_eq!(
        markup.margin_percent().unwrap().normalize().to_string(),
        "20"
    );
    let job = Job::parse("[bid]\nmargin_percent = 20\nmarkup_percent = 25\n").unwrap();
    let roof = gable(40.0, 24.0, 6.0);
    let (list, prices) = (list_of(&roof, &job), PriceList::default());
    let inputs = CostInputs {
        roofs: &[&roof],
        list: &list,
        prices: &prices,
        labour: &job.labour,
        bidding: &job.bid,
        storeys: 1,
        date: None,
    };
    let refused = Offer::make(&inputs, None, false).unwrap_err();
    assert_eq!(refused[0].code, "margin-and-markup");
}

#[test]
fn what_has_no_price_is_listed_and_told_and_never_nothing() {
    let offer = offer_with(
        &gable(40.0, 24.0, 6.0),
        "[prices.items]\nstarter = { price = 49.5 }\n",
        None,
    );
    let shingles = offer
        .cost
        .materials
        .iter()
        .find(|l| l.key == "shingles:36x12")
        .unwrap();
    assert_eq!((shingles.amount, shingles.unit_price), (None, None));
    // All but the starter; and laying, whose hours nobody gave.
    assert_eq!(offer.cost.unpriced.len(), offer.cost.materials.len());
    assert_eq!(offer.cost.unpriced.last().unwrap(), "Lay the roof");
    assert_eq!(offer.bid.unpriced, offer.cost.unpriced);
    assert!(
        offer
            .findings
            .iter()
            .any(|f| f.code == "unpriced" && f.message.contains("without"))
    );
}

#[test]
fn a_price_for_another_unit_is_not_used() {
    let job = "[prices.items]\nshingles = { price = 116, unit = \"square\" }\n";
    let offer = offer_with(&gable(40.0, 24.0, 6.0), job, None);
    assert!(
        offer
            .findings
            .iter()
            .any(|f| f.code == "price-unit" && f.message.contains("square"))
    );
    assert!(offer.cost.materials.iter().all(|l| l.amount.is_none()));
}

#[test]
fn a_price_that_has_run_out_is_told() {
    let told = |date| {
        let job = format!(
            "[project]\ndate = \"{date}\"\n[prices.items]\nstarter = {{ price = 50, valid_until = \"2026-11-30\" }}\n"
        );
        offer_with(&gable(40.0, 24.0, 6.0), &job, None)
            .findings
            .iter()
            .any(|f| f.code == "price-expired")
    };
    assert!(told("2026-12-01") && !told("2026-11-30"));
}

#[test]
fn labour_is_squares_times_hours_times_factors() {
    // 10.73 squares × 1.6 h × 1.1 = 18.88 h (18.8848); tear-off of two layers 10.73 × 1.7 × 1.1 = 20.07 h (20.0651).
    let offer = demo(&gable(40.0, 24.0, 6.0), BUSY);
    let hours: Vec<String> = offer
        .cost
        .labour
        .iter()
        .map(|l| l.quantity.to_string())
        .collect();
    assert_eq!(hours, ["20.07", "18.88"]);
    assert!(
        offer
            .cost
            .labour_assumptions
            .iter()
            .any(|a| a.contains("Laying: 1.6 h of labour a square"))
    );
    // 8:12 has a factor of its own.
    let steep = "[labour]\nrate = 10\nhours_per_square = 1\nslope_over_6 = 1.25\n";
    let offer = demo(&gable(40.0, 24.0, 8.0), steep);
    assert_eq!(offer.cost.labour[0].quantity.to_string(), "14.43"); // 11.54 squares × 1.25 = 14.425, half up
}

#[test]
fn hours_come_from_the_squares_as_they_are_printed() {
    // 21.69 × 50 ft of 0:12 would be 10.845 squares exactly; at 9:12 (× 1.25) it takes 867.6 ft² of plan: 43.38 × 20 ft.
    let job = "[labour]\nrate = 10\nhours_per_square = 1\n";
    let offer = demo(&gable(43.38, 20.0, 9.0), job);
    assert_eq!(offer.cost.labour[0].quantity.to_string(), "10.85");
}

#[test]
fn the_rate_of_profit_is_kept_as_the_job_writes_it() {
    use eavewright::materials::ProfitRate;
    let rate = |bid: &str| starter_at("100", bid).profit_rate;
    let percent = |text: &str| text.parse::<rust_decimal::Decimal>().unwrap();
    let margin = rate("margin_percent = \"17.25\"\n");
    assert_eq!(margin, Some(ProfitRate::Margin(percent("17.25"))));
    let markup = rate("markup_percent = 25\n");
    assert_eq!(markup, Some(ProfitRate::MarkUp(percent("25"))));
    assert_eq!(rate(""), None);
}

#[test]
fn the_bid_shows_no_internal_cost() {
    let offer = demo(&gable(40.0, 24.0, 6.0), BUSY);
    let text = format!("{:?}", offer.bid);
    for secret in [offer.cost.cost, offer.cost.overhead, offer.cost.profit] {
        assert!(!text.contains(&secret.to_string()), "{secret}");
    }
    assert!(!text.to_lowercase().contains("overhead") && !text.contains("mark"));
    assert!(offer.bid.assumptions.iter().any(|a| a.contains("invented")));
    assert!(
        offer.bid.scope.iter().any(|s| s.contains("80 ft of eave")),
        "{:?}",
        offer.bid.scope
    );
}

#[test]
fn another_bid_for_the_same_roof_is_an_alternate() {
    let roof = gable(40.0, 24.0, 6.0);
    let (base, dear) = (
        demo(&roof, BUSY),
        demo(&roof, &BUSY.replace("58.37", "78.37")),
    );
    let alternate = Alternate::between("another crew", &base.bid, &dear.bid);
    assert_eq!(alternate.difference, dear.bid.price - base.bid.price);
    assert!(alternate.difference.is_sign_positive());
}
