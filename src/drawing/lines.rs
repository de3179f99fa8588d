//! Line and column of a place in a text.

/// Where the lines of a text begin.
#[derive(Clone, Debug)]
pub(super) struct LineIndex {
    starts: Vec<usize>,
}

impl LineIndex {
    pub(super) fn new(text: &str) -> Self {
        let after = text.match_indices('\n').map(|(i, _)| i + 1);
        Self {
            starts: std::iter::once(0).chain(after).collect(),
        }
    }

    /// Line and column of a byte, both from 1, the column in characters.
    pub(super) fn place(&self, text: &str, byte: usize) -> (u32, u32) {
        let line = self.starts.partition_point(|&start| start <= byte);
        let start = self.starts[line.saturating_sub(1)];
        // A file on a single line of many megabytes is not counted through for every element.
        const COUNTED: usize = 4096;
        let column = if byte - start > COUNTED {
            byte - start
        } else {
            text.get(start..byte).map_or(0, |t| t.chars().count())
        };
        (line as u32, column as u32 + 1)
    }
}
