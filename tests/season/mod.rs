//! A season planned: the plan against an exact solver, money against hand calculations, files as their users write them.

mod best_plan;
mod money;
mod refusals;
mod whole;

/// A season of three greens with typed ratios; every number is chosen for sums by head.
pub(crate) const SEASON: &str = r#"[season]
title = "Three greens"
currency = "GBP"

[effect]
ratio = 0.4
low = 0.25
high = 0.64
nights = 1

[[method]]
name = "raking"
ratio = 0.8
low = 0.6
high = 1.1
cost_per_m2 = 0.1
hours_per_100_m2 = 0.5

[sheet]
owned_m2 = 600
extra_percent = 20
price_per_m2 = 1.0
life_nights = 50

[nights]
number = 2
people = 2
hours = 4

[work]
m2_per_person_hour = 100

[cost]
person_hour = 20

[worth]
per_1000_larvae = 5

[[green]]
name = "long green"
area_m2 = 500
per_m2 = 100
low = 60
high = 180

[[green]]
name = "far green"
area_m2 = 400
per_m2 = 50
low = 30
high = 90

[[green]]
name = "home green"
area_m2 = 500
per_m2 = 20
low = 8
high = 60
"#;
