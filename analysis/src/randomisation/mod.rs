//! Tests justified by the draw of the layout alone.
