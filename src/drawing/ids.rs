//! The ids by which an element of the file is found again in what the resolver makes of it.

use std::collections::HashMap;
use std::collections::hash_map::Entry;

use usvg::roxmltree::Document;

/// Elements by id: by their own, or by one that is made of their number, which no own id can be taken for.
#[derive(Debug, Default)]
pub(super) struct Ids {
    prefix: String,
    own: HashMap<String, usize>,
}

impl Ids {
    pub(super) fn of(document: &Document<'_>) -> Self {
        let mut prefix = "ew.".to_string();
        let taken: Vec<&str> = document
            .descendants()
            .filter_map(|n| n.attribute("id"))
            .filter(|id| id.starts_with(&prefix))
            .collect();
        while taken.iter().any(|id| id.starts_with(&prefix)) {
            prefix.push('.');
        }
        Self {
            prefix,
            own: HashMap::new(),
        }
    }

    /// Gives an element its own id; `false` where another one has it already, or it is empty.
    pub(super) fn keep(&mut self, id: &str, element: usize) -> bool {
        match self.own.entry(id.to_string()) {
            Entry::Vacant(free) if !id.is_empty() => {
                free.insert(element);
                true
            }
            _ => false,
        }
    }

    /// The id made for an element.
    pub(super) fn made(&self, element: usize) -> String {
        format!("{}{element}", self.prefix)
    }

    pub(super) fn element(&self, id: &str) -> Option<usize> {
        match id.strip_prefix(&self.prefix) {
            Some(number) => number.parse().ok(),
            None => self.own.get(id).copied(),
        }
    }
}
