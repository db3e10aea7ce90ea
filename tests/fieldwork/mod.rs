//! What goes out to the green: pegs, pages to print, tables to fill in.

mod pack;
mod pegging;
mod positions;
mod safe_names;
mod tables;

use crate::scratch::{PROTOCOL, Scratch};

/// A green with a hole, a zone and room for the plots of [`PROTOCOL`].
pub(crate) const GREEN: &str = "x_m,y_m,part\n0,0,\n30,0,\n30,20,\n0,20,\n24,15,hole cup\n25,15,hole cup\n25,16,hole cup\n\
                                24,16,hole cup\n-1,-1,zone wet\n14,-1,zone wet\n14,21,zone wet\n-1,21,zone wet\n";

/// A trial that is laid out and sealed.
fn laid_out(protocol: &str, outline: &str) -> Scratch {
    let scratch = Scratch::empty();
    scratch.put("trial.toml", protocol);
    scratch.put("outline.csv", outline);
    let run = scratch.run(&["layout", ".", "--seed", "4"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    scratch
}

/// The same with its pack.
fn packed(protocol: &str, outline: &str) -> Scratch {
    let scratch = laid_out(protocol, outline);
    let run = scratch.run(&["pack", "."]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    scratch
}

/// The trial of the untidy sheets with cores of 10 cm, its methods named as no other word of a page is.
fn plain() -> String {
    PROTOCOL
        .replace("area_m2 = 0.01", "core_diameter_mm = 100")
        .replace("\"uncovered\"", "\"quagga\"")
        .replace("\"covered\"", "\"zebra\"")
}

/// Whether a file has an ending.
fn ends(name: &str, ending: &str) -> bool {
    name.rsplit('.').next() == Some(ending)
}
