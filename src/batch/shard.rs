//! One share of a batch, for machines that divide the plans among themselves without talking to each other.

use std::str::FromStr;

use sha2::{Digest as _, Sha256};

/// The `index`-th of `count` shares, counted from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shard {
    index: u64,
    count: u64,
}

impl Shard {
    /// Whether the plan of this name belongs to this share: the first eight bytes of the name's SHA-256, as a
    /// big-endian number, modulo the count, is the share counted from 0. The same on every machine, whatever else is
    /// in the batch.
    pub fn takes(self, name: &str) -> bool {
        let digest = Sha256::digest(name.as_bytes());
        let number = digest
            .iter()
            .take(8)
            .fold(0_u64, |n, &byte| n << 8 | u64::from(byte));
        number % self.count == self.index - 1
    }

    /// How many shares there are.
    pub const fn count(self) -> u64 {
        self.count
    }

    /// As files are called: `2-of-5`.
    pub fn label(self) -> String {
        format!("{}-of-{}", self.index, self.count)
    }

    /// The share that files are called by, as [`Shard::label`] writes it.
    pub fn from_label(label: &str) -> Option<Self> {
        label.replacen("-of-", "/", 1).parse().ok()
    }
}

impl FromStr for Shard {
    type Err = String;

    /// Reads `2/5`.
    ///
    /// ```
    /// use eavewright::batch::Shard;
    /// assert_eq!("2/5".parse::<Shard>().unwrap().label(), "2-of-5");
    /// assert!("0/5".parse::<Shard>().is_err() && "6/5".parse::<Shard>().is_err());
    /// ```
    fn from_str(text: &str) -> Result<Self, String> {
        let parts = text
            .split_once('/')
            .map(|(i, n)| (i.trim().parse::<u64>(), n.trim().parse::<u64>()));
        match parts {
            Some((Ok(index), Ok(count))) if (1..=count).contains(&index) => {
                Ok(Self { index, count })
            }
            _ => Err(format!(
                "“{text}” is no share: write the share, counted from 1, and the count, such as 2/5"
            )),
        }
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test may stop the run")]
mod tests {
    use super::Shard;

    #[test]
    fn every_plan_belongs_to_exactly_one_share_and_shares_are_about_equal() {
        let shards: Vec<Shard> = (1..=4).map(|i| format!("{i}/4").parse().unwrap()).collect();
        let mut sizes = [0; 4];
        for n in 0..4000 {
            let name = format!("lots/lot-{n}.svg");
            let takers: Vec<usize> = (0..4).filter(|&i| shards[i].takes(&name)).collect();
            assert_eq!(takers.len(), 1, "{name}");
            sizes[takers[0]] += 1;
        }
        // Five standard deviations of a fair draw: sqrt(4000 · 1/4 · 3/4) = 27.4.
        assert!(
            sizes.iter().all(|&s: &i32| (s - 1000).abs() < 137),
            "{sizes:?}"
        );
    }

    #[test]
    fn the_share_of_a_name_is_the_one_that_anybody_can_work_out() {
        // sha256sum (coreutils) of "lot-1.svg" begins 6f5b8e79baf66bdb, which is 3 modulo 5: the fourth share.
        let takers: Vec<u64> = (1..=5)
            .filter(|i| {
                format!("{i}/5")
                    .parse::<Shard>()
                    .unwrap()
                    .takes("lot-1.svg")
            })
            .collect();
        assert_eq!(takers, [4]);
    }
}
