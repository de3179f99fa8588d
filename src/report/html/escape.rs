//! Text from outside made safe to stand in the page. Names come out of drawings that anybody may have made.

/// Text for an element or a quoted attribute.
pub(super) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if is_unsafe(c) => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}

/// JSON text for a data block: no `<` is left that could end the block or open a comment.
pub(super) fn escape_json(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    for c in json.chars() {
        match c {
            '<' => out.push_str("\\u003c"),
            '>' => out.push_str("\\u003e"),
            '&' => out.push_str("\\u0026"),
            c if is_unsafe(c) => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}

/// Characters that no page may hold, and marks that turn the reading direction, by which a name could change how the
/// text after it reads.
fn is_unsafe(c: char) -> bool {
    matches!(c,
        '\0'..='\u{8}' | '\u{B}' | '\u{C}' | '\u{E}'..='\u{1F}' | '\u{7F}'..='\u{9F}'
        | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}'
        | '\u{FFFE}' | '\u{FFFF}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_cannot_open_an_element_or_leave_an_attribute() {
        assert_eq!(
            escape("<b onclick=\"x('&')\">"),
            "&lt;b onclick=&quot;x(&#39;&amp;&#39;)&quot;&gt;"
        );
    }

    #[test]
    fn a_name_cannot_turn_the_reading_direction() {
        assert_eq!(escape("a\u{202E}b\0c"), "a\u{FFFD}b\u{FFFD}c");
    }

    #[test]
    fn a_name_cannot_end_the_data_block() {
        assert_eq!(
            escape_json("\"</script><!--\""),
            "\"\\u003c/script\\u003e\\u003c!--\""
        );
    }
}
