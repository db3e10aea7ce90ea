//! Numbers that a request may hold, command by command.

use super::Limit::{Beyond, Endless, Itself};
use super::ranges;

ranges! {
    GRID_POINTS: "grid" "points", "the number of points", "", Itself(1.0), Itself(10_000.0), 40.0,
        "nobody walks to more";
    GRID_SPACING: "grid" "spacing", "the distance between points", "m", Itself(0.1), Itself(1000.0), 3.0,
        "closer cores would meet, and no green is wider";
    GRID_PRECISION: "grid" "precision", "the standard error over the mean", "", Itself(0.01), Itself(10.0), 0.25,
        "below it more cores are needed than a green can bear, above it nothing is known";
    GRID_CONFIDENCE: "grid" "confidence", "the confidence of the interval", "", Itself(0.5), Itself(0.9999), 0.95,
        "an interval that misses as often as it holds is none, and no count is surer";
    GRID_MEAN: "grid" "mean", "the mean count of a core, or of a square metre", "", Itself(1e-6), Itself(1e6), 2.0,
        "a green with less is empty, and no turf holds more";
    GRID_CORE_AREA: "grid" "core_area", "the area of a core", "m2", Itself(1e-4), Itself(100.0), 0.0079,
        "a pencil is thicker, and a quadrat is smaller";
    GRID_MARGIN: "grid" "margin", "the distance kept from the edge", "m", Itself(0.0), Itself(500.0), 1.0,
        "no green reaches further";
    LAW_K: "grid, stopline" "law.k", "the clumping k of counts per core", "", Itself(0.001), Endless, 0.8,
        "below it one core in a thousand holds all there is";
    LAW_TAYLOR_A: "grid, stopline" "law.taylor.a", "the factor of Taylor's law", "", Itself(1e-3), Itself(1e6), 1.5,
        "no counts of animals have shown another";
    LAW_TAYLOR_B: "grid, stopline" "law.taylor.b", "the exponent of Taylor's law", "", Itself(0.0), Itself(4.0), 1.2,
        "no counts of animals have shown another";
    LAW_IWAO_ALPHA: "grid, stopline" "law.iwao.alpha", "the intercept of Iwao's regression", "", Itself(-1.0), Itself(1e4), 0.5,
        "an animal has at least minus one companion, and no core holds more";
    LAW_IWAO_BETA: "grid, stopline" "law.iwao.beta", "the slope of Iwao's regression", "", Itself(0.0), Itself(1001.0), 1.3,
        "it is 1 + 1/k, and k is at least 0.001";
    // Below 100 besides for a count that is to fall.
    JUDGE_WORTHWHILE: "judge" "worthwhile", "the smallest change that would matter, in per cent of a count or in the unit of the reading",
        "", Itself(1e-6), Itself(1e6), 50.0, "a smaller one nobody sees, and a larger one nothing brings about";
    JUDGE_ALPHA: "judge" "alpha", "the accepted chance of a false claim", "", Itself(1e-6), Itself(0.5), 0.05,
        "a coin is right half of the time, and no trial is surer than one in a million";
    // Below 100 besides where more is better.
    JUDGE_MARGIN: "judge" "margin", "how much worse than the reference would still do", "%", Itself(0.01), Itself(1e4), 20.0,
        "no trial tells less apart, and what is a hundred times worse does not do";
    JUDGE_THRESHOLD: "judge" "threshold", "animals to the square metre above which action pays", "per m2", Itself(0.01), Itself(1e6), 50.0,
        "less is none, and turf holds no more";
    DESCRIBE_CORE_AREA: "describe" "core_area", "the area of a unit counted", "m2", Itself(1e-5), Itself(1e4), 0.0092,
        "a pencil is thicker, and a green is smaller";
    DESCRIBE_THRESHOLD: "describe" "threshold", "animals to the square metre above which action pays", "per m2", Itself(0.01), Itself(1e6), 50.0,
        "less is none, and turf holds no more";
    HOTSPOTS_PERMUTATIONS: "hotspots" "permutations", "the number of arrangements drawn", "", Itself(0.0), Itself(99_999.0), 999.0,
        "with as many a p-value of 0.05 is within 0.0014 of the truth";
    HOTSPOTS_PLACES: "hotspots" "places", "places with a count", "", Itself(1.0), Itself(5000.0), 96.0,
        "at one core a minute that is ten days' work";
    // Pairs of places up to 2500 of them, and a hundred neighbours of each, times arrangements.
    HOTSPOTS_WORK: "hotspots" "pairs of places times arrangements", "how much is drawn", "", Itself(0.0), Itself(2e9), 1e7,
        "more would take minutes";
    // A long outline makes laying positions at random slower: 200 corners count as one more position each.
    HOTSPOTS_LAID: "hotspots" "positions times arrangements", "how many positions are laid at random", "", Itself(0.0), Itself(2e6), 1e5,
        "more would take minutes";
    HOTSPOTS_ROLL_WIDTH: "hotspots" "roll_width", "the width of a roll", "m", Itself(0.1), Itself(100.0), 2.0,
        "no sheet is narrower or wider";
    HOTSPOTS_STRIP_LENGTH: "hotspots" "strip_length", "the length of a strip", "m", Itself(0.5), Itself(1000.0), 10.0,
        "shorter pieces are not worth pegging, and no green is longer";
    // At most nine tenths of the roll besides.
    HOTSPOTS_LAP: "hotspots" "lap", "the overlap of neighbouring strips", "m", Itself(0.0), Itself(90.0), 0.2,
        "a tenth of the roll at least must cover ground of its own";
    HOTSPOTS_DIRECTION: "hotspots" "direction", "the laying direction, anticlockwise from east", "degrees", Itself(-360.0), Itself(360.0), 30.0,
        "a circle has no more";
    HOTSPOTS_SHEET: "hotspots" "sheet", "the sheet there is", "m2", Itself(0.1), Itself(1e6), 100.0,
        "less covers no core, and no green is larger";
    ORDER_ANGLE: "order" "angle", "the direction of the strips, anticlockwise from east", "degrees", Itself(-360.0), Itself(360.0), 30.0,
        "a circle has no more";
    ORDER_WIND_FROM: "order" "wind_from", "where the wind comes from, clockwise from north", "degrees", Itself(0.0), Itself(360.0), 270.0,
        "a circle has no more";
    ORDER_PEOPLE: "order" "people", "the people who come", "", Itself(1.0), Itself(1000.0), 3.0,
        "sheets do not lay themselves, and no club has more";
    ORDER_STRIPS: "order" "strips", "strips that cover one piece of ground", "", Itself(1.0), Itself(2000.0), 12.0,
        "nobody lays more in a night";
    NEXT_K: "next" "k", "the clumping k of counts per core", "", Itself(0.001), Endless, 0.8,
        "less means clumps without bound, and no number of plots would do";
    NEXT_K_PLOT: "next" "k_plot", "the clumping k of whole plots", "", Itself(0.01), Endless, 5.0,
        "below it one plot in a hundred holds all there is";
    NEXT_MEAN: "next" "mean", "the mean count of a core in untreated ground", "", Itself(0.001), Itself(1000.0), 3.0,
        "where a thousand cores hold one animal no trial finds a loss, and no core holds a thousand";
    NEXT_BLOCK_SD: "next" "block_sd", "the standard deviation of the log mean between blocks", "", Itself(0.0), Itself(3.0), 0.4,
        "beyond it the best block holds hundreds of times what a poor one does";
    NEXT_REDUCTION: "next" "reduction", "the smallest reduction worth having", "%", Beyond(0.0), Itself(100.0), 50.0,
        "no more than everything can go, and nothing is no effect that a trial could find";
    NEXT_METHODS: "next" "methods", "the number of methods compared with the control", "", Itself(1.0), Itself(20.0), 2.0,
        "no green has room for more in a block";
    NEXT_ALPHA: "next" "alpha", "the error rate of the headline test", "", Itself(1e-6), Itself(0.5), 0.05,
        "a coin is right half of the time, and no trial is surer than one in a million";
    NEXT_POWER: "next" "power", "the chance with which the reduction must be found", "", Itself(0.05), Itself(0.999), 0.8,
        "less is luck, and more is out of reach of chance";
    NEXT_MISSING: "next" "missing", "the share of plots that will be lost", "", Itself(0.0), Itself(0.9), 0.1,
        "a trial that loses more is none";
    NEXT_LOOK: "next" "looks", "the share of the counting at which the trial may be judged", "", Beyond(0.0), Itself(1.0), 0.5,
        "nothing is known before counting and everything at its end";
    NEXT_LOOKS: "next" "number of looks", "how often the trial is judged, its end included", "", Itself(1.0), Itself(20.0), 2.0,
        "no trial is counted on more days";
    NEXT_BLOCKS: "next" "blocks", "blocks to try", "", Itself(1.0), Itself(500.0), 8.0, "no green has room for more";
    NEXT_CORES: "next" "cores", "cores in each plot to try", "", Itself(1.0), Itself(1000.0), 4.0, "no crew takes more";
    NEXT_PLANS: "next" "plans", "blocks times cores to try", "", Itself(1.0), Itself(200.0), 40.0,
        "nobody reads a longer table";
    // With 250 trials of each plan, of which one in eight is judged; a plot then takes some 3 microseconds for each method.
    NEXT_WORK: "next" "simulated plots times methods", "plots of all plans, each judged against each method in the fewest trials that tell anything", "", Itself(1.0), Itself(6.5e6), 1e6,
        "more would take longer than ten seconds";
    NEXT_COST: "next" "cost_plot, cost_core, cost_sheet_night, minutes_plot, minutes_core", "a price or a number of minutes", "", Itself(0.0), Itself(1e6), 12.0,
        "nothing in a trial costs more";
    NEXT_NIGHTS: "next" "nights", "nights under the sheet", "", Itself(0.0), Itself(365.0), 1.0, "a year has no more";
    NEXT_TRIALS: "next" "trials", "the simulated trials for each plan, at most", "", Itself(1.0), Itself(100_000.0), 2000.0,
        "none says nothing, and with as many a power is within a third of a per cent";
    POOL_ALPHA: "pool" "alpha", "the accepted chance of a false claim, over all methods together", "", Itself(1e-6), Itself(0.5), 0.05,
        "a coin is right half of the time, and no trials are surer than one in a million";
    POOL_WORTHWHILE: "pool" "worthwhile", "the smallest change that would matter", "%", Itself(0.01), Beyond(100.0), 50.0,
        "a smaller one nobody sees, and no more than everything can go";
    STOPLINE_LOWER: "stopline" "lower", "the mean that is surely fine", "", Itself(0.001), Itself(1e5), 1.0,
        "less is none, and no square metre holds more";
    STOPLINE_UPPER: "stopline" "upper", "the mean that surely asks for action", "", Itself(0.001), Itself(1e5), 3.0,
        "less is none, and no square metre holds more";
    STOPLINE_CORE_AREA: "stopline" "core_area", "the area of a core", "m2", Itself(1e-4), Itself(100.0), 0.0092,
        "a pencil is thicker, and a quadrat is smaller";
    STOPLINE_ALPHA: "stopline" "alpha", "the chance of acting at the lower mean", "", Itself(1e-4), Itself(0.5), 0.1,
        "a coin is right half of the time, and a surer plan never stops";
    STOPLINE_BETA: "stopline" "beta", "the chance of not acting at the upper mean", "", Itself(1e-4), Itself(0.5), 0.1,
        "a coin is right half of the time, and a surer plan never stops";
    STOPLINE_PRECISION: "stopline" "precision", "the standard error over the mean", "", Itself(0.01), Itself(10.0), 0.25,
        "below it no crew ever stops, above it nothing is known";
    STOPLINE_CORES: "stopline" "cores", "the number of cores at most", "", Itself(1.0), Itself(1000.0), 40.0,
        "a morning holds no more";
    // A step is an addition and a multiplication; some four thousand million of them take a second.
    STOPLINE_WORK: "stopline" "steps", "totals followed from core to core, over all true means", "", Itself(0.0), Itself(2e10), 1e8,
        "more would take minutes";
    STOPLINE_TALLY: "stopline" "tally", "how many a core must exceed to be marked", "", Itself(0.0), Itself(1000.0), 0.0,
        "no core holds more";
    ARCHIVE_ALPHA: "archive" "alpha", "the accepted chance of a false claim", "", Itself(1e-6), Itself(0.5), 0.05,
        "a coin is right half of the time, and no trial is surer than one in a million";
    // Below 100 besides for a count that is to fall.
    ARCHIVE_WORTHWHILE: "archive" "worthwhile", "the smallest change that would matter", "%", Itself(1e-6), Itself(1e6), 50.0,
        "a smaller one nobody sees, and a larger one nothing brings about";
    ARCHIVE_CORE_AREA: "archive" "core_area", "the area of a core where no column says it", "m2", Itself(1e-6), Itself(1e6), 0.0092,
        "a needle is thicker, and no green is larger";
    ARCHIVE_MONTH: "archive" "month", "the month of the year", "", Itself(1.0), Itself(12.0), 9.0, "a year has no other";
    ARCHIVE_SHARDS: "archive" "shard", "parts of the trials", "", Itself(1.0), Itself(1e6), 8.0,
        "nobody has more machines";
}
