//! Pages and figures, and the demonstration that makes them.

mod club;
mod demo;
mod forms;
pub(crate) mod markup;
pub(crate) mod numbers;
pub(crate) mod told_apart;
mod trials;

#[test]
#[ignore = "writes the invented club's counts anew; run by hand after its truth has changed"]
#[expect(clippy::disallowed_methods, reason = "it puts an example in place")]
fn write_the_clubs_counts() {
    let folder =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-examples/demo-club");
    std::fs::write(folder.join("counts.csv"), club::counts()).unwrap();
    let layout = halfgreen::design::write_layout(&club::layout()).unwrap();
    std::fs::write(folder.join("layout.csv"), layout).unwrap();
}
