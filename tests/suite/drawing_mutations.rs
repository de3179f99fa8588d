//! Damaged drawings are read or refused: no panic, no hang. The damage is random from a fixed seed; `fuzz/` holds the
//! same check for a coverage-guided fuzzer.

use std::time::{Duration, Instant};

use eavewright::drawing::{Drawing, ReadOptions};

/// xorshift64*: Vigna, "An experimental exploration of Marsaglia's xorshift generators, scrambled" (2016).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }
    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
}

const PIECES: [&str; 24] = [
    "<g>",
    "</g>",
    "<use href=\"#roof\"/>",
    "1e9",
    "-1e-30",
    "NaN",
    "matrix(0 0 0 0 0 0)",
    "scale(1e20)",
    "\"",
    "<",
    "&#8203;",
    "%",
    "</text>",
    "<tspan x=\"1 2 3\">",
    "0",
    "1e38",
    "d=\"M0 0",
    "id=\"roof\"",
    "<!--",
    "]]>",
    "rotate(45)",
    "<svg viewBox=\"0 0 0 0\">",
    "stroke-width:1e30",
    "font-size:1e-9px",
];

fn damage(bytes: &mut Vec<u8>, random: &mut Random) {
    for _ in 0..=random.below(6) {
        let at = random.below(bytes.len());
        let until = (at + random.below(40)).min(bytes.len());
        match random.below(5) {
            0 => bytes[at] = random.next() as u8,
            1 => drop(bytes.drain(at..until)),
            2 => {
                let piece = bytes[at..until].to_vec();
                let to = random.below(bytes.len());
                bytes.splice(to..to, piece);
            }
            3 => {
                let piece = PIECES[random.below(PIECES.len())];
                bytes.splice(at..at, piece.bytes());
            }
            _ => {
                let digits: Vec<usize> = (at..bytes.len())
                    .filter(|&i| bytes[i].is_ascii_digit())
                    .take(3)
                    .collect();
                digits
                    .into_iter()
                    .for_each(|i| bytes[i] = b"0123456789eE.-"[random.below(14)]);
            }
        }
        if bytes.is_empty() {
            return;
        }
    }
}

fn run(seed: u64, enough: impl Fn(usize, Duration) -> bool) -> usize {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/drawings");
    let mut names: Vec<_> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "svg"))
        .collect();
    names.sort();
    let files: Vec<Vec<u8>> = names
        .iter()
        .map(|path| std::fs::read(path).unwrap())
        .collect();
    let mut random = Random(seed);
    let start = Instant::now();
    let mut count = 0;
    while !enough(count, start.elapsed()) {
        let mut bytes = files[random.below(files.len())].clone();
        damage(&mut bytes, &mut random);
        let begun = Instant::now();
        let result = Drawing::read(&bytes, &ReadOptions::default());
        let took = begun.elapsed();
        let failed = result.is_err_and(|errors| errors.iter().any(|e| e.code == "reader-failed"));
        if failed || took > Duration::from_secs(10) {
            let path = std::env::temp_dir().join(format!("eavewright-damaged-{seed}-{count}.svg"));
            std::fs::write(&path, &bytes).unwrap();
            panic!(
                "case {count} of seed {seed}: failed {failed}, took {took:?}: {}",
                path.display()
            );
        }
        count += 1;
    }
    count
}

#[test]
fn damaged_drawings_are_read_or_refused() {
    run(0x00ea_7e51, |count, _| count >= 400);
}

/// The long run: `cargo test --release --test suite -- --ignored twenty_minutes`.
#[test]
#[ignore = "takes twenty minutes"]
fn damaged_drawings_are_read_or_refused_for_twenty_minutes() {
    let count = run(0x5eed, |_, elapsed| elapsed > Duration::from_secs(1200));
    eprintln!("{count} damaged drawings");
}
