//! Numbers of `trial.toml`, section by section.

use super::Limit::Itself;
use super::ranges;

ranges! {
    NIGHT_TEMPERATURE: "[setting]" "night_temperature_c", "air at its coldest in the night", "degrees C", Itself(-40.0), Itself(40.0), 6.0,
        "no turf is counted in colder or hotter nights";
    BLOCKS: "[design]" "blocks", "blocks, pairs, or plots of each treatment", "", Itself(1.0), Itself(500.0), 6.0,
        "no green has room for more";
    GREEN_BLOCKS: "[[green]]" "blocks", "blocks on one green", "", Itself(1.0), Itself(500.0), 6.0,
        "no green has room for more";
    PLOTS: "[design]" "plots", "plots of the trial, all blocks together", "", Itself(2.0), Itself(1000.0), 12.0,
        "one is no comparison, and no crew counts more";
    TREATMENTS: "[[treatment]]" "treatments", "treatments, the control among them", "", Itself(1.0), Itself(40.0), 2.0,
        "no green has room for more in a block";
    SEED: "[design]" "seed", "whole number from which the draw follows", "", Itself(0.0), Itself(9.223_372_036_854_776e18), 20_260_901.0,
        "the file's format holds no larger one";
    ANGLE: "[design]" "angle_deg", "direction of the plots, anticlockwise from east", "degrees", Itself(-360.0), Itself(360.0), 30.0,
        "a circle has no more";
    GRADIENT: "[design]" "gradient_deg", "direction in which the ground changes, anticlockwise from east", "degrees", Itself(-360.0), Itself(360.0), 30.0,
        "a circle has no more";
    CONTROL_PLOTS: "[design]" "control_plots", "plots of the control in each block", "", Itself(1.0), Itself(50.0), 2.0,
        "more of them than of all treatments together teach nothing";
    PLOT_LENGTH: "[plot]" "length_m", "length of a plot", "m", Itself(0.1), Itself(500.0), 4.0,
        "a core needs as much, and no green is longer";
    PLOT_WIDTH: "[plot]" "width_m", "width of a plot", "m", Itself(0.1), Itself(500.0), 2.0,
        "a core needs as much, and no green is wider";
    GUARD: "[plot]" "guard_m", "strip left untouched round a plot", "m", Itself(0.0), Itself(100.0), 0.5,
        "a green that leaves more holds no plot";
    CORES: "[response]" "cores_per_plot", "cores in each plot", "", Itself(1.0), Itself(1000.0), 4.0,
        "no crew takes more";
    LINES: "[response]" "lines", "lines of the field pack: cores, times plots, times occasions", "", Itself(1.0), Itself(20_000.0), 160.0,
        "more than six hundred sheets nobody carries";
    CORE_DIAMETER: "[response]" "core_diameter_mm", "inner diameter of the corer", "mm", Itself(5.0), Itself(2000.0), 108.0,
        "a pencil is thicker, and nobody lifts a larger one";
    CORE_AREA: "[response]" "area_m2", "area of a core or quadrat", "m2", Itself(1e-5), Itself(1e4), 0.1,
        "a pencil is thicker, and a green is smaller";
    MOST_PER_M2: "[response]" "most_per_m2", "animals to the square metre beyond which a count is a slip", "per m2", Itself(0.01), Itself(1e9), 10_000.0,
        "no animal that is counted by eye is smaller";
    ALPHA: "[decision]" "alpha", "accepted chance of a false claim", "", Itself(1e-6), Itself(0.5), 0.05,
        "a coin is right half of the time, and no trial is surer than one in a million";
    // Below 100 besides for a reduction.
    WORTHWHILE: "[decision]" "worthwhile_reduction_percent, worthwhile_increase_percent", "the smallest change worth having", "%", Itself(0.01), Itself(1e6), 50.0,
        "a smaller one nobody sees, and a larger one nothing brings about";
    DIFFERENCE: "[decision]" "worthwhile_difference", "the smallest difference of readings worth having", "unit of the reading", Itself(1e-6), Itself(1e6), 0.5,
        "a smaller one nobody sees, and a larger one nothing brings about";
    THRESHOLD: "[decision]" "threshold_per_m2", "animals above which action pays", "per m2", Itself(0.01), Itself(1e6), 25.0,
        "less is none, and turf holds no more";
    // Below 100 besides where more is better.
    MARGIN: "[decision]" "margin_percent", "how much worse than the reference would still do", "%", Itself(0.01), Itself(1e4), 20.0,
        "no trial tells less apart, and what is a hundred times worse does not do";
    ROLL_LENGTH: "[sheet]" "roll_length_m", "length of a roll", "m", Itself(0.1), Itself(1000.0), 50.0,
        "no sheet is shorter or longer";
    ROLL_WIDTH: "[sheet]" "roll_width_m", "width of a roll", "m", Itself(0.1), Itself(100.0), 2.0,
        "no sheet is narrower or wider";
    LAP: "[sheet]" "lap_m", "overlap of neighbouring strips", "m", Itself(0.0), Itself(100.0), 0.2,
        "no sheet is wider";
    SHEET_EDGE: "[sheet]" "edge_m", "sheet beyond the edge of the covered ground", "m", Itself(0.0), Itself(100.0), 0.3,
        "no sheet is wider";
    STOCK: "[sheet]" "in_stock_m2", "sheet in the shed already", "m2", Itself(0.0), Itself(1e6), 200.0,
        "no green is larger";
    PRICE: "[sheet], [cost]" "price_per_roll, plot, core, person_hour", "a price", "", Itself(0.0), Itself(1e6), 60.0,
        "nothing in a trial costs more";
    // The strongest gust measured is 113 m/s (World Meteorological Organization, archive of weather extremes, from memory).
    GUST: "[wind]" "gust_m_s", "gust to hold the sheets against", "m/s", Itself(0.0), Itself(120.0), 12.0,
        "no stronger one was ever measured";
    WIND_FROM: "[wind]" "from_deg", "where the wind comes from, clockwise from north", "degrees", Itself(0.0), Itself(360.0), 270.0,
        "a circle has no more";
    // Above the top of force 8 WMO's words for land are that walking is impeded.
    GUST_LIMIT: "[wind]" "limit_gust_m_s", "gust above which sheets stay in the shed", "m/s", Itself(0.1), Itself(20.7), 10.7,
        "beyond force 8 nobody walks upright, let alone with a sheet";
    COEFFICIENT: "[wind]" "edge_coefficient, middle_coefficient", "net upward pressure coefficient", "", Itself(0.0), Itself(5.0), 1.8,
        "no table of flat roofs has half as much";
    EDGE_ZONE: "[wind]" "edge_zone_m", "width of the zone along the edge that lifts most", "m", Itself(0.0), Itself(100.0), 1.0,
        "no sheet is wider";
    WEIGHT: "[ballast]" "weight_kg", "weight of one timber or bag", "kg", Itself(0.1), Itself(1000.0), 12.0,
        "less holds nothing, and more marks a green";
    BALLAST_SPACING: "[ballast]" "most_spacing_m", "largest distance between two weights", "m", Itself(0.05), Itself(100.0), 2.0,
        "closer they touch, and further apart they hold nothing between them";
    BALLAST_STOCK: "[ballast]" "in_stock", "weights that are there already", "", Itself(0.0), Itself(1e6), 40.0,
        "no club has more";
    GRAMS: "[sheet]" "grams_per_m2", "weight of a dry square metre of sheet", "g/m2", Itself(1.0), Itself(10_000.0), 200.0,
        "cling film weighs more than the least, and a carpet less than the most";
    HELD_WATER: "[sheet]" "held_water_mm", "water that lies on and in a sheet at dawn", "mm", Itself(0.0), Itself(50.0), 1.0,
        "deeper water runs off";
    LIFT_ONE: "[crew]" "lift_kg_per_person", "what one person lifts alone", "kg", Itself(1.0), Itself(50.0), 16.0,
        "twice the figure of the guideline is more than anybody should";
    WITHIN: "[crew]" "lay_within_minutes, lift_within_minutes", "minutes there are for it", "min", Itself(1.0), Itself(1440.0), 60.0,
        "a day has no more";
    MINUTES_PER_100_M2: "[crew]" "lay_, lift_, clear_, dry_person_minutes_per_100_m2", "person-minutes for 100 m2 of sheet", "min", Itself(0.0), Itself(10_000.0), 20.0,
        "a week of one person's work lays more";
    MINUTES_EACH: "[crew]" "weigh_person_minutes_per_weight, count_person_minutes_per_plot", "person-minutes for one weight or plot", "min", Itself(0.0), Itself(1440.0), 1.5,
        "a day has no more";
    PEOPLE: "[crew]" "people", "people on the night", "", Itself(1.0), Itself(1000.0), 3.0,
        "no club has more";
}
