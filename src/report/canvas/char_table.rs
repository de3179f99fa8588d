//! Something for every character of a typeface, found without searching for the characters that nearly all text is of.

use std::collections::BTreeMap;

/// Characters below this are looked up by place: ASCII and Latin-1.
const LOW: usize = 0x100;

/// A table by character.
#[derive(Clone, Debug)]
pub(crate) struct CharTable<T> {
    low: Vec<Option<T>>,
    rest: BTreeMap<char, T>,
}

impl<T: Copy> CharTable<T> {
    pub(crate) fn new() -> Self {
        Self {
            low: vec![None; LOW],
            rest: BTreeMap::new(),
        }
    }
    pub(crate) fn insert(&mut self, c: char, value: T) {
        match self.low.get_mut(c as usize) {
            Some(place) => *place = Some(value),
            None => {
                self.rest.insert(c, value);
            }
        }
    }
    pub(crate) fn get(&self, c: char) -> Option<T> {
        match self.low.get(c as usize) {
            Some(&value) => value,
            None => self.rest.get(&c).copied(),
        }
    }
}
