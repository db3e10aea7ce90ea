//! Seals and layout files: what is written reads back, and a changed line is found.

use halfgreen::area::rectangle;
use halfgreen::design::kinds::Paired;
use halfgreen::design::{Seal, lay_out, read_layout, seal, verify, write_layout};

use super::trial::{green, protocol};

#[test]
fn a_layout_reads_back_and_a_changed_plot_is_found() {
    let plan = protocol(&Paired, &["open", "sheet"], 6);
    let outline = green(&rectangle(25.0, 23.0));
    let laid = lay_out(&plan, &outline, 2026).unwrap();
    let text = write_layout(&laid.layout).unwrap();
    assert!(
        text.starts_with(
            "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n1,1,,,"
        )
    );
    let read = read_layout("layout.csv", &text, &[]).unwrap();
    assert_eq!(read, laid.layout);

    let sealed = seal(&plan, &outline, &laid, "2026-09-14T05:40+01:00", None).unwrap();
    let back = Seal::from_toml("seal.toml", &sealed.to_toml().unwrap()).unwrap();
    assert_eq!(back, sealed);
    assert!(verify(&back, &plan, &outline, &read).unwrap().is_empty());

    let mut changed = read.clone();
    let other = if changed.plots[3].treatment == "open" {
        "sheet"
    } else {
        "open"
    };
    changed.plots[3].treatment = other.into();
    let differs = verify(&back, &plan, &outline, &changed).unwrap();
    assert!(
        differs
            .iter()
            .any(|d| d.starts_with("Plot 4: the seed gives")),
        "{differs:?}"
    );

    let mut rewritten = plan;
    rewritten.decision.alpha = 0.10;
    let differs = verify(&back, &rewritten, &outline, &read).unwrap();
    assert_eq!(differs, ["The protocol is not the one sealed."]);
    let mut forged = back;
    forged.protocol_digest = differs[0].clone();
    assert!(verify(&forged, &rewritten, &outline, &read).unwrap().len() == 2);
}

#[test]
fn faults_in_a_layout_name_line_and_column() {
    let head = "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg\n";
    let fault = |body: &str| {
        let text = format!("{head}{body}");
        read_layout("layout.csv", &text, &[])
            .unwrap_err()
            .to_string()
    };
    assert!(fault("1,1,,,open,1,x,3,3,0\n").starts_with("layout.csv:2:7: `x` is not a number"));
    assert!(fault("1,1,,,,1,1,3,3,0\n").starts_with("layout.csv:2:5: `treatment` is empty"));
    let twice = "1,1,,,open,1,1,3,3,0\n1,1,,,open,1,1,3,3,0\n";
    assert!(fault(twice).starts_with("layout.csv:3:1: plot 1 is listed twice"));
    assert!(fault("").contains("no plots"));
}

#[test]
fn all_that_follows_from_the_design_is_worked_out_again() {
    let plan = protocol(&Paired, &["open", "sheet"], 6);
    let outline = green(&rectangle(25.0, 23.0));
    let laid = lay_out(&plan, &outline, 2026).unwrap();
    let sealed = seal(&plan, &outline, &laid, "2026-09-14T05:40Z", None).unwrap();
    assert_eq!(sealed.headline_test, "model");
    let differs = |change: fn(&mut Seal)| {
        let mut forged = sealed.clone();
        change(&mut forged);
        verify(&forged, &plan, &outline, &laid.layout).unwrap()
    };
    assert_eq!(differs(|_| ()), Vec::<String>::new());
    let lead = differs(|s| s.headline_test = "randomisation".to_owned());
    assert!(
        lead.iter().any(|d| d.contains("the design decides")),
        "{lead:?}"
    );
    let p = differs(|s| s.smallest_p = 0.01);
    assert!(p.iter().any(|d| d.contains("smallest p is 0.01")), "{p:?}");
    let itself = "The seal itself was changed after it was written.";
    assert_eq!(
        differs(|s| s.time = "2026-09-01T05:40Z".to_owned()),
        [itself]
    );
    assert_eq!(differs(|s| s.halfgreen = "9".to_owned()), [itself]);
    let next = seal(&plan, &outline, &laid, "2026-09-15T05:40Z", Some(&sealed)).unwrap();
    assert_eq!(next.replaces.as_deref(), Some(sealed.digest.as_str()));
    let mut smaller = plan.clone();
    smaller.plot.length_m = 40.0;
    let too_large = verify(&sealed, &smaller, &outline, &laid.layout).unwrap();
    assert!(
        too_large
            .iter()
            .any(|d| d.contains("cannot be laid out again")),
        "{too_large:?}"
    );
}
