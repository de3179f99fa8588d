//! Whether a mere `TOTAL` is the roof's, by the table in which it stands.

use super::not_compared;
use super::tables::{Tables, View};
use crate::drawing::AreaTopic;
use crate::drawing::text::AreaText;
use crate::{Finding, Place};

/// What is told of a mere total that is another's; `None` for the roof's. `is_roofs`: whether an area is that of the whole roof.
///
/// The nearest words above it say of what the table is. Where they are a row of the roof with an area of its own, the total may
/// be one of that and more: it is the roof's where it is as large, or where every row up to the head of the table is of roofs
/// and none of them is all of the roof.
pub(super) fn of_another(
    read: &AreaText,
    text: &str,
    views: &[View],
    tables: &Tables<'_>,
    is_roofs: impl Fn(&AreaText) -> bool,
    place: &Place,
) -> Option<Finding> {
    let topics = tables.topics(views);
    let nearest = *topics.first()?;
    let height_ft = views.last()?.height_ft;
    let is_row = |topic: &&AreaTopic| tables.is_row(topic, height_ft);
    let another = |topic: &AreaTopic| not_compared::of_another(text, topic, place.clone());
    if !nearest.of_roof {
        return Some(another(nearest));
    }
    if !is_row(&nearest) || is_roofs(read) {
        return None;
    }
    let head = topics.iter().position(|topic| !is_row(topic));
    let table = topics.get(..=head.unwrap_or(topics.len() - 1))?;
    if let Some(topic) = table.iter().find(|topic| !topic.of_roof) {
        return Some(another(topic));
    }
    let is_all = |row: &&&AreaTopic| {
        tables
            .area_of_row(row, height_ft)
            .is_some_and(|a| is_roofs(&a))
    };
    let all = table.iter().find(is_all)?;
    Some(not_compared::of_more(text, all, place.clone()))
}
