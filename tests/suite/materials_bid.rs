//! What a bid says and how its price is shared out, worked by hand.

use eavewright::Finding;
use eavewright::courses::Courses;
use eavewright::job::Job;
use eavewright::materials::{CostInputs, Exact, MaterialList, Offer, PriceList, Work};
use eavewright::roof::EdgeClass::{
    Eave, Headwall, HighEdge, PitchChange, Rake, Ridge, Sidewall, Valley,
};
use eavewright::roof::{FaceId, Roof};

use crate::materials_support::{
    RoofBuilder, beside_cricket, chimney_at, courses, face, gable, gable_with_wing, hip,
};

fn offer(roof: &Roof, job: &str) -> Offer {
    offer_laid(roof, &courses(roof), job)
}

fn offer_laid(roof: &Roof, laid: &Courses, job: &str) -> Offer {
    let job = Job::parse(job).unwrap_or_else(|f| panic!("{f:#?}"));
    let prices = job.price_list(None).unwrap();
    let settings = job.material_settings(false).unwrap();
    let list = MaterialList::compute(roof, laid, &settings);
    let inputs = CostInputs {
        roofs: &[roof],
        list: &list,
        prices: &prices,
        labour: &job.labour,
        bidding: &job.bid,
        storeys: job.site.storeys.unwrap_or(1),
        date: None,
    };
    Offer::make(&inputs, None, false).unwrap_or_else(|f| panic!("{f:#?}"))
}

/// What a bid says is done.
fn scope(roof: &Roof, job: &str) -> Vec<String> {
    offer(roof, job).bid.scope
}

#[test]
fn a_bid_says_what_is_done_and_nothing_that_is_not() {
    let busy = face(6.0, Sidewall, Ridge, Rake)
        .opening("chimney", 36.0, 3.0)
        .pipe(Some(3.0))
        .roof();
    let job = "[plan]\neave_overhang = \"12in\"\n[site]\nexisting_layers = 2\nice_barrier = true\n";
    // 240 ft² of plan × 1.118 = 268.3 ft²; a rake of 12 × 1.118 = 13.42 ft.
    assert_eq!(
        scope(&busy, job),
        [
            "Take off 2 layers of roofing from 2.68 squares and haul it away.",
            "Lay shingles 36x12 on 1 roof face, with underlayment, starter and caps.",
            "Lay self-adhered sheet along the eaves against ice.",
            "Fit new edge metal to 20 ft of eave and 13.42 ft of rake.",
            "Flash walls and openings anew, with a cricket behind each wide chimney.",
            "Fit new boots to all pipes drawn.",
            "Vent the ridges.",
        ]
    );
    // Self-adhered sheet lines the valleys, and none is laid against ice. Eaves 12 + 12 + 40 + 10 + 10 ft; rakes
    // 4 × 13.416 + 2 × 8.944 ft; valleys 2 × 12 ft.
    assert_eq!(
        scope(&gable_with_wing(), ""),
        [
            "Lay shingles 36x12 on 4 roof faces, with underlayment, starter and caps.",
            "Fit new edge metal to 84 ft of eave and 71.55 ft of rake.",
            "Line 24 ft of valley.",
            "Vent the ridges.",
        ]
    );
    // A hip roof has no rakes: 128 ft round.
    let hips = scope(&hip(40.0, 24.0, 6.0), "");
    assert_eq!(hips[1], "Fit new edge metal to 128 ft of eave.");
    let flashed = "Flash walls anew.".to_owned();
    let continuous = "[materials]\nsidewall_flashing = \"continuous\"\n";
    for (right, top, job) in [
        (Sidewall, Ridge, ""),
        (Sidewall, Ridge, continuous),
        (Rake, Headwall, ""),
    ] {
        let roof = face(6.0, right, top, Rake).roof();
        assert!(scope(&roof, job).contains(&flashed));
    }
    // A chimney of 24 in needs no cricket.
    let narrow = face(6.0, Rake, Ridge, Rake).opening("chimney", 24.0, 3.0);
    assert!(scope(&narrow.roof(), "").contains(&"Flash openings anew.".to_owned()));
}

#[test]
fn a_bid_for_a_roof_that_no_shingles_are_laid_on_speaks_of_none() {
    let roof = gable(40.0, 24.0, 6.0);
    let mut bare = courses(&roof);
    bare.faces.clear();
    let job = "[site]\nexisting_layers = 1\n";
    assert_eq!(offer_laid(&roof, &bare, job).bid.scope, [] as [&str; 0]);
}

#[test]
fn a_part_of_the_price_is_called_by_what_of_it_has_one() {
    let called = |roof: &Roof, job: &str, priced: &str| {
        let items: String = priced
            .split(' ')
            .map(|key| format!("{key} = {{ price = 10 }}\n"))
            .collect();
        let lines = offer(roof, &format!("{job}[prices.items]\n{items}"))
            .bid
            .lines;
        let names: Vec<String> = lines.into_iter().map(|l| l.what).collect();
        names.join("; ")
    };
    let (plain, wing) = (gable(40.0, 24.0, 6.0), gable_with_wing());
    let busy = face(6.0, Sidewall, Ridge, Rake)
        .opening("chimney", 36.0, 3.0)
        .pipe(Some(3.0))
        .roof();
    for (roof, priced, expected) in [
        (&plain, "starter", "Starter"),
        (&plain, "hip_ridge_cap", "Caps"),
        (&plain, "starter hip_ridge_cap", "Starter and caps"),
        // Nails of 1 1/4 in for the field, of 2 1/2 in through the vent.
        (&plain, "roofing_nails", "Nails"),
        (&plain, "roofing_nails_long", "Nails"),
        (&plain, "shingles starter", "Shingles, with starter"),
        (&plain, "cap_nails", "Cap nails"),
        (&plain, "cap_nails underlayment", "Underlayment"),
        (&wing, "self_adhered_sheet", "Self-adhered sheet"),
        (&busy, "step_flashing", "Flashing"),
        (&busy, "sealant", "Sealing"),
        (&busy, "pipe_boot sealant", "Flashing and sealing"),
    ] {
        assert_eq!(called(roof, "", priced), expected, "{priced}");
    }
    let roll = "[materials]\nvalley_lining = \"smooth-roll\"\n";
    assert_eq!(called(&wing, roll, "valley_smooth_roll"), "Valley lining");
}

#[test]
fn the_price_is_shared_out_by_what_each_part_costs() {
    // Priced: one container 100; 3 deck sheets (10.73 squares, two for ten) at 10; 3 rolls of felt at 20; 10 and 8
    // pieces of edge metal at 1 and 2.50; 33 bundles at 2; 38 ft of vents in 10 pieces at 4; 74 put by: 400. Marked up
    // by half: 600.
    let job = "[site]\nexisting_layers = 1\nice_barrier = false\n[prices.items]\n\
container = { price = 100 }\ndeck_sheet = { price = 10 }\nunderlayment = { price = 20 }\n\
drip_edge_eave = { price = 1 }\ndrip_edge_rake = { price = 2.5 }\nshingles = { price = 2 }\n\
ridge_vent = { price = 4 }\n[bid]\nmarkup_percent = 50\n\
allowances = [{ name = \"Rotten boards\", amount = 44 }, { name = \"Paint\", amount = 30 }]\n";
    let offer = offer(&gable(40.0, 24.0, 6.0), job);
    assert_eq!(offer.bid.price.normalize().to_string(), "600");
    let lines: Vec<(String, String)> = (offer.bid.lines.iter())
        .map(|l| {
            let quantity = l.quantity.as_ref();
            let much = quantity.map_or(String::new(), |(n, unit)| format!(", {n:.2} {unit}"));
            (
                format!("{}{much}", l.what),
                l.amount.normalize().to_string(),
            )
        })
        .collect();
    let expected = [
        ("Haul away, 10.73 square", "150"),
        ("Deck repairs, allowance", "45"),
        ("Underlayment, 10.73 square", "90"),
        // 80 ft of eaves and 53.67 ft of rakes.
        ("Edge metal, 133.67 ft", "45"),
        ("Shingles, 10.73 square", "99"),
        ("Ridge vents, 38.00 ft", "60"),
        // Each is settled for itself.
        ("Allowance: Rotten boards", "66"),
        ("Allowance: Paint", "45"),
    ];
    assert_eq!(lines, expected.map(|(a, b)| (a.to_owned(), b.to_owned())));
    let rests = "Nobody has seen the deck: 3 sheets to mend it are in the price.";
    assert!(offer.bid.assumptions.iter().any(|a| a == rests));
    let nails = offer
        .cost
        .materials
        .iter()
        .find(|l| l.key.starts_with("roofing_nails"));
    assert_eq!(nails.unwrap().work, Work::Shingles);
}

#[test]
fn a_bid_warns_of_what_is_not_said_and_of_old_roofing() {
    let cautions = |job: &str| -> Vec<String> {
        let offer = offer(&gable(40.0, 24.0, 6.0), job);
        let first = |text: &String| text.split([';', '.']).next().unwrap().to_owned();
        offer.bid.cautions.iter().map(first).collect()
    };
    let codes = "Local codes and the shingle maker's instructions go before anything in this offer";
    assert_eq!(
        cautions(""),
        [
            "Nobody said how many layers of roofing lie on the deck",
            "Nobody said whether the code's table asks for an ice barrier here",
            "Old roofing can hold asbestos",
            codes,
        ]
    );
    let said = "[site]\nexisting_layers = 1\nice_barrier = true\n";
    assert_eq!(
        cautions(said),
        [
            "Nobody said how far the eaves reach beyond the wall",
            "Old roofing can hold asbestos",
            codes,
        ]
    );
    // What is only worth knowing, such as a skylight's own kit, is the contractor's.
    let skylight = face(6.0, Rake, Ridge, Rake)
        .opening("skylight", 24.0, 3.0)
        .roof();
    let quiet = "[site]\nexisting_layers = 0\nice_barrier = false\n";
    assert_eq!(offer(&skylight, quiet).bid.cautions.len(), 1);
}

#[test]
fn hours_are_paid_by_the_hour_and_go_by_slope_layers_and_cut() {
    let hours = |rise: f64, job: &str| -> Vec<(String, String)> {
        let job = format!("{job}hours_per_square = 1\nrate = 10\n");
        let text = |d: rust_decimal::Decimal| d.normalize().to_string();
        let labour = offer(&gable(40.0, 24.0, rise), &job).cost.labour;
        let line =
            |l: &eavewright::materials::CostLine| (text(l.quantity), text(l.amount.unwrap()));
        labour.iter().map(line).collect()
    };
    let pairs = |pairs: &[(&str, &str)]| -> Vec<(String, String)> {
        let owned = |p: &(&str, &str)| (p.0.to_owned(), p.1.to_owned());
        pairs.iter().map(owned).collect()
    };
    let slopes = "[labour]\nslope_over_6 = 2\nslope_over_9 = 3\nslope_over_12 = 4\n";
    // 9.6 squares of plan × √(1 + m²), to two decimals; the factor starts over, not at, 6, 9 and 12 in 12.
    for (rise, at_ten) in [
        (6.0, ("10.73", "107.3")),  // 10.7331
        (9.0, ("24", "240")),       // 12 × 2
        (9.5, ("36.72", "367.2")),  // 12.2442 × 3, from 12.24
        (12.0, ("40.74", "407.4")), // 13.5765 × 3, from 13.58
        (12.5, ("55.44", "554.4")), // 13.8627 × 4, from 13.86
    ] {
        assert_eq!(hours(rise, slopes), pairs(&[at_ten]), "{rise}");
    }
    // A cut-up roof; and three layers, each further one 0.7 of the first: 10.73 × 0.5 × 2.4 = 12.876.
    assert_eq!(
        hours(6.0, "[labour]\ncut_up = 2\n"),
        pairs(&[("21.46", "214.6")])
    );
    let strip = "further_layer_factor = 0.7\ntear_off_hours_per_square = 0.5\n";
    let layers = |n: u32| format!("[site]\nexisting_layers = {n}\n[labour]\n{strip}");
    assert_eq!(
        hours(6.0, &layers(3)),
        pairs(&[("12.88", "128.8"), ("10.73", "107.3")])
    );
    assert_eq!(hours(6.0, &layers(0)), pairs(&[("10.73", "107.3")]));
    // What was reckoned with: the factor where there is one.
    let job = format!("{slopes}hours_per_square = 1\n");
    let said = |rise| {
        offer(&gable(40.0, 24.0, rise), &job)
            .cost
            .labour_assumptions
    };
    assert_eq!(said(6.0).len(), 1);
    assert_eq!(said(8.0)[1], "Lay, over 6:12 to 9:12: factor 2.");
}

#[test]
fn a_margin_of_the_whole_price_is_refused() {
    // The job file's reader refuses it by its line; who makes an offer without a file is told too.
    assert!(Job::parse("[bid]\nmargin_percent = 100\n").is_err());
    let mut job = Job::default();
    job.bid.margin_percent = Some(Exact::whole(100));
    let (list, prices) = (MaterialList::default(), PriceList::default());
    let inputs = CostInputs {
        roofs: &[],
        list: &list,
        prices: &prices,
        labour: &job.labour,
        bidding: &job.bid,
        storeys: 1,
        date: None,
    };
    let refused = Offer::make(&inputs, None, false).unwrap_err();
    assert_eq!(refused[0].code, "margin-too-large");
}

#[test]
fn invented_prices_are_told_once_until_all_are_replaced() {
    let mut job = Job::parse("[prices.items]\nstarter = { price = 50 }\n").unwrap();
    let demo = PriceList::demo().unwrap();
    let list = demo.clone().with(&job.prices);
    assert_eq!(list.notes, demo.notes);
    let mine = job.prices.items["starter"].clone();
    for key in demo.keys() {
        job.prices.items.insert(key.to_owned(), mine.clone());
    }
    assert!(demo.clone().with(&job.prices).notes.is_empty());
    assert!(list.lists("starter") && !list.lists("starter:short"));
    assert!(list.price("starter:short").is_some());
}

#[test]
fn tax_on_materials_is_in_the_price_of_what_bears_it_alone() {
    // 10 + 8 pieces of edge metal at 1 and 2.50: 30, and 10 % of tax: 33. Hauling 100, sums put by 44; cost 177, with half
    // of it on top 265.50: hauling 150, metal 49.50, sums 66.
    let job = "[site]\nexisting_layers = 1\nice_barrier = false\n[prices.items]\n\
container = { price = 100 }\ndrip_edge_eave = { price = 1 }\ndrip_edge_rake = { price = 2.5 }\n\
[bid]\nmarkup_percent = 50\ntax_on_materials_percent = 10\n\
allowances = [{ name = \"Rotten boards\", amount = 44 }]\n";
    let bid = offer(&gable(40.0, 24.0, 6.0), job).bid;
    let amounts: Vec<String> = (bid.lines.iter())
        .map(|l| l.amount.normalize().to_string())
        .collect();
    assert_eq!(amounts, ["150", "49.5", "66"]);
}

#[test]
fn work_that_takes_no_hours_is_not_promised() {
    let job = "[plan]\neave_overhang = \"12in\"\n[site]\nexisting_layers = 2\nice_barrier = true\n\
[labour]\nrate = 50\nhours_per_square = 0\ntear_off_hours_per_square = 0\n\
[bid]\nexclusions = [\"Gutters.\"]\n";
    let bid = offer(&gable(40.0, 24.0, 6.0), job).bid;
    assert_eq!(
        bid.scope,
        [
            "Haul away 2 layers of roofing from 10.73 squares, which others take off.",
            "Deliver shingles 36x12 for 2 roof faces, with underlayment, starter and caps.",
            "Deliver self-adhered sheet against ice along the eaves.",
            "Deliver edge metal for 80 ft of eave and 53.67 ft of rake.",
            "Deliver vents for the ridges.",
        ]
    );
    assert_eq!(
        bid.exclusions,
        [
            "Taking off the old roofing.",
            "Laying the roof: material alone is offered.",
            "Gutters.",
        ]
    );
    // Hauling that costs nothing is no part of it either; what is said to be done is.
    let free = format!("{job}[prices.items]\ncontainer = {{ price = 0 }}\n");
    let free = offer(&gable(40.0, 24.0, 6.0), &free).bid;
    assert!(free.scope[0].starts_with("Deliver shingles"));
    assert_eq!(
        free.exclusions[..2],
        [
            "Taking off the old roofing.",
            "Hauling the old roofing away."
        ]
    );
    let done = job.replace("per_square = 0", "per_square = 1");
    let done = offer(&gable(40.0, 24.0, 6.0), &done).bid;
    assert!(done.scope[1].starts_with("Lay shingles"));
    assert_eq!(done.exclusions, ["Gutters."]);
}

#[test]
fn caps_cut_from_shingles_are_named_where_ready_ones_would_be() {
    let job = "[materials]\ncaps_from_field = true\n[prices.items]\nshingles = { price = 2 }\n\
starter = { price = 1 }\n";
    let bid = offer(&gable(40.0, 24.0, 6.0), job).bid;
    assert_eq!(
        bid.scope[0],
        "Lay shingles 36x12 on 2 roof faces, with underlayment, starter and caps."
    );
    assert_eq!(bid.lines[0].what, "Shingles, with starter and caps");
}

#[test]
fn an_overlay_is_told_and_flashing_named_where_it_lies() {
    let over = "[site]\nexisting_layers = 1\ntear_off = false\n";
    let said = scope(&gable(40.0, 24.0, 6.0), over);
    assert_eq!(
        said[0],
        "Lay shingles 36x12 on 2 roof faces, over the one layer that stays, with starter and caps."
    );
    let changes = face(6.0, Rake, PitchChange, Rake).roof();
    assert!(scope(&changes, "").contains(&"Flash pitch changes anew.".to_owned()));
}

#[test]
fn what_is_the_same_of_several_pipes_is_cautioned_of_once() {
    let odd = || Some(7.9);
    let one = face(6.0, Rake, Ridge, Rake).pipe(odd()).roof();
    let three = face(6.0, Rake, Ridge, Rake)
        .pipe(odd())
        .pipe(odd())
        .pipe(odd())
        .roof();
    let cautions = |roof: &Roof| offer(roof, "").bid.cautions;
    let (three, one) = (cautions(&three), cautions(&one));
    assert_eq!(three.len(), one.len(), "{three:?}");
    assert!(
        three.contains(
            &"3 pipes of 7.9 in (3 on S1) are wider than any boot sold; they are listed as written."
                .to_owned()
        ),
        "{three:?}"
    );
}

/// A face with a chimney 3 ft wide and a pipe, and one of 1.5:12 beside it with the same: 160 ft² × 1.00778 = 161.25 ft².
fn one_face_too_flat() -> Roof {
    let mut roof = face(6.0, Rake, Ridge, Rake)
        .opening("chimney", 36.0, 3.0)
        .pipe(Some(3.0))
        .face(
            "S2",
            1.5,
            (0.0, -1.0),
            (0.0, 30.0),
            &[(0.0, 30.0), (20.0, 30.0), (20.0, 38.0), (0.0, 38.0)],
            &[Eave, Rake, Ridge, Rake],
        )
        .roof();
    let mut chimney = roof.openings[0].clone();
    chimney.faces = vec![FaceId(1)];
    for side in &mut chimney.flashing {
        side.face = FaceId(1);
    }
    roof.openings.push(chimney);
    let mut pipe = roof.penetrations[0].clone();
    pipe.face = FaceId(1);
    roof.penetrations.push(pipe);
    roof
}

#[test]
fn what_stands_on_a_face_without_shingles_is_not_promised() {
    let bid = offer(&one_face_too_flat(), "").bid;
    for sentence in [
        "Lay shingles 36x12 on 1 roof face, with underlayment, starter and caps.",
        "Flash openings anew where shingles are laid, with a cricket behind 1 of the 2 wide chimneys.",
        "Fit new boots to 1 of the 2 pipes drawn.",
    ] {
        assert!(bid.scope.iter().any(|s| s == sentence), "{:#?}", bid.scope);
    }
    assert_eq!(
        bid.exclusions,
        ["Face S2, 161.25 ft², on which no shingles are laid, and what stands on it."]
    );
}

/// Two chimneys 3 ft wide on one face; one side of a cricket lies against the first of them.
fn one_cricket_drawn() -> Roof {
    let mut roof = beside_cricket(0.0, Valley)
        .opening("chimney", 36.0, 4.0)
        .opening("chimney", 36.0, 4.0)
        .roof();
    for (opening, x) in roof.openings.iter_mut().zip([8.0, 20.0]) {
        opening.outline = chimney_at(x, 4.0);
    }
    roof
}

#[test]
fn a_chimney_whose_cricket_is_drawn_has_one() {
    let said = scope(&one_cricket_drawn(), "");
    let flashed = "Flash walls and openings anew, with a cricket behind each wide chimney.";
    assert!(said.iter().any(|s| s == flashed), "{said:#?}");
}

#[test]
fn faces_of_two_roofs_that_have_one_name_are_left_out_by_the_names_of_their_plans() {
    let job = Job::parse("").unwrap();
    let settings = job.material_settings(false).unwrap();
    let mut roof = one_face_too_flat();
    let beneath = "48 ft² of S1 lie under level 2";
    roof.findings
        .push(Finding::warning("covered-roof", beneath));
    let laid = courses(&roof);
    let mut list = MaterialList::compute_job(&[(&roof, &laid), (&roof, &laid)], &settings);
    list.plans = ["house.svg", "barn.svg"].map(str::to_owned).to_vec();
    let inputs = CostInputs {
        roofs: &[&roof, &roof],
        list: &list,
        prices: &PriceList::default(),
        labour: &job.labour,
        bidding: &job.bid,
        storeys: 1,
        date: None,
    };
    let bid = Offer::make(&inputs, None, false).unwrap().bid;
    // 2 × 161.25 ft², to the hundredth of the sum.
    assert_eq!(
        bid.exclusions,
        [
            "Faces S2 of house.svg and S2 of barn.svg, 322.49 ft², on which no shingles are laid, and what stands on them."
        ]
    );
    for plan in &list.plans {
        let told = format!("{plan}: {beneath}.");
        let so = bid.cautions.iter().filter(|c| **c == told).count();
        assert_eq!(so, 1, "{:#?}", bid.cautions);
    }
    // What is not in the price stands there alone.
    let again = bid.cautions.iter().filter(|c| c.contains("Face S2"));
    assert_eq!(again.count(), 0, "{:#?}", bid.cautions);
    // What is the same of the whole job is said once.
    let codes = bid.cautions.iter().filter(|c| c.contains("Local codes"));
    let ice = bid.cautions.iter().filter(|c| c.contains("ice barrier"));
    assert_eq!((codes.count(), ice.count()), (1, 1), "{:#?}", bid.cautions);
}

#[test]
fn what_a_level_valley_needs_is_said_not_to_be_in_the_price() {
    // Two faces of 20 × 12 ft that fall against each other; the valleys of a wing fall.
    let butterfly = RoofBuilder::default()
        .face(
            "N1",
            3.0,
            (0.0, 1.0),
            (0.0, 12.0),
            &[(20.0, 12.0), (0.0, 12.0), (0.0, 0.0), (20.0, 0.0)],
            &[Valley, Rake, HighEdge, Rake],
        )
        .face(
            "S1",
            3.0,
            (0.0, -1.0),
            (0.0, 12.0),
            &[(0.0, 12.0), (20.0, 12.0), (20.0, 24.0), (0.0, 24.0)],
            &[Valley, Rake, HighEdge, Rake],
        )
        .roof();
    let cautions = |roof: &Roof| offer(roof, "").bid.cautions;
    let told = "The valley between N1 and S1 is level, and water and snow stay in it: it needs a cricket, or a lining and outlet made for standing water; neither is in the price.";
    assert!(cautions(&butterfly).iter().any(|c| c == told));
    let sloping = cautions(&gable_with_wing());
    assert!(sloping.iter().all(|c| !c.contains("level")), "{sloping:?}");
}

#[test]
fn one_sheet_for_the_deck_is_in_the_price() {
    // 240 ft² of plan × 1.118 = 2.68 squares at 2 sheets for ten: 0.54, so 1.
    let job = "[site]\nexisting_layers = 1\n[prices.items]\ndeck_sheet = { price = 30 }\n";
    let bid = offer(&face(6.0, Rake, Ridge, Rake).roof(), job).bid;
    let deck = "Nobody has seen the deck: 1 sheet to mend it is in the price.";
    assert!(
        bid.assumptions.iter().any(|s| s == deck),
        "{:#?}",
        bid.assumptions
    );
}

#[test]
fn a_deck_that_nobody_priced_is_not_said_to_be_in_the_price() {
    let deck = |items: &str| -> (Vec<String>, Vec<String>) {
        let job = format!(
            "[site]\nexisting_layers = 1\n[prices.items]\nshingles = {{ price = 38.75 }}\n{items}"
        );
        let bid = offer(&gable(40.0, 24.0, 6.0), &job).bid;
        let of = |said: &[String], word: &str| {
            let found = said.iter().filter(|s| s.contains(word));
            found.cloned().collect::<Vec<_>>()
        };
        (of(&bid.assumptions, "deck"), of(&bid.unpriced, "Deck"))
    };
    let (taken, unpriced) = deck("");
    assert_eq!(
        taken,
        ["Nobody has seen the deck: what it takes to mend it is not in the price."]
    );
    assert_eq!(unpriced.len(), 1);
    // 10.73 squares at 2 sheets for ten: 2.15, so 3.
    let (taken, unpriced) = deck("deck_sheet = { price = 30 }\n");
    assert_eq!(
        taken,
        ["Nobody has seen the deck: 3 sheets to mend it are in the price."]
    );
    assert_eq!(unpriced.len(), 0);
}

#[test]
fn a_part_of_the_price_is_measured_by_what_of_it_has_one() {
    let measured = |roof: &Roof, priced: &str| -> Vec<Option<String>> {
        let items: String = priced
            .split(' ')
            .map(|key| format!("{key} = {{ price = 10 }}\n"))
            .collect();
        let lines = offer(roof, &format!("[prices.items]\n{items}")).bid.lines;
        let quantity = |q: (f64, String)| format!("{:.2} {}", q.0, q.1);
        lines
            .into_iter()
            .map(|l| l.quantity.map(quantity))
            .collect()
    };
    let plain = gable(40.0, 24.0, 6.0);
    // Eaves 80 ft; rakes 4 × 13.416 ft.
    for (priced, expected) in [
        ("drip_edge_rake", Some("53.67 ft")),
        ("drip_edge_eave", Some("80.00 ft")),
        ("drip_edge_eave drip_edge_rake", Some("133.67 ft")),
        ("underlayment", Some("10.73 square")),
        ("shingles starter", Some("10.73 square")),
        ("starter", None),
    ] {
        let expected = expected.map(str::to_owned);
        assert_eq!(measured(&plain, priced), [expected], "{priced}");
    }
    assert_eq!(measured(&gable_with_wing(), "self_adhered_sheet"), [None]);
}

#[test]
fn an_alternate_that_takes_off_more_than_the_price_is_told() {
    let told = |amount: &str| {
        let job = format!(
            "[prices.items]\nstarter = {{ price = 50 }}\n[bid]\nalternates = [{{ name = \"Cheaper\", amount = {amount} }}]\n"
        );
        let offer = offer(&gable(40.0, 24.0, 6.0), &job);
        let of = offer.findings.iter();
        of.filter(|f| f.code == "alternate-below-nothing").count()
    };
    assert_eq!((told("-50"), told("-50.01"), told("-100000")), (0, 1, 1));
}

#[test]
fn hauling_that_is_not_the_contractors_is_told_to_be_in_no_price() {
    let job = |container: &str| {
        format!(
            "[site]\nexisting_layers = 1\n[labour]\nrate = 50\nhours_per_square = 1\ntear_off_hours_per_square = 1\n{container}"
        )
    };
    let bid = |container: &str| offer(&gable(40.0, 24.0, 6.0), &job(container)).bid;
    let free = bid("[prices.items]\ncontainer = { price = 0 }\n");
    assert_eq!(
        free.scope[0],
        "Take off 1 layer of roofing from 10.73 squares."
    );
    assert_eq!(free.exclusions, ["Hauling the old roofing away."]);
    for paid in ["", "[prices.items]\ncontainer = { price = 400 }\n"] {
        assert_eq!(bid(paid).exclusions, [""; 0], "{paid}");
    }
}

#[test]
fn a_wide_chimney_without_a_cricket_is_told_to_have_none_in_the_price() {
    let lean_to = |width_in| {
        face(6.0, Rake, Ridge, Rake)
            .opening("chimney", width_in, 3.0)
            .roof()
    };
    let none = "[materials]\ncrickets = \"none\"\n";
    let left_out = |roof: &Roof, job: &str| offer(roof, job).bid.exclusions;
    assert_eq!(
        left_out(&lean_to(36.0), none),
        ["A cricket behind the wide chimney."]
    );
    assert_eq!(
        left_out(&one_cricket_drawn(), none),
        ["Crickets behind 1 of the 2 wide chimneys."]
    );
    // One is listed, or none is asked for.
    for (width_in, job) in [(36.0, ""), (24.0, none)] {
        assert_eq!(left_out(&lean_to(width_in), job), [""; 0], "{width_in}");
    }
}

#[test]
fn falls_and_steps_that_were_taken_stand_among_what_is_taken_as_given() {
    let mut roof = gable(40.0, 24.0, 6.0);
    let given = |roof: &Roof| offer(roof, "").bid.assumptions.join(" ");
    assert!(!given(&roof).contains("The plan does not say"));
    let open = || Finding::warning("fall-accepted", "the drawing does not decide");
    roof.findings.push(open());
    assert!(given(&roof).contains("which way 1 face falls; the likeliest fall is taken."));
    roof.findings.push(open());
    roof.findings
        .push(Finding::warning("steps-in-height", "3 ft of shared lines"));
    let given = given(&roof);
    assert!(
        given.contains("which way 2 faces fall; the likeliest falls are taken."),
        "{given}"
    );
    assert!(
        given.contains("steps in height are taken where its faces do not meet."),
        "{given}"
    );
}
