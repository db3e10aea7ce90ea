//! Pictures for names of any length: nothing is cut off at the edge, nothing lies on anything else.

mod lettering;

pub(crate) use lettering::lettering_is_inside;

/// The lines that are read here are those that were drawn: a line beyond the edge is found.
#[test]
#[should_panic(expected = "beyond the edge")]
fn a_line_beyond_the_edge_is_found() {
    let svg = "<svg viewBox=\"0 0 100 20\"><g transform=\"translate(60 0)\">\
               <text x=\"0\" y=\"12\" font-size=\"10\">beyond the edge</text></g></svg>";
    lettering_is_inside("test", svg);
}
