//! A large drawing is resolved in two halves, by two threads: nobody can tell from what is read.

use std::fmt::Write as _;

use eavewright::drawing::{Drawing, ReadOptions};

/// Groups in groups, clip paths, styles by class, letters, pens and layers, in whatever order.
fn body(count: usize) -> String {
    let mut body = String::from(
        r##"<defs><style>.r{fill:none;stroke:#a00}.t{font-size:4px}</style><clipPath id="c"><rect width="900" height="700"/></clipPath>
<linearGradient id="g" gradientUnits="userSpaceOnUse" x2="9"><stop stop-color="#0a0"/><stop offset="1" stop-color="#00a"/></linearGradient>
<path id="mark" d="M0 0l3 1 2 4z"/></defs>
<g id="scale"><line x1="10" y1="790" x2="50" y2="790" stroke="#000"/><text x="22" y="789" font-size="4">20'-0"</text></g>
<g transform="translate(3 4) scale(.98)" clip-path="url(#c)" opacity=".9"><g id="roof" class="r" stroke-width="2">"##,
    );
    for i in 0..count {
        let (x, y) = (i * 37 % 911, i * 53 % 709);
        let _ = match i % 6 {
            0 => write!(body, "<path d=\"M{x} {y}l30 5 3 70\"/>"),
            1 => write!(
                body,
                "<g id=\"part {i}\"><rect x=\"{x}\" y=\"{y}\" width=\"12\" height=\"9\" rx=\"2\"/></g>"
            ),
            2 => write!(
                body,
                "<text class=\"t\" x=\"{x}\" y=\"{y}\" fill=\"#000\" stroke=\"none\">{}/12</text>",
                i % 12
            ),
            3 => write!(
                body,
                "<use href=\"#mark\" x=\"{x}\" y=\"{y}\" fill=\"#000\"/>"
            ),
            4 => write!(
                body,
                "<line x1=\"{x}\" y1=\"{y}\" x2=\"{y}\" y2=\"{x}\" stroke=\"url(#g)\"/>"
            ),
            _ => write!(
                body,
                "<g transform=\"rotate(3)\"><polygon points=\"{x},{y} {y},{x} 9,9\" style=\"stroke-dasharray:3 2\"/></g>"
            ),
        };
    }
    body + "</g></g>"
}

fn read(body: &str) -> Drawing {
    let text =
        format!(r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1000 800">{body}</svg>"##);
    Drawing::read(text.as_bytes(), &ReadOptions::default()).unwrap()
}

#[test]
fn a_large_drawing_read_in_two_halves_is_what_it_is_read_whole() {
    let body = body(5000);
    let halves = read(&body);
    // The word keeps the drawing whole, since clip paths in shares of a group ask for the whole group.
    let whole = read(&format!("{body}<!-- objectBoundingBox -->"));
    assert!(body.len() > 300_000 && halves.strokes.len() > 3000 && halves.labels.len() > 500);
    assert_eq!(format!("{halves:?}"), format!("{whole:?}"));
}
