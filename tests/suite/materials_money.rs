//! Money that must not be wrong in silence: what is in the price, what is not, and what was typed amiss.

use eavewright::Severity;
use eavewright::courses::Courses;
use eavewright::job::Job;
use eavewright::materials::{
    CostInputs, Exact, MOST_FOR_ONE, MaterialList, Offer, Price, PriceList, Prices,
};
use eavewright::roof::{EdgeClass, Roof};

use crate::materials_support::{courses, courses_in, face, gable, three_tab};

fn job(text: &str) -> Job {
    Job::parse(text).unwrap_or_else(|f| panic!("{f:#?}"))
}

fn offer_of(roof: &Roof, laid: &Courses, job: &Job, prices: &PriceList) -> Offer {
    let settings = job.material_settings(false).unwrap();
    let list = MaterialList::compute(roof, laid, &settings);
    let inputs = CostInputs {
        roofs: &[roof],
        list: &list,
        prices,
        labour: &job.labour,
        bidding: &job.bid,
        storeys: job.site.storeys.unwrap_or(1),
        date: job.project.date.as_deref(),
    };
    Offer::make(&inputs, None, false).unwrap_or_else(|f| panic!("{f:#?}"))
}

/// An offer for a gable of 40 × 24 ft in the shipped prices, with the job's own over them.
fn offer(rise: f64, text: &str) -> Offer {
    let (roof, job) = (gable(40.0, 24.0, rise), job(text));
    let prices = job.price_list(Some(PriceList::DEMO)).unwrap();
    offer_of(&roof, &courses(&roof), &job, &prices)
}

fn told(offer: &Offer, code: &str) -> Vec<String> {
    let of = offer.findings.iter().filter(|f| f.code == code);
    of.map(|f| f.message.clone()).collect()
}

#[test]
fn a_steeper_or_higher_roof_takes_no_fewer_hours_a_square() {
    let keys = [
        "slope_over_6 = 1.25\n",
        "slope_over_9 = 1.5\n",
        "slope_over_12 = 2\n",
    ];
    for given in 0..8 {
        let chosen: String = (0..3)
            .filter(|i| given & (1 << i) != 0)
            .map(|i| keys[i])
            .collect();
        let mut before = 0.0;
        for rise in [5.0, 8.0, 10.0, 14.0] {
            let text = format!("[labour]\nrate = 10\nhours_per_square = 1\n{chosen}");
            let line = offer(rise, &text).cost.labour[0].clone();
            let squares = gable(40.0, 24.0, rise).true_area().to_squares();
            let hours: f64 = line.quantity.to_string().parse().unwrap();
            assert!(hours / squares > before - 5e-3, "{chosen} at {rise}");
            before = hours / squares;
        }
    }
    // 10:12 with a factor for over 6:12 alone: 12.50 squares (12.496) × 1.25, and told on which factor it stands.
    let steep = offer(
        10.0,
        "[labour]\nrate = 10\nhours_per_square = 1\nslope_over_6 = 1.25\n",
    );
    assert_eq!(steep.cost.labour[0].quantity.to_string(), "15.63"); // 15.625, half up
    let carried = told(&steep, "labour-factor-carried");
    assert!(
        carried[0].contains("over 9:12") && carried[0].contains("1.25"),
        "{carried:?}"
    );
    // Three storeys are at least as high as two: 10.73 × 1.1 = 11.803.
    let high = |storeys: u32, factors: &str| {
        let labour = format!("[labour]\nrate = 10\nhours_per_square = 1\n{factors}");
        offer(6.0, &format!("[site]\nstoreys = {storeys}\n{labour}"))
    };
    let third = high(3, "second_storey = 1.1\n");
    assert_eq!(third.cost.labour[0].quantity.to_string(), "11.80");
    assert_eq!(told(&third, "labour-factor-carried").len(), 1);
    let given = high(3, "second_storey = 1.1\nthird_storey = 1.2\n");
    assert!(told(&given, "labour-factor-carried").is_empty());
    // Where no factor is given at all, what was reckoned with says so.
    let none = high(2, "");
    let said = &none.cost.labour_assumptions;
    assert!(
        said.iter()
            .any(|s| s == "No factor is given for the second storey."),
        "{said:?}"
    );
}

#[test]
fn work_without_hours_is_in_no_price_and_is_told() {
    let two_layers = "[site]\nexisting_layers = 2\n";
    let lacks = |labour: &str| -> (Vec<String>, bool) {
        let offer = offer(6.0, &format!("{two_layers}{labour}"));
        let warned = offer
            .findings
            .iter()
            .any(|f| f.code == "labour-unpriced" && f.severity == Severity::Warning);
        (offer.bid.unpriced, warned)
    };
    let (strip, lay) = ("Tear off, layers: 2".to_owned(), "Lay the roof".to_owned());
    assert_eq!(lacks(""), (vec![strip.clone(), lay.clone()], true));
    assert_eq!(
        lacks("[labour]\nrate = 58\n"),
        (vec![strip.clone(), lay], true)
    );
    let laying = "[labour]\nrate = 58\nhours_per_square = 1.6\n";
    assert_eq!(lacks(laying), (vec![strip], true));
    let both = format!("{laying}tear_off_hours_per_square = 1\n");
    assert_eq!(lacks(&both), (Vec::new(), false));
    // Who has others lay the roof says so.
    let others = "[labour]\nhours_per_square = 0\ntear_off_hours_per_square = 0\n";
    assert_eq!(lacks(others), (Vec::new(), false));
    // And no part of the price is called by work that is not in it.
    let called = |labour: &str| -> Vec<String> {
        let bid = offer(6.0, &format!("{two_layers}{labour}")).bid;
        bid.lines.into_iter().map(|l| l.what).collect()
    };
    assert!(called(others).contains(&"Shingles, with starter and caps".to_owned()));
    assert!(called(others).contains(&"Haul away".to_owned()));
    assert!(called(&both).contains(&"Shingles, laid, with starter and caps".to_owned()));
    assert!(called(&both).contains(&"Take off and haul away".to_owned()));
}

#[test]
fn another_format_is_offered_only_where_its_shingles_have_a_price() {
    let roof = gable(40.0, 24.0, 6.0);
    let mut wide = three_tab();
    wide.name = "42x14".into();
    let instead = |price: &str| -> Offer {
        let text = format!(
            "[project]\ndate = \"2026-11-25\"\n[prices.items]\n\"shingles:42x14\" = {{ {price} }}\n"
        );
        let job = job(&text);
        let prices = job.price_list(Some(PriceList::DEMO)).unwrap();
        let mut base = offer_of(&roof, &courses(&roof), &job, &prices);
        let other = offer_of(&roof, &courses_in(&roof, wide.clone()), &job, &prices);
        base.offer_instead("Shingles 42x14 instead", &other);
        base
    };
    // 33 bundles at 40 instead of 38.75.
    let good = instead("price = 40, unit = \"bundle\"");
    assert_eq!(good.bid.alternates[0].difference.to_string(), "41.25");
    // A price for another unit cannot be used: without its shingles the roof would seem cheaper.
    let by_square = instead("price = 180, unit = \"square\"");
    assert!(by_square.bid.alternates.is_empty());
    assert_eq!(told(&by_square, "price-unit").len(), 1);
    let left_out = told(&by_square, "alternate-unpriced");
    assert!(left_out[0].contains("42x14"), "{left_out:?}");
    // The job's own alternates change its own price: of the price of other shingles nothing is told.
    let beyond = instead(
        "price = 40, unit = \"bundle\" }\n[bid]\nalternates = [{ name = \"Less\", amount = -99999 }]\n# {",
    );
    assert_eq!(told(&beyond, "alternate-below-nothing").len(), 1);
    // One that has run out is offered, and told.
    let old = instead("price = 40, valid_until = \"2024-01-01\"");
    assert_eq!(old.bid.alternates.len(), 1);
    assert_eq!(told(&old, "price-expired").len(), 1);
}

#[test]
fn each_kind_of_underlayment_has_a_price_of_its_own() {
    let rolls = |text: &str| {
        let offer = offer(6.0, text);
        let line = (offer.cost.materials.iter()).find(|l| l.key.starts_with("underlayment"));
        let line = line.unwrap().clone();
        (line.key, line.unit_price.unwrap().to_string())
    };
    let synthetic = "[materials]\nunderlayment = \"synthetic\"\n";
    assert_eq!(rolls(""), ("underlayment:felt-15".into(), "34.90".into()));
    assert_eq!(
        rolls(synthetic),
        ("underlayment:synthetic".into(), "139.00".into())
    );
    // A list of one's own with one price for all is taken at its word for felt, and asked about for what is not.
    let asked_of = |rows: &str, text: &str| {
        let (roof, job) = (gable(40.0, 24.0, 6.0), job(text));
        let csv = format!("item,unit,price\n{rows}\n");
        let prices = job.price_list(Some(&csv)).unwrap();
        told(
            &offer_of(&roof, &courses(&roof), &job, &prices),
            "price-of-which-kind",
        )
        .len()
    };
    let asked = |text: &str| asked_of("underlayment,roll,30", text);
    assert_eq!((asked("[labour]\n"), asked(synthetic)), (0, 1));
    // Nor is what has a price of its own asked about, nor other things that come in kinds.
    assert_eq!(asked_of("underlayment:synthetic,roll,120", synthetic), 0);
    assert_eq!(asked_of("shingles,bundle,38", "[labour]\n"), 0);
}

#[test]
fn a_price_that_no_order_asks_for_is_told() {
    let doubts = |keys: &[&str]| -> Vec<String> {
        let rows: String = keys.iter().map(|k| format!("{k},piece,1\n")).collect();
        let list = job("[shingles]\n[[shingles.formats]]\nname = \"Mine\"\nwidth = 36\nheight = 12\nexposure = 5\npieces_per_bundle = 27\nsource = \"test\"\n")
            .price_list(Some(&format!("item,unit,price\n{rows}")));
        let doubts = list.unwrap().doubts;
        doubts.into_iter().map(|f| f.message).collect()
    };
    let right = [
        "shingles:39x13",
        "shingles:36X12",
        "shingles:mine",
        "underlayment:synthetic",
        "pipe_boot:3in",
        "pipe_boot:4 inch",
        "roofing_nails:1¼ in",
        "roofing_nails_long:2 1/2 in",
        "cricket:36×9",
        "container",
        "starter",
    ];
    assert!(doubts(&right).is_empty(), "{:?}", doubts(&right));
    for wrong in [
        "shingles:39x31",
        "underlayment:felt",
        "starter:10ft",
        "pipe_boot:banana",
        "pipe_boot:2.5in",
        "roofing_nails:2in",
        "cricket:small",
        "shinglez",
    ] {
        let doubts = doubts(&["starter", wrong]);
        assert!(doubts.len() == 1 && doubts[0].contains(wrong), "{doubts:?}");
    }
}

#[test]
fn numbers_that_no_job_has_are_refused_with_their_key_and_line() {
    for (text, key) in [
        (
            "[prices.items]\nshingles = { price = -38.75 }\n",
            "prices.items.shingles.price",
        ),
        (
            "[prices.items]\nshingles = { price = \"79228162514264337593543950335\" }\n",
            "price",
        ),
        (
            "[prices.items]\nroofing_nails = { price = \"0,385\" }\n",
            "price",
        ),
        ("[prices.items]\nshingles = { price = inf }\n", "price"),
        ("[labour]\nrate = -58\n", "labour.rate"),
        (
            "[labour]\nhours_per_square = nan\n",
            "labour.hours_per_square",
        ),
        ("[labour]\nslope_over_6 = 0\n", "labour.slope_over_6"),
        ("[bid]\noverhead_percent = -12\n", "bid.overhead_percent"),
        ("[bid]\nmargin_percent = 101\n", "bid.margin_percent"),
        (
            "[bid]\nallowances = [{ name = \"x\", amount = -1 }]\n",
            "bid.allowances.amount",
        ),
        (
            "[materials]\nhandling_percent = -50\n",
            "materials.handling_percent",
        ),
        (
            "[materials]\ndeck_sheets_per_10_squares = inf\n",
            "deck_sheets_per_10_squares",
        ),
        ("[site]\nstoreys = -1\n", "site.storeys"),
        ("[plan]\nnorth_deg = 1e300\n", "plan.north_deg"),
        (
            "[prices.items]\nstarter = { price = 1, valid_until = \"31.12.2025\" }\n",
            "valid_until",
        ),
        (
            "[prices.items]\nstarter = { price = 1, valid_until = \"2025-02-30\" }\n",
            "valid_until",
        ),
    ] {
        let found = Job::parse(text).unwrap_err();
        let message = &found[0].message;
        assert_eq!((found.len(), found[0].code), (1, "job-value"), "{text}");
        assert!(
            message.contains("line 2") && message.contains(key),
            "{message}"
        );
    }
    // Alternates may be cheaper; and large, within reason.
    job(
        "[bid]\nalternates = [{ name = \"x\", amount = -640.5 }, { name = \"y\", amount = \"1,250.00\" }]\n",
    );
    let most = format!("[prices.items]\nshingles = {{ price = {MOST_FOR_ONE} }}\n");
    job(&most);
    let beyond = format!("item,unit,price\nshingles,bundle,{MOST_FOR_ONE}1\n");
    assert_eq!(
        PriceList::from_csv(&beyond).unwrap_err()[0].code,
        "price-list"
    );
}

#[test]
fn a_sum_beyond_all_jobs_is_refused_by_its_name() {
    let roof = gable(40.0, 24.0, 6.0);
    let mut dear = job("[bid]\noverhead_percent = 12\n");
    let price = Price {
        price: Exact(rust_decimal::Decimal::MAX),
        ..Price::default()
    };
    let items = [("starter".to_owned(), price)].into();
    let prices = PriceList::default().with(&Prices {
        items,
        ..Prices::default()
    });
    dear.labour.rate = Some(Exact(rust_decimal::Decimal::MAX));
    let list = MaterialList::compute(
        &roof,
        &courses(&roof),
        &dear.material_settings(false).unwrap(),
    );
    let refused = |prices: &PriceList, job: &Job| {
        let inputs = CostInputs {
            roofs: &[&roof],
            list: &list,
            prices,
            labour: &job.labour,
            bidding: &job.bid,
            storeys: 1,
            date: None,
        };
        Offer::make(&inputs, None, false).unwrap_err()[0].clone()
    };
    assert_eq!(refused(&prices, &dear).code, "sum-too-large");
    assert!(
        refused(&prices, &dear).message.contains("tarter"),
        "{:?}",
        refused(&prices, &dear)
    );
    dear.labour.hours_per_square = Some(Exact::whole(2));
    let by_rate = refused(&PriceList::default(), &dear);
    assert!(by_rate.message.starts_with("Lay"), "{by_rate:?}");
    dear.labour.rate = None;
    dear.bid.allowances = vec![eavewright::materials::Sum {
        name: "Gold leaf".into(),
        amount: Exact::whole(1_000_000_000_000),
    }];
    dear.bid.overhead_percent = Some(Exact(rust_decimal::Decimal::MAX));
    assert_eq!(refused(&PriceList::default(), &dear).code, "sum-too-large");
}

#[test]
fn alternates_and_shares_are_rounded_as_the_job_says() {
    let differences = |way: &str| -> Vec<String> {
        let text = format!(
            "[bid]\nrounding = \"{way}\"\nalternates = [{{ name = \"a\", amount = 640.005 }}, {{ name = \"b\", amount = -0.004 }}, {{ name = \"c\", amount = 100.999 }}, {{ name = \"d\", amount = -250.505 }}]\n"
        );
        let bid = offer(6.0, &text).bid;
        bid.alternates
            .iter()
            .map(|a| a.difference.to_string())
            .collect()
    };
    assert_eq!(
        differences("half-up"),
        ["640.01", "0.00", "101.00", "-250.51"]
    );
    assert_eq!(
        differences("half-even"),
        ["640.00", "0.00", "101.00", "-250.50"]
    );
}

#[test]
fn what_is_not_ordered_is_not_promised() {
    let off = "[site]\nrules_off = [\"drip-edge\", \"underlayment\", \"starter\", \"caps\", \"ventilation\"]\n";
    assert_eq!(
        offer(6.0, off).bid.scope,
        ["Lay shingles 36x12 on 2 roof faces."]
    );
    let no_caps = "[site]\nrules_off = [\"caps\"]\n";
    let scope = offer(6.0, no_caps).bid.scope;
    assert_eq!(
        scope[0],
        "Lay shingles 36x12 on 2 roof faces, with underlayment and starter."
    );
    // A lean-to has edge metal along its high edge too: rakes of 12 × 1.118 ft on both sides and 20 ft above.
    use eavewright::roof::EdgeClass::{HighEdge, Rake};
    let shed = crate::materials_support::face(6.0, Rake, HighEdge, Rake).roof();
    let plain = job("[labour]\n");
    let prices = plain.price_list(None).unwrap();
    let bid = offer_of(&shed, &courses(&shed), &plain, &prices).bid;
    let metal = bid.scope.iter().find(|s| s.contains("metal")).unwrap();
    assert!(metal.contains("20 ft of eave and 46.83 ft of"), "{metal}");
    assert!(
        metal.contains("high edge") && metal.contains("rake"),
        "{metal}"
    );
}

#[test]
fn dates_that_cannot_be_compared_are_told() {
    let dated = |date: &str, until: &str| {
        let text = format!(
            "[project]\n{date}[prices.items]\nstarter = {{ price = 50, valid_until = \"2026-11-30\" }}\n[bid]\n{until}"
        );
        let offer = offer(6.0, &text);
        let codes = [
            "prices-undated",
            "price-expired",
            "offer-expired",
            "offer-undated",
        ];
        let of = |f: &&eavewright::Finding| codes.contains(&f.code);
        let found: Vec<_> = offer
            .findings
            .iter()
            .filter(of)
            .map(|f| (f.code, f.severity))
            .collect();
        found
    };
    let day = "date = \"2026-11-25\"\n";
    assert_eq!(dated(day, ""), []);
    assert_eq!(dated("", ""), [("prices-undated", Severity::Note)]);
    for other in ["25 November 2026", "2026/11/25", "2026-11-31"] {
        let date = format!("date = \"{other}\"\n");
        assert_eq!(
            dated(&date, ""),
            [("prices-undated", Severity::Warning)],
            "{other}"
        );
    }
    let runs_out = "valid_until = \"2026-01-25\"\n";
    assert_eq!(dated(day, runs_out), [("offer-expired", Severity::Warning)]);
    let other = "date = \"25 November 2026\"\n";
    let both = ["prices-undated", "offer-undated"].map(|code| (code, Severity::Warning));
    assert_eq!(dated(other, runs_out), both);
    assert_eq!(dated(day, "valid_until = \"2026-12-25\"\n"), []);
    assert!(Job::parse("[bid]\nvalid_until = \"Christmas\"\n").is_err());
}

#[test]
fn only_prices_that_run_out_want_the_job_to_have_a_date() {
    // Of all that is bought the starter alone has a price with a date, and nothing else has a price.
    let until = |until: &str| {
        let text = format!("[prices.items]\nstarter = {{ price = 50{until} }}\n");
        let (roof, job) = (gable(40.0, 24.0, 6.0), job(&text));
        let prices = job.price_list(None).unwrap();
        told(
            &offer_of(&roof, &courses(&roof), &job, &prices),
            "prices-undated",
        )
    };
    assert_eq!(until(""), [] as [&str; 0]);
    let one = until(", valid_until = \"2026-11-30\"");
    assert!(
        one.len() == 1 && one[0].starts_with("1 price holds until"),
        "{one:?}"
    );
    // The shipped prices have no dates.
    assert_eq!(told(&offer(6.0, "[labour]\n"), "prices-undated").len(), 0);
}

#[test]
fn packages_are_of_the_units_that_the_job_says_whatever_numbers_are_written_in() {
    let length = |text: &str, metric: bool| {
        let settings = job(text).material_settings(metric).unwrap();
        let edge = settings.catalog.product("drip_edge_eave").unwrap().length;
        edge.unwrap().to_inches()
    };
    let (feet, metres) = ("[plan]\nunits = \"ft\"\n", "[plan]\nunits = \"m\"\n");
    assert_eq!(length(feet, true), length(feet, false));
    assert_eq!(length(metres, true), length(metres, false));
    assert_eq!(
        (length("", true), length("", false)),
        (length(metres, true), length(feet, false))
    );
    // Where the job does not say which, prices may be for the others.
    let priced = "[prices.items]\nstarter = { price = 50 }\n";
    assert!(job(priced).package_doubt(true).is_some());
    assert!(job(priced).package_doubt(false).is_none());
    assert!(
        job(&format!("{feet}{priced}"))
            .package_doubt(true)
            .is_none()
    );
}

#[test]
fn boots_and_nails_are_those_of_the_jobs_units_whatever_numbers_are_written_in() {
    // A pipe of 3 in takes a boot of 3 in or 75 mm; nails through two shingles and 1/2 in of deck are 1 1/4 in or 32 mm.
    let roof = face(6.0, EdgeClass::Rake, EdgeClass::Ridge, EdgeClass::Rake)
        .pipe(Some(3.0))
        .roof();
    let keys = |text: &str, metric: bool| -> Vec<String> {
        let settings = job(text).material_settings(metric).unwrap();
        let list = MaterialList::compute(&roof, &courses(&roof), &settings);
        let sized = list.lines.iter().map(|l| l.price_key());
        sized
            .filter(|k| k.starts_with("pipe_boot") || k.starts_with("roofing_nails:"))
            .collect()
    };
    let (feet, metres) = ("[plan]\nunits = \"ft\"\n", "[plan]\nunits = \"m\"\n");
    let inches = ["pipe_boot:3 in", "roofing_nails:1 1/4 in"];
    for metric in [false, true] {
        assert_eq!(keys(feet, metric), inches);
        let mm = keys(metres, metric);
        assert!(
            mm.iter().all(|k| k.ends_with(" mm")) && mm.len() == 2,
            "{mm:?}"
        );
    }
}

#[test]
fn a_cricket_is_priced_by_its_size_and_by_the_words_of_older_lists() {
    let roof = face(6.0, EdgeClass::Rake, EdgeClass::Ridge, EdgeClass::Rake)
        .opening("chimney", 36.0, 3.0)
        .roof();
    let read = |rows: &str| PriceList::from_csv(&format!("item,unit,price\n{rows}"));
    let price = |rows: &str| {
        let list = read(rows).unwrap();
        let offer = offer_of(&roof, &courses(&roof), &job(""), &list);
        let lines = offer.cost.materials.into_iter();
        let mut crickets = lines.filter(|l| l.key.starts_with("cricket"));
        crickets
            .next()
            .and_then(|l| l.unit_price)
            .map(|p| p.to_string())
    };
    let old = "\"cricket:36 in wide, 9 in high\",piece,190\n";
    let new = "cricket:36x9,piece,200\n";
    let any = "cricket,piece,185\n";
    assert_eq!(price(any).as_deref(), Some("185"));
    assert_eq!(price(&format!("{any}{old}")).as_deref(), Some("190"));
    assert_eq!(price(&format!("{any}{new}")).as_deref(), Some("200"));
    // Both are the same size, so that one of the two prices is a slip.
    let twice = read(&format!("{any}{old}{new}")).unwrap_err();
    assert!(twice[0].message.contains("listed twice"), "{twice:?}");
    assert_eq!(price("cricket:36x12,piece,210\n"), None);
}

#[test]
fn a_second_format_of_a_name_is_refused() {
    let format = |name: &str| {
        format!(
            "[[shingles.formats]]\nname = \"{name}\"\nwidth = 36\nheight = 12\nexposure = 5\npieces_per_bundle = 27\nsource = \"test\"\n"
        )
    };
    let twice = format!("{}{}", format("mine"), format("Mine"));
    let found = Job::parse(&twice).unwrap_err();
    assert_eq!(found[0].code, "format-twice");
    assert!(found[0].message.contains("line 9"), "{}", found[0].message);
    job(&format!("{}{}", format("mine"), format("yours")));
}

#[test]
fn a_size_is_priced_by_its_value_however_it_is_written() {
    let roof = face(6.0, EdgeClass::Rake, EdgeClass::Ridge, EdgeClass::Rake)
        .opening("chimney", 36.0, 3.0)
        .pipe(Some(3.0))
        .roof();
    for (item, written) in [
        ("roofing_nails", "1¼ in"),
        ("roofing_nails", "1 1/4in"),
        ("roofing_nails", "1.25 inches"),
        ("pipe_boot", "3 inch"),
        ("pipe_boot", "3″"),
        ("cricket", "36×9"),
        ("cricket", "36 x 9 in"),
        ("cricket", "36 in wide, 9 in high"),
    ] {
        let text = format!("[prices.items]\n'{item}:{written}' = {{ price = 999 }}\n");
        let job = job(&text);
        let prices = job.price_list(Some(PriceList::DEMO)).unwrap();
        assert!(prices.doubts.is_empty(), "{written}: {:?}", prices.doubts);
        let offer = offer_of(&roof, &courses(&roof), &job, &prices);
        let of = |key: &str| key.split(':').next() == Some(item);
        let line = offer.cost.materials.iter().find(|l| of(&l.key)).unwrap();
        let price = line.unit_price.map(|p| p.to_string());
        assert_eq!(price.as_deref(), Some("999"), "{item}:{written}");
    }
    // Two spellings of one size are one price given twice.
    let twice =
        "[prices.items]\n'pipe_boot:3 in' = { price = 1 }\n'pipe_boot:3″' = { price = 2 }\n";
    let told = job(twice).price_list(None).unwrap_err();
    assert_eq!(told[0].code, "price-twice");
}

#[test]
fn a_price_or_a_rate_of_nothing_is_none_and_is_told() {
    let zero = offer(6.0, "[prices.items]\nshingles = { price = 0 }\n");
    assert!(
        zero.cost
            .unpriced
            .iter()
            .any(|what| what.contains("Shingles"))
    );
    assert_eq!(told(&zero, "price-zero").len(), 1);
    // And not told again among those that have none.
    let unpriced = told(&zero, "unpriced");
    assert!(
        unpriced.iter().all(|said| !said.contains("Shingles")),
        "{unpriced:?}"
    );
    let unpaid = offer(6.0, "[labour]\nrate = 0\nhours_per_square = 1\n");
    assert_eq!(told(&unpaid, "labour-rate-zero").len(), 1);
    assert!(told(&unpaid, "labour-unpriced").is_empty());
    assert!(unpaid.cost.labour[0].amount.is_none());
    // Work that is somebody else's takes no hours, and has no rate.
    let theirs = offer(6.0, "[labour]\nrate = 0\nhours_per_square = 0\n");
    assert!(told(&theirs, "labour-rate-zero").is_empty());
}

#[test]
fn a_price_of_a_list_without_a_unit_is_told_with_the_package_that_it_is_taken_for() {
    let list = |unit: &str, own: &str| {
        let (roof, job) = (gable(40.0, 24.0, 6.0), job(own));
        let csv = format!("item,unit,price\nshingles,{unit},95\nstarter,bundle,50\n");
        let prices = job.price_list(Some(&csv)).unwrap();
        told(
            &offer_of(&roof, &courses(&roof), &job, &prices),
            "price-without-unit",
        )
    };
    let blank = list("", "");
    assert!(
        blank.len() == 1 && blank[0].contains("Shingles") && blank[0].contains("one bundle of 27"),
        "{blank:?}"
    );
    assert!(!blank[0].contains("Starter"), "{blank:?}");
    assert!(list("bundle", "").is_empty());
    // The job's own price is over the list's, and has its unit or none as well.
    let own = |unit: &str| format!("[prices.items]\nshingles = {{ price = 31{unit} }}\n");
    assert!(list("", &own(", unit = \"bundle\"")).is_empty());
    for unit in ["", "bundle"] {
        let told = list(unit, &own(""));
        assert!(told.len() == 1 && told[0].contains("Shingles"), "{told:?}");
    }
}

#[test]
fn a_comma_that_may_part_thousands_or_be_a_decimal_one_is_refused_in_the_job_file() {
    for job in [
        "[prices.items]\nshingles = { price = \"38,750\" }\n",
        "[labour]\nrate = \"38,750\"\n",
        "[bid]\nalternates = [{ name = \"Skylight\", amount = \"-38,750\" }]\n",
    ] {
        let told = Job::parse(job).unwrap_err();
        assert!(
            told.len() == 1
                && told[0].message.contains("38750 or ")
                && told[0].message.contains("38.750"),
            "{told:?}"
        );
        // Written either way, and with thousands that can be nothing else.
        for sum in ["38750", "38.750", "38,750.00", "1,038,750", "38 750"] {
            let job = job.replace("38,750", sum);
            assert!(Job::parse(&job).is_ok(), "{job}");
        }
    }
}

#[test]
fn an_offer_that_holds_longer_than_its_prices_is_told() {
    let told = |until: &str| {
        let text = format!(
            "[project]\ndate = \"2026-11-01\"\n[bid]\nvalid_until = \"{until}\"\n[prices.items]\nshingles = {{ price = 31, valid_until = \"2026-11-30\" }}\n"
        );
        let (roof, job) = (gable(40.0, 24.0, 6.0), job(&text));
        let prices = job.price_list(None).unwrap();
        told(
            &offer_of(&roof, &courses(&roof), &job, &prices),
            "offer-outlasts-prices",
        )
    };
    assert!(told("2026-11-30").is_empty());
    let later = told("2026-12-01");
    assert!(
        later.len() == 1 && later[0].contains("(2026-11-30)"),
        "{later:?}"
    );
}
