//! What is told of areas that were not compared.

use crate::Finding;
use crate::Place;
use crate::drawing::{AreaTopic, Mistyped};
use crate::finding::excerpt;

/// An area among words or numbers that cannot be read.
pub(super) fn unread(text: &Mistyped) -> Finding {
    Finding::warning(
        "stated-area-unread",
        format!(
            "The text “{}” speaks of an area and cannot be read as one: it was not compared.",
            excerpt(&text.text)
        ),
    )
    .remedy(
        "Write one number with its unit (`roof area 1,073 sq ft`; thousands have commas, decimals a point), or give the figure \
         in a list with --against.",
    )
    .place(Place::on(&text.source, text.at))
}

/// A number that stands at the head of an area and has no unit.
pub(super) fn without_unit(figure: &str, head: &str, place: Place) -> Finding {
    Finding::warning(
        "stated-area-unread",
        format!(
            "The number “{}” stands at “{}” and has no unit: it was not compared.",
            excerpt(figure),
            excerpt(head)
        ),
    )
    .remedy(
        "Write its unit behind it (`1,073 sq ft`), or give the figure in a list with --against.",
    )
    .place(place)
}

/// An area that stands at no face and does not say that it is the roof's.
pub(super) fn nobodys(text: &str, part: Option<&str>, place: Place) -> Finding {
    let says = match part {
        Some(part) => format!("says that it is a part's ({part})"),
        None => "does not say that it is the whole roof's".to_owned(),
    };
    of_nothing(
        text,
        &format!("stands neither in nor beside a face, and {says}"),
        place,
    )
    .remedy("Move it into its face, or write `roof area` before it.")
}

/// A total beneath the words of another area.
pub(super) fn of_another(text: &str, topic: &AreaTopic, place: Place) -> Finding {
    let says = format!(
        "stands beneath “{}” and does not say that it is the roof's",
        excerpt(&topic.text)
    );
    of_nothing(text, &says, place).remedy("If it is the roof's, write `total roof area` before it.")
}

/// A total beneath a row of the roof's that is the whole roof's by itself.
pub(super) fn of_more(text: &str, row: &AreaTopic, place: Place) -> Finding {
    let says = format!(
        "stands beneath “{}”, which is all of the roof, and does not say that it is the roof's",
        excerpt(&row.text)
    );
    of_nothing(text, &says, place).remedy("If it is the roof's, write `total roof area` before it.")
}

/// An area in a face beneath words that name none. `face`: its name with its area.
pub(super) fn of_what_lies_beneath(text: &str, words: &str, face: &str, place: Place) -> Finding {
    let says = format!(
        "stands beneath “{}”, which names no roof, and is not that of {face} in which it stands",
        excerpt(words)
    );
    of_nothing(text, &says, place)
        .remedy("If it is the face's, write `roof` or the face's mark (`S1`) over it.")
}

/// An area of a part of the building that stands in a face which is not all of the part. `face`: its name with its area.
pub(super) fn of_part(text: &str, part: Option<&str>, face: &str, place: Place) -> Finding {
    let says = format!(
        "says that it is a part's ({}), and is not that of {face} in or beside which it stands; which other faces are the \
         part's is not known",
        part.unwrap_or_default()
    );
    of_nothing(text, &says, place).remedy(
        "Give the area of each face of that part, in the faces or in a list with --against.",
    )
}

/// An area that has the name of a part of the building and says nothing of its roof. `face`: as above.
pub(super) fn of_a_room(text: &str, part: Option<&str>, face: &str, place: Place) -> Finding {
    let part = part.unwrap_or_default();
    let says = format!(
        "has the name of a room or a floor ({part}) and no word for a roof, and is not the area on the slope of {face} in or beside \
         which it stands"
    );
    of_nothing(text, &says, place).remedy(format!(
        "If it is the roof's, write `{part} roof` before it."
    ))
}

/// An area of a share of the roof (`MAIN ROOF`) that may be one of several and is the area of none.
pub(super) fn of_share(text: &str, place: Place) -> Finding {
    of_nothing(
        text,
        "names the main, sloped or shingled roof or several parts of it, which may be more or fewer faces here, and is the area of \
         none of these",
        place,
    )
    .remedy(
        "If it is the whole roof's, write `total roof area` before it; else give the area of each face, in the faces or in a list with \
         --against.",
    )
}

fn of_nothing(text: &str, says: &str, place: Place) -> Finding {
    Finding::warning(
        "stated-area-of-nothing",
        format!(
            "The stated area “{}” {says}: it was not compared.",
            excerpt(text)
        ),
    )
    .place(place)
}
