//! What every page and figure must keep.

use quick_xml::Reader;
use quick_xml::events::Event;

use crate::drawing::lettering_is_inside;

/// Whether a text is well-formed XML: every element closed, in order.
pub(crate) fn well_formed(name: &str, text: &str) {
    let mut reader = Reader::from_str(text);
    let mut depth = 0_i32;
    loop {
        let event = reader.read_event();
        assert!(
            event.is_ok(),
            "{name} at byte {}: {event:?}",
            reader.error_position()
        );
        match event.unwrap() {
            Event::Start(_) => depth += 1,
            Event::End(_) => depth -= 1,
            Event::Eof => break,
            _ => {}
        }
    }
    assert_eq!(depth, 0, "{name}");
}

/// A page: well-formed once its void elements are closed, in British English, one file.
pub(crate) fn page(name: &str, html: &str) {
    let body = html.strip_prefix("<!DOCTYPE html>").unwrap();
    let closed: Vec<String> = body
        .split("<meta ")
        .enumerate()
        .map(|(i, part)| match part.split_once('>') {
            Some((tag, rest)) if i > 0 => format!("{tag}/>{rest}"),
            _ => part.to_owned(),
        })
        .collect();
    well_formed(name, &closed.join("<meta "));
    assert!(html.contains("lang=\"en-GB\""), "{name}");
    no_network(name, html);
    assert!(!html.contains("NaN") && !html.contains("inf "), "{name}");
    let ids: Vec<&str> = html
        .split(" id=\"")
        .skip(1)
        .filter_map(|p| p.split('"').next())
        .collect();
    let mut once = ids.clone();
    once.sort_unstable();
    once.dedup();
    assert_eq!(once.len(), ids.len(), "{name}: an id stands twice");
}

/// No reference leaves the file; namespaces are names, not references.
pub(crate) fn no_network(name: &str, text: &str) {
    let rest = text.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
    for sign in [
        "http:", "https:", "//", "<script", "<link", "@import", "url(h",
    ] {
        assert!(!rest.contains(sign), "{name} holds {sign}");
    }
}

/// A figure: well-formed, a picture to a screen reader, with a title and a description.
pub(crate) fn figure(name: &str, svg: &str) {
    well_formed(name, svg);
    no_network(name, svg);
    lettering_is_inside(name, svg);
    assert!(svg.contains("role=\"img\""), "{name}");
    for part in ["title", "desc"] {
        let text = svg.split(&format!("<{part}")).nth(1).unwrap_or_default();
        let text = text.split_once('>').map_or("", |(_, rest)| rest);
        let text = text.split('<').next().unwrap_or_default();
        assert!(text.len() > 10, "{name} has no {part}");
    }
}
