//! Rolls are cut at the least cost: against an exact solver, published examples, and by what must hold.

use halfgreen::night::rolls::{Cutting, From, Problem, Sale, cut};
use halfgreen_analysis::random::Generator;
use microlp::{ComparisonOp, OptimizationDirection, Problem as Programme, SolveOutcome};

/// The least cost by an integer programme: which strip lies on which roll, and which rolls are opened.
fn least_cost(problem: &Problem) -> f64 {
    let mut rolls: Vec<(u64, f64)> = problem.shed.iter().map(|&l| (l, 0.0)).collect();
    for sale in &problem.sale {
        // No more of a sort than there are strips.
        rolls.extend(
            problem
                .strips
                .iter()
                .map(|_| (sale.length_mm, sale.cost as f64)),
        );
    }
    let mut programme = Programme::new(OptimizationDirection::Minimize);
    let opened: Vec<_> = rolls
        .iter()
        .map(|r| programme.add_binary_var(r.1))
        .collect();
    let lies: Vec<Vec<_>> = problem
        .strips
        .iter()
        .map(|_| {
            rolls
                .iter()
                .map(|_| programme.add_binary_var(0.0))
                .collect()
        })
        .collect();
    for strip in &lies {
        let once: Vec<_> = strip.iter().map(|&v| (v, 1.0)).collect();
        programme.add_constraint(&once, ComparisonOp::Eq, 1.0);
    }
    for (r, &(length, _)) in rolls.iter().enumerate() {
        let mut held: Vec<_> = lies
            .iter()
            .zip(&problem.strips)
            .map(|(strip, &l)| (strip[r], l as f64))
            .collect();
        held.push((opened[r], -(length as f64)));
        programme.add_constraint(&held, ComparisonOp::Le, 0.0);
    }
    match programme.solve().unwrap() {
        SolveOutcome::Solution(found) => found.objective(),
        SolveOutcome::Interrupted(_) => panic!("no limit was set"),
    }
}

/// Every strip is cut once, and no roll beyond its length.
fn sound(problem: &Problem, cutting: &Cutting) {
    let mut met: Vec<usize> = cutting
        .rolls
        .iter()
        .flat_map(|r| r.strips.clone())
        .collect();
    met.sort_unstable();
    assert_eq!(met, (0..problem.strips.len()).collect::<Vec<_>>());
    let mut spent = 0;
    let mut shed: Vec<usize> = Vec::new();
    for roll in &cutting.rolls {
        let length = match roll.from {
            From::Shed(k) => {
                shed.push(k);
                problem.shed[k]
            }
            From::Sale(k) => {
                spent += problem.sale[k].cost;
                problem.sale[k].length_mm
            }
        };
        let used: u64 = roll.strips.iter().map(|&s| problem.strips[s]).sum();
        assert_eq!(used + roll.rest_mm, length);
    }
    let times = shed.len();
    shed.sort_unstable();
    shed.dedup();
    assert_eq!(shed.len(), times, "a roll of the shed is cut twice");
    assert_eq!(spent, cutting.cost);
    assert!(cutting.bound <= cutting.cost);
}

/// Up to five strips, one or two sorts, with or without a roll in the shed.
fn small(random: &mut Generator) -> Problem {
    let strips = 2 + random.below(4);
    let longest = 1_000 + 100 * random.below(40);
    let strip = |random: &mut Generator| 100 + 100 * random.below(longest / 100);
    let strips: Vec<u64> = (0..strips).map(|_| strip(random)).collect();
    let mut sale = vec![Sale {
        length_mm: longest + 100 * random.below(10),
        cost: 10 + random.below(90),
    }];
    if random.below(2) == 0 {
        sale.push(Sale {
            length_mm: 100 + 100 * random.below(longest / 100),
            cost: 5 + random.below(60),
        });
    }
    let shed = match random.below(3) {
        0 => vec![100 + 100 * random.below(longest / 100)],
        _ => Vec::new(),
    };
    Problem { strips, shed, sale }
}

/// microlp 0.7, an exact solver of mixed integer programmes.
#[test]
fn two_hundred_small_cuttings_cost_as_little_as_an_exact_solver_finds() {
    let mut random = Generator::new(16, 0);
    for _ in 0..200 {
        let problem = small(&mut random);
        let cutting = cut(&problem).unwrap();
        sound(&problem, &cutting);
        assert!(cutting.is_proven(), "{problem:?}");
        let least = least_cost(&problem);
        // Costs are whole, and the solver meets its rows to a millionth or so.
        assert!(
            (cutting.cost as f64 - least).abs() < 0.5,
            "{problem:?}: {least}"
        );
    }
}

/// The example of the "Cutting stock problem" in Wikipedia and EPFL Graph Search (concept 826868): 219 rolls of thirteen
/// widths from master rolls of 5600 mm, at least 73 of them, and 73 are enough.
#[test]
fn a_paper_mill_takes_73_rolls() {
    let wanted = [
        (1380, 22),
        (1520, 25),
        (1560, 12),
        (1710, 14),
        (1820, 18),
        (1880, 18),
        (1930, 20),
        (2000, 10),
        (2050, 12),
        (2100, 14),
        (2140, 16),
        (2150, 18),
        (2200, 20),
    ];
    let strips: Vec<u64> = wanted
        .iter()
        .flat_map(|&(length, times)| std::iter::repeat_n(length, times))
        .collect();
    let problem = Problem {
        strips,
        shed: Vec::new(),
        sale: vec![Sale {
            length_mm: 5600,
            cost: 1,
        }],
    };
    let cutting = cut(&problem).unwrap();
    sound(&problem, &cutting);
    assert_eq!((cutting.cost, cutting.bound), (73, 73));
}

/// Objects of 2, 4, 3, 6, 5 and 1 in bins of 7 take three (*Optimization Algorithms*, Manning, section 2.3).
#[test]
fn six_objects_fill_three_bins() {
    let problem = Problem {
        strips: vec![2, 4, 3, 6, 5, 1],
        shed: Vec::new(),
        sale: vec![Sale {
            length_mm: 7,
            cost: 1,
        }],
    };
    let cutting = cut(&problem).unwrap();
    assert_eq!((cutting.cost, cutting.bound), (3, 3));
    assert!(cutting.rolls.iter().all(|r| r.rest_mm == 0));
}

/// Nights of up to 40 strips from one sort of roll are all proven.
#[test]
fn up_to_forty_strips_of_one_sort_are_proven() {
    let mut random = Generator::new(17, 0);
    for _ in 0..300 {
        let roll = 100 * (60 + random.below(440));
        let longest = roll / 100;
        let strips = 1 + random.below(40);
        let strip = |random: &mut Generator| 100 * (1 + random.below(longest));
        let problem = Problem {
            strips: (0..strips).map(|_| strip(&mut random)).collect(),
            shed: Vec::new(),
            sale: vec![Sale {
                length_mm: roll,
                cost: 7900,
            }],
        };
        let cutting = cut(&problem).unwrap();
        sound(&problem, &cutting);
        assert!(cutting.is_proven(), "{problem:?}");
    }
}

#[test]
fn what_cannot_be_cut_is_refused() {
    let sale = vec![Sale {
        length_mm: 5_000,
        cost: 1,
    }];
    let problem = |strips: Vec<u64>, sale: Vec<Sale>| Problem {
        strips,
        shed: vec![9_000],
        sale,
    };
    let error = cut(&problem(vec![5_100], sale.clone())).unwrap_err();
    assert!(
        error.what.contains("5.1 m is longer than the longest roll"),
        "{error}"
    );
    assert!(cut(&problem(vec![0], sale.clone())).is_err());
    assert!(cut(&problem(vec![1], Vec::new())).is_err());
    let dear = vec![Sale {
        length_mm: 5_000,
        cost: u64::MAX,
    }];
    assert!(cut(&problem(vec![1], dear)).is_err());
    assert_eq!(cut(&problem(Vec::new(), sale)).unwrap().cost, 0);
}
