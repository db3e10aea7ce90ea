//! Seals and layout files: what is written reads back, and a changed line is found.

use halfgreen::area::rectangle;
use halfgreen::design::kinds::Paired;
use halfgreen::design::{
    Difference, Occasion, Protocol, Role, Seal, lay_out, read_layout, seal, verify, write_layout,
};

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
            .any(|d| d.sentence.starts_with("Plot 4: the seed gives")),
        "{differs:?}"
    );

    let mut rewritten = plan;
    rewritten.decision.alpha = 0.10;
    let differs = verify(&back, &rewritten, &outline, &read).unwrap();
    let said = "The protocol is not the one sealed: [decision] alpha was 0.05 and is now 0.1, which touches the verdict.";
    assert_eq!(sentences(&differs), [said]);
    let mut forged = back;
    forged.protocol_digest = said.to_owned();
    assert!(verify(&forged, &rewritten, &outline, &read).unwrap().len() == 2);
}

fn sentences(differs: &[Difference]) -> Vec<String> {
    differs.iter().map(ToString::to_string).collect()
}

/// Every changed line is named, with whether the verdict could be another because of it.
#[test]
fn a_changed_line_is_named_and_whether_it_touches_the_verdict() {
    let plan = protocol(&Paired, &["open", "sheet"], 6);
    let outline = green(&rectangle(25.0, 23.0));
    let laid = lay_out(&plan, &outline, 2026).unwrap();
    let mut sealed = seal(&plan, &outline, &laid, "2026-09-14T05:40Z", None).unwrap();
    let differs = |sealed: &Seal, change: fn(&mut Protocol)| {
        let mut changed = plan.clone();
        change(&mut changed);
        verify(sealed, &changed, &outline, &laid.layout).unwrap()
    };
    let occasion = |role| Occasion {
        name: "spring".to_owned(),
        role,
        date: None,
    };
    let one = |differs: &[Difference], line: &str, touches: bool| {
        assert_eq!(differs.len(), 1, "{differs:?}");
        assert!(differs[0].sentence.contains(line), "{differs:?}");
        assert_eq!(differs[0].touches_the_verdict, touches, "{differs:?}");
    };
    let worth = differs(&sealed, |p| p.decision.worthwhile_percent = 30.0);
    one(
        &worth,
        "[decision] worthwhile_reduction_percent (or _increase_) was 50.0 and is now 30.0",
        true,
    );
    let title = differs(&sealed, |p| p.trial.title = "Another".to_owned());
    one(
        &title,
        "[trial] title was \"Sheets on the ninth\" and is now \"Another\"",
        false,
    );
    let threshold = differs(&sealed, |p| p.decision.threshold_per_m2 = Some(80.0));
    one(
        &threshold,
        "[decision] threshold_per_m2 was not there and is now 80.0",
        false,
    );
    let later = |p: &mut Protocol, role| p.occasions.push(occasion(role));
    let mut changed = plan.clone();
    later(&mut changed, Role::FollowUp);
    let added = verify(&sealed, &changed, &outline, &laid.layout).unwrap();
    one(
        &added,
        "[[occasion]] \"spring\" was added, which does not touch the verdict",
        false,
    );
    let mut changed = plan.clone();
    later(&mut changed, Role::Before);
    let added = verify(&sealed, &changed, &outline, &laid.layout).unwrap();
    one(
        &added,
        "[[occasion]] \"spring\" was added, which touches the verdict",
        true,
    );
    // Seals of earlier releases hold no copy.
    sealed.protocol = None;
    let unknown = differs(&sealed, |p| p.decision.alpha = 0.1);
    one(&unknown, "nobody can say which line", true);
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
        sentences(&verify(&forged, &plan, &outline, &laid.layout).unwrap())
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
            .any(|d| d.sentence.contains("cannot be laid out again")),
        "{too_large:?}"
    );
}
