//! Price lists: from the contractor's own CSV, from the job file, or the invented one that shows how it is done.

use std::collections::{BTreeMap, BTreeSet};

use super::date::is_date;
use super::kind;
use super::money::{Exact, either_way, parse_decimal};
use super::offer::{MOST_FOR_ONE, Price, Prices};
use crate::Finding;
use crate::finding::{excerpt, of_error};

/// Unit prices by the keys of the material list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PriceList {
    /// By [`plain_key`] keys.
    prices: BTreeMap<String, Price>,
    /// The keys of those that are given without a unit.
    without_unit: BTreeSet<String>,
    /// What somebody should look at before an offer is made of them.
    pub doubts: Vec<Finding>,
    /// What the list must be known by when it is printed: that it is invented, for one.
    pub notes: Vec<String>,
}

/// Told of a list in which this supplier stands.
const INVENTED: &str = "invented";
const DEMO_NOTE: &str = "Prices are invented, to show how a bid is made.";

/// The columns of a price list; the first three must be there.
const COLUMNS: [&str; 5] = ["item", "unit", "price", "valid until", "supplier"];

impl PriceList {
    /// The invented prices shipped with the program, as a CSV file to start a list of one's own from.
    pub const DEMO: &'static str = include_str!("demo_prices.csv");

    /// The same for metric packages: a piece of edge metal is 2 m long there, and not 10 ft.
    pub const DEMO_METRIC: &'static str = include_str!("demo_prices_metric.csv");

    /// The invented prices shipped with the program, which say that they are invented; those of packages in feet.
    ///
    /// # Errors
    /// None for the list shipped (a test reads it).
    pub fn demo() -> Result<Self, Vec<Finding>> {
        Self::from_csv(Self::DEMO)
    }

    /// Reads a price list: CSV with the columns item, unit, price, valid until and supplier in any order, the last
    /// two optional; lines that start with `#` are comments. Between cells stands what stands between the columns' names:
    /// a comma, a semicolon or a tab.
    ///
    /// ```
    /// use eavewright::materials::PriceList;
    /// let list = PriceList::from_csv("item,unit,price\nshingles,bundle,38.75\n").unwrap();
    /// assert_eq!(list.price("shingles").unwrap().price.0.to_string(), "38.75");
    /// assert!(PriceList::from_csv("item,unit,price\nshingles,bundle,cheap\n").is_err());
    /// ```
    ///
    /// # Errors
    /// Every line that cannot be used, with its number.
    pub fn from_csv(text: &str) -> Result<Self, Vec<Finding>> {
        let text = from_heads(text.trim_start_matches('\u{feff}'));
        let mut reader = reader(&text, between_cells(&text));
        let columns = columns(&mut reader).map_err(|f| vec![f])?;
        let width = reader.headers().map_or(0, csv::StringRecord::len);
        let mut list = Self::default();
        let mut findings = Vec::new();
        for record in reader.records() {
            match record {
                // Rows that a spreadsheet keeps below or between those written in.
                Ok(record) if record.iter().all(str::is_empty) => {}
                Ok(record) => {
                    let line = line_of(&record, &text);
                    let added = too_long(&record, width, line)
                        .and_then(|()| list.add(&record, line, &columns));
                    if let Err(finding) = added {
                        findings.push(finding);
                    }
                }
                Err(error) => findings.push(broken(&error)),
            }
        }
        if findings.is_empty() {
            list.tell_invented();
            Ok(list)
        } else {
            Err(findings)
        }
    }

    /// Invented prices must be known as such wherever they are printed.
    fn tell_invented(&mut self) {
        let invented = |p: &Price| {
            p.supplier
                .as_deref()
                .is_some_and(|s| s.trim().eq_ignore_ascii_case(INVENTED))
        };
        self.notes.retain(|note| note != DEMO_NOTE);
        if self.prices.values().any(invented) {
            self.notes.push(DEMO_NOTE.to_owned());
        }
    }

    fn add(
        &mut self,
        record: &csv::StringRecord,
        line: u64,
        columns: &[Option<usize>; 5],
    ) -> Result<(), Finding> {
        let field = |i: usize| -> Option<String> {
            let text = record.get(columns.get(i).copied().flatten()?)?;
            (!text.is_empty()).then(|| text.to_owned())
        };
        let refuse = |what: String| {
            Finding::error(
                "price-list",
                format!("The price list, line {line}: {what}."),
            )
            .remedy("Correct the line; columns are item, unit, price, valid until, supplier.")
        };
        let item = field(0).ok_or_else(|| refuse("no item".to_owned()))?;
        let text = field(2).ok_or_else(|| refuse(format!("no price for {item}")))?;
        let amount = parse_decimal(&text).ok_or_else(|| {
            let finding = refuse(format!("“{}” is no amount of money", excerpt(&text)));
            match how_to_write(&text) {
                Some(remedy) => finding.remedy(remedy),
                None => finding,
            }
        })?;
        if let Some((whole, decimals)) = either_way(&text) {
            return Err(refuse(format!(
                "“{}” may be {whole}{decimals} or {whole}.{decimals}",
                excerpt(&text)
            ))
            .remedy(format!(
                "Write {whole}{decimals}, or {whole}.{decimals} with a point."
            )));
        }
        if amount.is_sign_negative() {
            return Err(refuse(format!("the price of {item} is negative")));
        }
        if amount > MOST_FOR_ONE.into() {
            return Err(refuse(format!("the price of {item} is too large for one")));
        }
        let price = Price {
            price: Exact(amount),
            unit: field(1),
            valid_until: field(3),
            supplier: field(4),
        };
        if let Some(day) = (price.valid_until.as_deref()).filter(|day| !is_date(day)) {
            return Err(refuse(format!(
                "“{}” is no date such as 2026-11-30 (a price has a point, not a comma)",
                excerpt(day)
            )));
        }
        let key = plain_key(&item);
        if price.unit.is_none() {
            self.without_unit.insert(key.clone());
        }
        if self.prices.insert(key, price).is_some() {
            return Err(refuse(format!("{item} is listed twice")));
        }
        Ok(())
    }

    /// This list with the job's own prices over it.
    #[must_use]
    pub fn with(mut self, job: &Prices) -> Self {
        for (key, price) in &job.items {
            let key = plain_key(key);
            match price.unit {
                Some(_) => self.without_unit.remove(&key),
                None => self.without_unit.insert(key.clone()),
            };
            self.prices.insert(key, price.clone());
        }
        self.tell_invented();
        self
    }

    /// The price of a key; of `pipe_boot` where `pipe_boot:3 in` has none of its own.
    pub fn price(&self, key: &str) -> Option<&Price> {
        self.found(key).map(|(_, price)| price)
    }

    /// The price of a key, with the one that it stands under.
    fn found(&self, key: &str) -> Option<(&String, &Price)> {
        let key = plain_key(key);
        let all = &self.prices;
        all.get_key_value(&key)
            .or_else(|| all.get_key_value(key.split(':').next()?))
    }

    /// Whether the price of a key is given without a unit.
    pub(super) fn says_no_unit(&self, key: &str) -> bool {
        let found = self.found(key);
        found.is_some_and(|(key, _)| self.without_unit.contains(key))
    }

    /// Whether a key has a price of its own: `shingles:36x12`, not only `shingles`.
    pub fn lists(&self, key: &str) -> bool {
        self.prices.contains_key(&plain_key(key))
    }

    /// The keys that have a price, in lower case and without spaces, in order.
    pub fn keys(&self) -> impl Iterator<Item = &str> {
        self.prices.keys().map(String::as_str)
    }
}

/// A key however its kind is written: `pipe_boot:3″` is `pipe_boot:3 in`, `shingles:39×13` is `shingles:39x13`.
pub fn plain_key(key: &str) -> String {
    kind::plain_key(key)
}

/// A list whose columns' names stand first: lines before them that say nothing of prices, blank ones and a spreadsheet's
/// `sep=;`, are comments, so that lines keep their numbers.
fn from_heads(text: &str) -> String {
    let is_blank = |line: &str| {
        line.chars()
            .all(|c| c.is_whitespace() || ",;\"".contains(c))
    };
    let is_separator = |line: &str| line.trim().to_ascii_lowercase().starts_with("sep=");
    let mut rest = text;
    let mut comments = String::new();
    while let Some((line, after)) = rest.split_once('\n') {
        if !(is_blank(line) || line.starts_with('#') || is_separator(line)) {
            break;
        }
        comments.push_str("#\n");
        rest = after;
    }
    comments + rest
}

fn reader(text: &str, between_cells: u8) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .delimiter(between_cells)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
}

/// What stands between the cells: a comma, a semicolon or a tab, by which of them the first line has the columns that must be
/// there; where it has them by none, the first that it has outside quotes.
fn between_cells(text: &str) -> u8 {
    const ALL: [u8; 3] = [b',', b';', b'\t'];
    if let Some(fits) = ALL
        .into_iter()
        .find(|&between| columns(&mut reader(text, between)).is_ok())
    {
        return fits;
    }
    let first = text.lines().find(|line| !line.starts_with('#'));
    let outside_quotes: String = first.unwrap_or_default().split('"').step_by(2).collect();
    let has = |c: &u8| outside_quotes.contains(char::from(*c));
    ALL.into_iter().find(has).unwrap_or(b',')
}

/// How an amount that cannot be read is written, where it shows what is wrong with it.
fn how_to_write(amount: &str) -> Option<String> {
    // Blanks that do not break a line part thousands too, but not here.
    let closed: String = amount.chars().filter(|c| !c.is_whitespace()).collect();
    let is_minus = |c: char| c == '-' || c == '−';
    let is_price = |text: &str| !text.starts_with(is_minus) && parse_decimal(text).is_some();
    if is_price(&closed) {
        return Some(format!("Write the price without blanks: {closed}."));
    }
    let bare = without_currency(closed.trim_matches(is_minus));
    let is_read = is_price(bare.trim_matches(is_minus));
    if is_read && closed.contains(is_minus) {
        return Some("No price is negative: correct it, or leave its line out.".to_owned());
    }
    if is_read {
        return Some(
            "Write the price without the sign of its currency: 31.50; `currency` under [prices] in the job file says which."
                .to_owned(),
        );
    }
    amount
        .contains(',')
        .then(|| "Write prices with a point, 31.50: a comma parts thousands alone.".to_owned())
}

/// An amount without the sign or the short name of a currency at either end: `$`, `€`, `EUR`, `kr`, `US$`.
fn without_currency(amount: &str) -> &str {
    const LONGEST: usize = 4;
    let is_of_one = |c: char| {
        c.is_alphabetic() || c == '$' || !(c.is_ascii() || c.is_alphanumeric() || c == '−')
    };
    let begins = amount.trim_start_matches(is_of_one);
    let ends = amount.trim_end_matches(is_of_one);
    let is_short = |rest: &str| {
        let sign = amount.chars().count() - rest.chars().count();
        (1..=LONGEST).contains(&sign)
    };
    match (is_short(begins), is_short(ends)) {
        (true, _) => begins,
        (_, true) => ends,
        _ => amount,
    }
}

/// The line that a record stands on. The reader's own number is that of the first of the empty lines before it.
fn line_of(record: &csv::StringRecord, text: &str) -> u64 {
    record.position().map_or(0, |at| {
        let rest = text.bytes().skip(at.byte() as usize);
        let empty = rest.take_while(|b| matches!(b, b'\r' | b'\n'));
        at.line() + empty.filter(|b| *b == b'\n').count() as u64
    })
}

/// Refuses a line with more cells than columns: `31,50` without quotes would else be a price of 31.
fn too_long(record: &csv::StringRecord, width: usize, line: u64) -> Result<(), Finding> {
    if record.iter().skip(width).all(str::is_empty) {
        return Ok(());
    }
    Err(Finding::error(
        "price-list",
        format!("The price list, line {line}: more cells than the first line has columns."),
    )
    .remedy("Write prices with a point (31.50), and what has a comma in it in quotes."))
}

fn columns(reader: &mut csv::Reader<&[u8]>) -> Result<[Option<usize>; 5], Finding> {
    let heads = reader.headers().map_err(|e| broken(&e))?;
    let find = |name: &str| {
        heads
            .iter()
            .position(|h| h.to_lowercase().replace('_', " ") == name)
    };
    let found = COLUMNS.map(find);
    let twice = |name: &&&str| {
        let same = |head: &&str| head.to_lowercase().replace('_', " ") == ***name;
        heads.iter().filter(same).count() > 1
    };
    if let Some(name) = COLUMNS.iter().find(twice) {
        return Err(Finding::error(
            "price-list",
            format!("The price list has more than one column `{name}`."),
        )
        .remedy("Keep one of them, or name the other one something else."));
    }
    if found[..3].iter().any(Option::is_none) {
        return Err(Finding::error(
            "price-list",
            format!(
                "The price list has no columns item, unit and price; its first line is “{}”.",
                excerpt(&heads.iter().collect::<Vec<_>>().join(","))
            ),
        )
        .remedy("Write a first line `item,unit,price,valid until,supplier`."));
    }
    Ok(found)
}

fn broken(error: &csv::Error) -> Finding {
    Finding::error(
        "price-list",
        format!("The price list cannot be read: {}.", of_error(error)),
    )
    .remedy("Save it as CSV UTF-8, with a comma between cells.")
}

#[cfg(test)]
mod tests {
    use super::{DEMO_NOTE, PriceList};
    use crate::materials::{Item, UnderlaymentKind};

    #[test]
    fn the_demo_list_prices_every_item_and_says_that_it_is_invented() {
        for text in [PriceList::DEMO, PriceList::DEMO_METRIC] {
            let list = PriceList::from_csv(text).unwrap_or_default();
            assert_eq!(list.notes, [DEMO_NOTE]);
            let keys = Item::ALL.into_iter().filter(|i| *i != Item::Underlayment);
            let kinds = UnderlaymentKind::ALL.into_iter().map(|k| k.price_key());
            for key in keys.map(|i| i.key().to_owned()).chain(kinds) {
                assert!(list.lists(&key), "{key}");
            }
            assert!(list.price(Item::Underlayment.key()).is_none(), "of no kind");
        }
    }

    #[test]
    fn a_decimal_comma_is_never_a_cheaper_price() {
        let head = "item,unit,price,valid until,supplier\n";
        for line in [
            "a,piece,31,50,,b",
            "a,piece,31,50",
            "a,piece,\"31,50\"",
            "a,piece,1.031,50",
        ] {
            let read = PriceList::from_csv(&format!("{head}{line}\n"));
            assert!(read.is_err(), "{line}: {read:?}");
        }
        // Without a column of dates nothing else would refuse the 50; empty cells are none.
        let short = |line: &str| PriceList::from_csv(&format!("item,unit,price\n{line}\n"));
        let told = short("a,piece,31,50").err().unwrap_or_default();
        assert!(
            told.iter().any(|f| f.message.contains("more cells")),
            "{told:?}"
        );
        assert!(short("a,piece,31,,").is_ok());
        let read = PriceList::from_csv(&format!("{head}a,piece,\"1,031.50\",2026-11-30,b\r\n"));
        let price = read.ok().and_then(|list| list.price("a").cloned());
        assert_eq!(
            price.map(|p| p.price.0.to_string()).as_deref(),
            Some("1031.50")
        );
    }

    #[test]
    fn cells_may_stand_between_semicolons_or_tabs_and_prices_keep_their_point() {
        let price = |text: &str| PriceList::from_csv(text).map(|l| l.price("a").cloned());
        for text in [
            "item;unit;price\na;piece;31.50\n",
            "# ours, and theirs\nitem\tunit\tprice\na\tpiece\t31.50\n",
            "\"item, ours\";item;unit;price\nx;a;piece;31.50\n",
            "item;unit;price;valid until, or none\na;piece;31.50;\n",
            "sep=;\r\nitem;unit;price\r\na;piece;31.50\r\n",
            "\n;;\nitem;unit;price\na;piece;31.50\n",
        ] {
            let found = price(text)
                .unwrap_or_default()
                .map(|p| p.price.0.to_string());
            assert_eq!(found.as_deref(), Some("31.50"), "{text}");
        }
        let told = price("item;unit;price\na;piece;31,50\n")
            .err()
            .unwrap_or_default();
        assert!(told[0].remedy.contains("with a point"), "{told:?}");
    }

    #[test]
    fn an_amount_with_a_sign_or_with_a_comma_that_may_be_either_is_refused_with_the_way_to_write_it()
     {
        for (amount, remedy) in [
            ("$31.50", "without the sign"),
            ("31.50 €", "without the sign"),
            ("EUR 31.50", "without the sign"),
            ("US$31.50", "without the sign"),
            ("1\u{a0}234.50", "without blanks: 1234.50"),
            ("3 1.50", "without blanks: 31.50"),
            ("-$3.00", "No price is negative"),
            ("$-3.00", "No price is negative"),
            ("−3.00", "No price is negative"),
            ("1e3", "Correct the line"),
            ("31.50 a bundle", "Correct the line"),
            ("\"31,50\"", "with a point"),
            ("\"31,500\"", "Write 31500, or 31.500"),
            ("cheap", "Correct the line"),
        ] {
            let text = format!("item,unit,price\na,piece,{amount}\n");
            let told = PriceList::from_csv(&text).err().unwrap_or_default();
            assert!(
                told.len() == 1 && told[0].remedy.contains(remedy),
                "{amount}: {told:?}"
            );
        }
    }

    #[test]
    fn lines_keep_their_numbers_where_blank_ones_stand_before_them() {
        let told = PriceList::from_csv("sep=;\n\nitem;unit;price\na;piece;two\n");
        let told = told.err().unwrap_or_default();
        assert!(told[0].message.contains("line 4:"), "{told:?}");
    }

    #[test]
    fn rows_that_a_spreadsheet_leaves_empty_are_passed_over_and_counted() {
        for empty in [",,", ",,,,", "\"\",\"\",\"\"", " , , ", ""] {
            let text = format!("item,unit,price\na,piece,1\n{empty}\nb,piece,2\n{empty}\n");
            let read = PriceList::from_csv(&text);
            assert!(
                read.as_ref().is_ok_and(|l| l.lists("a") && l.lists("b")),
                "{empty}: {read:?}"
            );
            let told = PriceList::from_csv(&format!("{text}c,piece,two\n"));
            let told = told.err().unwrap_or_default();
            assert!(
                told.len() == 1 && told[0].message.contains("line 6:"),
                "{told:?}"
            );
        }
        // A price without an item is no empty row.
        assert!(PriceList::from_csv("item,unit,price\n,,2\n").is_err());
    }

    #[test]
    fn a_list_with_two_columns_of_one_name_is_refused() {
        for heads in [
            "item,unit,price,Price",
            "item,unit,price,item",
            "unit,item,unit,price",
        ] {
            let told = PriceList::from_csv(&format!("{heads}\na,piece,1,2\n"));
            let told = told.err().unwrap_or_default();
            assert!(
                told.len() == 1 && told[0].message.contains("more than one column"),
                "{heads}: {told:?}"
            );
        }
    }

    #[test]
    fn a_key_is_found_however_its_kind_is_written() {
        let text = "item,unit,price\npipe_boot:3in,piece,14\nshingles:39X13,bundle,38\n";
        let list = PriceList::from_csv(text).unwrap_or_default();
        assert!(list.lists("pipe_boot:3 in") && list.lists("shingles:39x13"));
        assert!(!list.lists("pipe_boot:4 in") && list.price("pipe_boot:4 in").is_none());
        let twice = PriceList::from_csv(&format!("{text}pipe_boot:3 in,piece,15\n"));
        assert!(twice.is_err(), "{twice:?}");
    }

    #[test]
    fn every_line_that_cannot_be_used_is_told_with_its_number() {
        let text = "item,unit,price\na,piece,1\n,piece,2\nb,piece,two\na,piece,3\nc,piece,-1\n";
        let findings = PriceList::from_csv(text).err().unwrap_or_default();
        let lines: Vec<bool> = (3..=6)
            .map(|n| {
                findings
                    .iter()
                    .any(|f| f.message.contains(&format!("line {n}:")))
            })
            .collect();
        assert_eq!((lines, findings.len()), (vec![true; 4], 4));
        for heads in ["thing,cost", "item,unit,cost", "item,price", "unit,price"] {
            let told = PriceList::from_csv(&format!("{heads}\na,1,1\n"));
            let told = told.err().unwrap_or_default();
            assert!(
                told.len() == 1 && told[0].message.contains("has no columns"),
                "{heads}: {told:?}"
            );
        }
    }

    #[test]
    fn a_price_may_be_as_large_as_the_schema_says_and_no_larger() {
        let of = |price: &str| PriceList::from_csv(&format!("item,unit,price\na,piece,{price}\n"));
        assert!(of("1000000000").is_ok());
        let told = of("1000000000.01").err().unwrap_or_default();
        assert!(told.len() == 1 && told[0].message.contains("too large"));
    }
}
