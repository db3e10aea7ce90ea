//! Files are written whole, all together, and never over counts.

mod kills;
mod owned;
mod races;

use halfgreen::store::{Disk, NewFile, Replace, TrialFolder, read_text, write_all};

use crate::scratch::{LAYOUT, Scratch};

fn file(scratch: &Scratch, name: &str, text: &str, replace: Replace) -> NewFile {
    NewFile {
        replace,
        ..NewFile::own("grid", scratch.path(""), name, text.to_owned())
    }
}

#[test]
fn one_refused_file_keeps_all_from_being_written() {
    let scratch = Scratch::empty();
    scratch.put("b.csv", "old");
    let files = [
        file(&scratch, "a.csv", "new", Replace::Never),
        file(&scratch, "b.csv", "new", Replace::Never),
    ];
    assert!(write_all(&files).is_err());
    assert_eq!(scratch.names(), ["b.csv"]);
    assert_eq!(read_text(&scratch.path("b.csv")).unwrap(), "old");
}

#[test]
fn a_folder_in_the_way_leaves_no_part_behind() {
    let scratch = Scratch::empty();
    scratch.put("b", "a file where a folder should be");
    let files = [
        file(&scratch, "a.csv", "new", Replace::Never),
        file(&scratch, "b/c.csv", "new", Replace::Never),
    ];
    assert!(write_all(&files).is_err());
    assert_eq!(scratch.names(), ["b"]);
}

#[test]
fn counts_are_never_overwritten_even_when_asked() {
    let scratch = Scratch::trial("plot,count\n1,2\n");
    let error = write_all(&[file(&scratch, "counts.csv", "", Replace::Own)]).unwrap_err();
    assert!(error.cure.contains("never overwritten"), "{error}");
    assert_eq!(
        read_text(&scratch.path("counts.csv")).unwrap(),
        "plot,count\n1,2\n"
    );
}

#[test]
fn a_sealed_layout_is_replaced_only_on_request_and_kept() {
    let scratch = Scratch::trial("");
    scratch.put("seal.toml", "seed = 1\n");
    let (disk, path) = (Disk::default(), scratch.path(""));
    let folder = TrialFolder::open(&disk, &path).unwrap();
    let lay = |text: &str, replace| {
        folder.sealed_layout(text.to_owned(), "seed = 2\n".to_owned(), replace)
    };
    let refused = lay("second", false).unwrap_err();
    assert!(refused.cure.contains("--replace"), "{refused}");
    assert!(refused.what.contains("sealed already"), "{refused}");
    write_all(&lay("second", true).unwrap()).unwrap();
    write_all(&lay("third", true).unwrap()).unwrap();
    let text = |name: &str| read_text(&scratch.path(name)).unwrap();
    assert_eq!(text("layout-1.csv"), LAYOUT);
    assert_eq!(text("seal-1.toml"), "seed = 1\n");
    assert_eq!(
        (text("layout-2.csv").as_str(), text("layout.csv").as_str()),
        ("second", "third")
    );
}

#[test]
fn two_outlines_are_one_too_many() {
    let scratch = Scratch::trial("");
    let (disk, path) = (Disk::default(), scratch.path(""));
    let folder = TrialFolder::open(&disk, &path).unwrap();
    assert!(folder.outline().unwrap_err().what.contains("neither"));
    scratch.put("outline.geojson", "{}");
    assert_eq!(
        folder.outline().unwrap(),
        ("outline.geojson", "{}".to_owned())
    );
    scratch.put("outline.csv", "x_m,y_m\n");
    assert!(folder.outline().unwrap_err().what.contains("two outlines"));
}

#[test]
fn a_text_that_is_not_utf8_is_refused_with_its_byte() {
    let scratch = Scratch::empty();
    scratch.put("a.csv", b"plot\nb\xe9te\n");
    let error = read_text(&scratch.path("a.csv")).unwrap_err();
    assert!(error.place.ends_with("a.csv:2:2"), "{error}");
    assert!(error.what.contains("byte 7"), "{error}");
    scratch.put("b.csv", b"PK\x03\x04\xff");
    assert!(
        read_text(&scratch.path("b.csv"))
            .unwrap_err()
            .cure
            .contains("workbook")
    );
    scratch.put("c.csv", "\u{feff}plot");
    assert_eq!(read_text(&scratch.path("c.csv")).unwrap(), "plot");
}

#[test]
fn only_an_earlier_writing_of_ours_is_replaced() {
    let scratch = Scratch::empty();
    let table = "block,y\n1,3\n1,0\n2,5\n2,1\n";
    scratch.put("y.csv", table);
    let draw =
        |figure: &str| scratch.run(&["describe", "y.csv", "--count", "y", "--figure", figure]);
    let over_input = draw("y.csv");
    assert_eq!(over_input.code(), Some(1));
    assert!(over_input.err().contains("y.csv"), "{}", over_input.err());
    assert_eq!(scratch.read("y.csv"), table);
    scratch.put("club.svg", "<svg>the club's own map</svg>\n");
    assert_eq!(draw("club.svg").code(), Some(1));
    assert_eq!(scratch.read("club.svg"), "<svg>the club's own map</svg>\n");
    assert_eq!(draw("bars.svg").code(), Some(0));
    assert_eq!(
        draw("bars.svg").code(),
        Some(0),
        "its own picture is drawn anew"
    );
}

#[test]
fn a_grid_spares_foreign_points_and_its_own_outline() {
    let scratch = Scratch::empty();
    scratch.put("edge.csv", "x_m,y_m\n0,0\n20,0\n20,10\n0,10\n");
    let foreign = "id,x_m,y_m,wetness\n1,2,3,dry\n";
    scratch.put("points.csv", foreign);
    let grid = |outline: &str, out: &str| {
        scratch.run(&[
            "grid", outline, "--points", "5", "--seed", "1", "--out", out,
        ])
    };
    let refused = grid("edge.csv", ".");
    assert_eq!(refused.code(), Some(1));
    assert!(refused.err().contains("points.csv"), "{}", refused.err());
    assert_eq!(scratch.read("points.csv"), foreign);
    assert_eq!(scratch.names(), ["edge.csv", "points.csv"]);
    assert_eq!(grid("edge.csv", "out").code(), Some(0));
    let more = scratch.run(&[
        "grid", "edge.csv", "--points", "9", "--seed", "1", "--out", "out",
    ]);
    assert_eq!(more.code(), Some(0), "{}", more.err());
    let kept = scratch.read("out/points.csv");
    assert_eq!(grid("out/points.csv", "out").code(), Some(1));
    assert_eq!(scratch.read("out/points.csv"), kept);
}

#[test]
fn a_report_and_its_results_that_are_not_ours_are_spared() {
    let scratch = Scratch::club();
    scratch.put("club/report/results.json", "{\"mine\": 1}");
    let judged = scratch.run(&["judge", "club"]);
    assert_eq!(judged.code(), Some(0));
    assert!(
        judged
            .err()
            .contains("nothing is kept in club/report/results.json"),
        "{}",
        judged.err()
    );
    assert_eq!(scratch.run(&["report", "club"]).code(), Some(1));
    assert_eq!(scratch.read("club/report/results.json"), "{\"mine\": 1}");
}
