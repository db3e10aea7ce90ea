//! Protocols and greens of our own invention for the checks.

use halfgreen::area::{Outline, Part, Ring, checked};
use halfgreen::design::{
    Arrangement, Better, Decision, Design, DesignKind, Occasion, PlotSize, Protocol, Response,
    Role, Sample, Treatment, TreatmentKind, Trial,
};

/// A protocol with the given kind of design and treatments; the first is the control.
pub(crate) fn protocol(kind: DesignKind, codes: &[&str], blocks: usize) -> Protocol {
    Protocol {
        trial: Trial {
            title: "Sheets on the ninth".into(),
            question: "Do sheets at night lower the larvae left in the cores?".into(),
            site: None,
            date: None,
        },
        treatments: codes
            .iter()
            .enumerate()
            .map(|(i, code)| Treatment {
                code: (*code).into(),
                name: format!("Method {code}"),
                kind: if i == 0 {
                    TreatmentKind::Other
                } else {
                    TreatmentKind::Covering
                },
                control: i == 0,
            })
            .collect(),
        factors: Vec::new(),
        design: Design {
            kind,
            blocks,
            seed: None,
            arrangement: Arrangement::default(),
        },
        plot: PlotSize {
            length_m: 3.0,
            width_m: 3.0,
            guard_m: 0.5,
        },
        response: Response {
            name: "leatherjackets".into(),
            unit: "larvae per core".into(),
            kind: halfgreen::design::ResponseKind::Count,
            better: Better::Fewer,
            cores_per_plot: 4,
            core_area_m2: 0.0085,
            most_per_m2: None,
            stages: Vec::new(),
            sample: Sample::default(),
        },
        occasions: vec![Occasion {
            name: "main".into(),
            role: Role::Main,
            date: None,
        }],
        decision: Decision {
            alpha: 0.05,
            worthwhile_percent: 50.0,
            worthwhile_difference: None,
            threshold_per_m2: None,
            reference: None,
            verdict_about: None,
        },
    }
}

/// An outline from one ring of corners.
pub(crate) fn green(corners: &[[f64; 2]]) -> Outline {
    checked("green", vec![ring(Part::Edge, corners)], None, Vec::new()).unwrap()
}

/// A ring whose places are corner numbers.
pub(crate) fn ring(part: Part, corners: &[[f64; 2]]) -> Ring {
    let mut ring = Ring::new(part);
    for (i, &corner) in corners.iter().enumerate() {
        ring.push(corner, format!("green:corner {}", i + 1));
    }
    ring
}

/// A kidney of about 30 m by 20 m with three zones and a hole.
pub(crate) const KIDNEY: &str = "\
x_m,y_m,part,radius_m
0,9,,
2,4,,
6,1,,
11,0,,
16,2,,
19,5,,
22,6,,
25,4,,
29,4,,
32,7,,
33,12,,
31,17,,
26,21,,
20,22,,
14,21,,
8,19,,
3,15,,
16,18.5,hole cup,0.6
-1,-1,zone wet,
12,-1,zone wet,
12,23,zone wet,
-1,23,zone wet,
12,-1,zone middle,
22,-1,zone middle,
22,23,zone middle,
12,23,zone middle,
22,-1,zone shade,
35,-1,zone shade,
35,23,zone shade,
22,23,zone shade,
";
