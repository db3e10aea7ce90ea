//! Numbers of a season file, section by section.

use super::Limit::{Beyond, Itself};
use super::ranges;

ranges! {
    GREENS: "[[green]]" "greens", "greens of the course", "", Itself(1.0), Itself(27.0), 18.0,
        "no course that is planned at once has more";
    AREA: "[[green]]" "area_m2", "area of a green", "m2", Itself(1.0), Itself(1e5), 500.0,
        "a doormat is larger, and no green is";
    LARVAE: "[[green]]" "larvae", "larvae found in all cores of a green", "", Itself(0.0), Itself(1e7), 34.0,
        "nobody counts more";
    CORES: "[[green]]" "cores", "cores taken on a green", "", Itself(1.0), Itself(1e5), 20.0,
        "nobody takes more";
    PER_CORE: "[[green]]" "per_core", "larvae in a core", "", Itself(0.0), Itself(1e6), 3.0,
        "no core holds more";
    DENSITY: "[[green]]" "per_m2, low, high", "larvae to the square metre", "per m2", Itself(0.0), Itself(1e6), 120.0,
        "turf holds no more";
    PRIORITY: "[[green]]" "priority", "how much a larva on this green counts beside one on another", "", Itself(0.01), Itself(100.0), 1.0,
        "what counts a hundred times as much is better planned by itself";
    HOT_AREA: "[[green]]" "hot_spot_m2", "area of the hot spots of a green", "m2", Itself(0.1), Itself(1e5), 120.0,
        "less covers no core, and no green is larger";
    HOT_SHARE: "[[green]]" "hot_spot_share_percent", "share of the larvae of a green that its hot spots hold", "%", Beyond(0.0), Itself(100.0), 60.0,
        "a hot spot holds some, and nothing holds more than all";
    THRESHOLD: "[season]" "threshold_per_m2", "animals above which action pays", "per m2", Itself(0.01), Itself(1e6), 50.0,
        "less is none, and turf holds no more";
    CORE_DIAMETER: "[counts]" "core_diameter_mm", "inner diameter of the corer", "mm", Itself(5.0), Itself(2000.0), 108.0,
        "a pencil is thicker, and nobody lifts a larger one";
    CORE_AREA: "[counts]" "core_area_m2", "area of a core", "m2", Itself(1e-5), Itself(1e4), 0.0092,
        "a pencil is thicker, and a green is smaller";
    K: "[counts]" "k", "the clumping k of counts per core", "", Itself(0.001), Itself(1e9), 0.8,
        "below it one core in a thousand holds all there is, and beyond it counts are Poisson";
    RATIO: "[effect], [[method]]" "ratio, low, high", "larvae left by a method, over larvae left without it", "", Itself(0.0), Itself(1000.0), 0.4,
        "nothing is left at 0, and no method brings a thousand times as many";
    WORTHWHILE: "[effect]" "worthwhile_reduction_percent", "the smallest reduction worth having", "%", Beyond(0.0), Itself(99.99), 40.0,
        "none is no effect, and all is more than any count can show";
    NIGHTS_EACH: "[effect]" "nights", "nights under the sheet for which the ratio holds", "", Itself(1.0), Itself(5.0), 3.0,
        "turf bears no more, and plans of more nights each take too long to compare";
    OWNED: "[sheet]" "owned_m2", "sheet there is", "m2", Itself(1.0), Itself(1e6), 600.0,
        "less covers nothing, and no club owns more";
    EXTRA: "[sheet]" "extra_percent", "sheet beyond the area covered, for laps and edges", "%", Itself(0.0), Itself(200.0), 15.0,
        "sheet is no smaller than what it covers, and three times as much is a slip";
    PRICE: "[sheet], [cost], [[method]]" "price_per_m2, person_hour, cost_per_m2", "a price", "", Itself(0.0), Itself(1e6), 18.0,
        "nobody is paid for buying, and nothing on a course costs more";
    ROLL_LENGTH: "[sheet]" "roll_length_m", "length of a roll", "m", Itself(0.1), Itself(1000.0), 50.0,
        "no sheet is shorter or longer";
    ROLL_WIDTH: "[sheet]" "roll_width_m", "width of a roll", "m", Itself(0.1), Itself(100.0), 4.0,
        "no sheet is narrower or wider";
    LAP: "[sheet]" "lap_m", "overlap of neighbouring strips", "m", Itself(0.0), Itself(100.0), 0.3,
        "no sheet is wider";
    EDGE: "[sheet]" "edge_m", "sheet beyond the edge of the covered ground", "m", Itself(0.0), Itself(100.0), 0.3,
        "no sheet is wider";
    LIFE: "[sheet]" "life_nights", "nights that a sheet lasts", "", Itself(1.0), Itself(10_000.0), 30.0,
        "it lasts the night it is bought for, and none lasts thirty years";
    NIGHTS: "[nights]" "number", "nights of the season", "", Itself(1.0), Itself(30.0), 6.0,
        "sheets on more nights than a month holds are more than turf and people bear";
    PEOPLE: "[nights], [[night]]" "people", "people on a night", "", Itself(1.0), Itself(100.0), 3.0,
        "sheets do not lay themselves, and no club has more people for it";
    HOURS: "[nights], [[night]]" "hours", "hours that each of them works on a night, laying and lifting together", "h", Itself(0.25), Itself(24.0), 4.0,
        "a sheet is not laid in less, and a day has no more";
    RATE: "[work]" "m2_per_person_hour", "sheet that one person lays, lifts and clears in an hour", "m2", Itself(1.0), Itself(10_000.0), 90.0,
        "a doormat takes less than an hour, and nobody runs";
    HOURS_EACH: "[work]" "hours_per_piece", "person-hours that each piece of ground takes besides, for going there and carrying", "h", Itself(0.0), Itself(100.0), 0.5,
        "nothing takes less, and no green is further";
    METHOD_HOURS: "[[method]]" "hours_per_100_m2", "person-hours for 100 m2", "h", Itself(0.0), Itself(1000.0), 0.3,
        "nothing takes less, and grass grows faster";
    METHODS: "[[method]]" "methods", "other methods", "", Itself(0.0), Itself(10.0), 2.0,
        "nobody reads a longer comparison";
    WORTH: "[worth]" "per_1000_larvae, per_green, budget", "what it is worth to you", "", Itself(0.0), Itself(1e9), 150.0,
        "nobody pays for larvae, and no club has more";
}
