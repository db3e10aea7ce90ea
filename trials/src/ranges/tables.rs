//! Sizes of files of rows, and numbers in their cells.

use super::Limit::{Beyond, Endless, Itself};
use super::ranges;

ranges! {
    FILE_SIZE: "any file" "size", "text of a file", "MB", Itself(0.0), Itself(64.0), 0.1,
        "the largest table that is kept whole is smaller";
    SUMMED_SIZE: "a table that is summed" "size", "text of a table of which `describe` or `judge` takes nothing but sums", "MB", Itself(0.0), Itself(250.0), 3.0,
        "with what is taken from it more would not fit in a gigabyte";
    ROWS: "any table" "rows", "lines under the header", "", Itself(1.0), Itself(500_000.0), 96.0,
        "counted at one core a minute that is four years' work";
    SUMMED_ROWS: "a table that is summed" "rows", "lines under the header of a table of which `describe` or `judge` takes nothing but sums", "", Itself(1.0), Itself(6e6), 20_000.0,
        "more would not be read within ten seconds";
    NAMES: "a table that is summed" "names", "different names in a column", "", Itself(1.0), Itself(100_000.0), 96.0,
        "each of them is kept beside the sums";
    WORKBOOK: "any workbook" "the size when unpacked", "all parts of the file together", "MB", Itself(0.0), Itself(128.0), 2.0,
        "a table of the most cells takes less";
    SHEET_ROWS: "any workbook" "rows of a sheet", "row of the lowest filled cell", "", Itself(1.0), Itself(1_048_576.0), 97.0,
        "the file's format has no more";
    COLUMNS: "any table" "columns", "headings", "", Itself(1.0), Itself(256.0), 8.0,
        "no sheet for the field has more";
    CELLS: "any table" "cells", "rows times headings", "", Itself(1.0), Itself(4e6), 768.0,
        "more would not fit beside the work in a gigabyte";
    CELL: "any table" "characters of a cell", "length of the text in a cell", "", Itself(0.0), Itself(10_000.0), 12.0,
        "four pages are no cell but a book";
    PLOTS: "any table" "plots", "plots that are judged, cores of a plot being one", "", Itself(1.0), Itself(5000.0), 96.0,
        "what is judged on more takes longer than it is worth waiting";
    CONTRASTS: "any table" "plots times treatments", "plots that are judged, times the treatments that are compared over them", "", Itself(1.0), Itself(50_000.0), 200.0,
        "each treatment is compared over all plots, and more would take longer than ten seconds";
    TREATMENTS: "any table" "treatments", "treatments that are compared", "", Itself(1.0), Itself(40.0), 2.0,
        "no block has room for more";
    COUNT: "counts.csv, any table" "count", "animals in one sample", "", Itself(0.0), Itself(1e6), 3.0,
        "more in one sample is a slip of the pen, whatever was sampled";
    // Some hundreds ruin turf, and a core of 108 mm would hold 92 (common practice, no source). Whoever counts smaller
    // animals says so with `most_per_m2`.
    DENSITY: "counts.csv" "count over area_m2", "animals to the square metre, where the protocol has no `most_per_m2`", "per m2", Itself(0.0), Itself(10_000.0), 300.0,
        "crane flies leave no more";
    MINUTES: "counts.csv" "minutes_after_lift", "whole minutes since the sheet was lifted", "min", Itself(0.0), Itself(1440.0), 15.0,
        "the next night brings others up";
    COVERED: "events.csv" "covered_fraction", "share of the plot that was covered", "", Itself(0.0), Itself(1.0), 0.5,
        "a plot has no more than all of it";
    SCORE: "counts.csv" "reading, where scores are taken", "a score", "", Itself(1.0), Itself(9.0), 6.0,
        "the usual scale of turf ends there";
    PER_CENT: "counts.csv" "reading, where cover is taken", "a cover", "%", Itself(0.0), Itself(100.0), 80.0,
        "there is no more ground than all of it";
    SAMPLED_AREA: "counts.csv, any table" "area_m2", "ground that a count comes from", "m2", Itself(1e-6), Itself(1e6), 0.0092,
        "a needle is thicker, and no green is larger";
    READING: "counts.csv, any table" "reading", "a length, or another reading without ends of its own", "unit of the reading", Itself(-1e12), Itself(1e12), 85.0,
        "sums and squares of larger numbers leave the range of a number";
    COVARIATE: "any table" "a second map or a site covariate", "what the ground is like", "", Itself(-1e12), Itself(1e12), 0.35,
        "no scale goes further";
    PLACE: "any table" "x_m, y_m", "place east or north of the origin", "m", Itself(-1e8), Itself(1e8), 12.5,
        "no map grid goes further";
    PLOT_SIDE: "layout.csv" "length_m, width_m", "side of a plot", "m", Itself(0.1), Itself(500.0), 4.0,
        "a core needs as much, and no green is longer";
    PLOT_ANGLE: "layout.csv" "angle_deg", "direction of a plot, anticlockwise from east", "degrees", Itself(-360.0), Itself(360.0), 30.0,
        "a circle has no more";
    EFFECT: "a table of effects" "effect", "natural logarithm of the ratio of means", "", Itself(-30.0), Itself(30.0), -0.7,
        "no count of animals is larger or smaller by more";
    EFFECT_SE: "a table of effects" "se", "standard error of the effect", "", Itself(1e-6), Itself(100.0), 0.35,
        "no trial is surer, and beyond it nothing is known";
    EFFECT_DF: "a table of effects" "df", "degrees of freedom of the standard error", "", Itself(1.0), Itself(1e9), 5.0,
        "with none there is no error, and with more they might be without end";
    EFFECT_RATIO: "a table of effects" "ratio, low, high", "ratio of means and its limits", "", Itself(0.0), Itself(1e13), 0.5,
        "nothing is left of less than none, and no count grows so";
    EFFECT_PLOTS: "a table of effects" "plots, blocks, treated_plots, control_plots", "plots or blocks of a trial", "", Itself(0.0), Itself(1e6), 12.0,
        "nobody counts more";
    ARM_COUNT: "a table of effects" "treated_count, control_count", "animals found under one treatment", "", Itself(0.0), Itself(1e12), 48.0,
        "all the turf of a country holds no more";
    ARM_EXPOSURE: "a table of effects" "treated_exposure, control_exposure", "what was searched under one treatment", "m2 or samples", Beyond(0.0), Itself(1e12), 0.22,
        "nothing is found in nothing";
    ARM_K: "a table of effects" "k", "k of the count of a plot", "", Beyond(0.0), Endless, 2.0,
        "below it one plot holds all there is";
    POOLED_TRIALS: "any input of `pool`" "trials", "trials, or methods of trials, that are pooled", "", Itself(1.0), Itself(20_000.0), 40.0,
        "an association that has more asks them by seasons";
    YEAR: "any date" "year", "year of a date", "", Itself(1900.0), Itself(2199.0), 2026.0,
        "nobody has counted so long ago, and nobody plans so far ahead";
}
