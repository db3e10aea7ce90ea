//! The texts a new trial folder starts with, every field explained for the one who fills it in.

/// A `trial.toml` that can be used as it stands: six pairs of covered and uncovered plots.
pub const TRIAL: &str = r#"# The protocol of one trial. Answer each question before anything is counted.
# Lines that start with # are explanations; those that hold a setting can be put to use by taking the # away.

[trial]
# What do you call this trial?
title = "Sheets on the practice green"
# What exactly do you want to know? One question, in one sentence.
question = "Do fewer larvae remain in the turf after covering it overnight?"
# Which club, which green?
# site = "Practice green"
# When do you mark out the plots? Year-month-day.
# date = 2026-09-01

# Whose trial is it, on what ground? For an association that pools the trials of many clubs; the verdict is the same without.
# [setting]
# club = "Puddleford"
# soil = "sand"                # in a word
# wetness = "moist"            # dry, moist or wet
# night_temperature_c = 6.0    # air at its coldest

# What is compared? One block of lines for each treatment.
# kind is "covering" (a sheet), "aeration" (holes or slits) or "other".
[[treatment]]
code = "U"              # short code, as written on the peg
name = "uncovered"
kind = "other"
control = true          # the one all others are compared with: exactly one treatment has this

[[treatment]]
code = "C"
name = "covered overnight"
kind = "covering"

[design]
# How are plots grouped? "paired" (two treatments side by side), "randomised-blocks" (all treatments
# side by side in each block), "completely-randomised" (no groups: only on very even ground), "crossover" (plots
# take turns, a treatment a night: only for what leaves nothing behind for the next night).
kind = "paired"
# How many pairs or blocks? Without groups: how many plots of each treatment?
blocks = 6
# Any whole number from which the draw of the treatments can be repeated by anyone.
# seed = 20260901
# What do the plots of one block share? "position" (they lie close together), "zones" (they lie in one
# zone of the outline), "edge-distance" (larvae walk in from the rough) or "before-counts" (they had similar
# counts before treatment: `layout` then places the plots, you count them all, and `layout` run again draws).
# block_by = "position"
# Which draws are allowed? "balanced-along-gradient": none that puts a treatment mostly at one end of its pairs or blocks,
# where ground that changes across them (wet to dry, shade to sun) would look like the method's work. On even ground the
# verdict is the same without it. "not-twice-in-a-row" and "not-like-the-block-before" speak of the walk.
rules = ["balanced-along-gradient"]
# In which direction does the ground change, in degrees anticlockwise from east? Without it, both along and across the
# plots are balanced.
# gradient_deg = 90
# In which direction do the plots point, in degrees anticlockwise from east?
# angle_deg = 0

[plot]
# How large is one plot, in metres?
length_m = 4.0
width_m = 2.0
# How wide is the strip left untouched round each plot, so that neighbours do not disturb it?
guard_m = 0.5

[response]
# What is counted, in the same way in EVERY plot, covered or not? What lies under a sheet at dawn
# cannot be counted where there is no sheet: write that catch in the notes instead.
name = "larvae in cores"
unit = "larvae per core"
# What is a number in the file? "count" (animals), or a reading of the turf: "score" (visual, 1 to 9), "cover" (per
# cent), "length" (roots, say) or "edge" (inside and outside the sheet's edge). Readings need no corer below, stand in
# counts.csv under `reading` (and `outside`), and are worth having from a worthwhile_difference on.
kind = "count"
# Is it good if there are "fewer" of them, or "more" (larvae brought up to the surface)?
better = "fewer"
# How many cores are taken in each plot?
cores_per_plot = 4
# How wide is the corer inside, in millimetres? (For a quadrat write area_m2 = 0.1 instead.)
core_diameter_mm = 108
# A count above 10000 to the square metre is refused as a slip. Do you count smaller animals? Then say how many at most.
# most_per_m2 = 50000
# Which stages are told apart? Without the line larva, pupa, empty case and adult, each counted on a line of its own.
# stages = ["larva", "pupa", "empty case"]

# When is it counted? role is "before" (before treatment), "main" (the count that decides) or "follow-up". A crossover
# has one "main" occasion for each night, in order, and no other; counts.csv names the night under `occasion`.
[[occasion]]
name = "before"
role = "before"
# date = 2026-09-14

[[occasion]]
name = "main"
role = "main"
# date = 2026-09-24

[decision]
# How often would you bear a false claim that the method works? 0.05 is one time in twenty.
alpha = 0.05
# What is the smallest reduction that would be worth the work and the money, in per cent?
# (Where more is better, write worthwhile_increase_percent.)
worthwhile_reduction_percent = 50
# At how many larvae per square metre would your club act? Sources and countries differ; use your own figure.
# threshold_per_m2 = 50
# With two methods or more, is one of them a reference that the others need only come close to (cheaper, or easier
# on the turf, but hardly worse)? Then write its code and how much worse, in per cent of its count, would still do:
# Add the lines reference = "C" and margin_percent = 20, say.

# On several greens (a [[green]] with name, outline and, if you wish, blocks for each), what is the verdict about?
# These greens and no others: add verdict_about = "these-greens". Or greens like these, on which you may expect the same:
# Add verdict_about = "greens-like-these". The method must then work on green after green, and it takes more greens to show
# it. From three greens on it is the second, unless you add a line that says otherwise.

# What is on sale, and in the shed? `order` cuts strips from it; `layout` says when a sheet reaches further than the guard.
# [sheet]
# roll_length_m = 50.0
# roll_width_m = 4.0
# lap_m = 0.3             # overlap of neighbouring strips
# edge_m = 0.5            # sheet beyond the edge of the plot
# opaque = true
# in_stock_m2 = 0
# price_per_roll = 120
# grams_per_m2 = 200      # weight of the dry sheet, on the label of the roll
# held_water_mm = 1.0     # water on it at dawn: 1 mm weighs 1 kg on every square metre

# How strong a gust must the sheets bear, and from where (degrees from north)? `order` reckons weights and laps by it.
# In another unit or as a Beaufort force: gust = "20 mph" or gust = "F4" in the place of gust_m_s.
# [wind]
# gust_m_s = 7
# from_deg = 270
# limit_gust_m_s = 10.7   # above it: not tonight. 10.7 is the top of force 5
# edge_coefficient = 1.8  # lift over pressure of the wind, along the edge and in the middle: those of a flat roof
# middle_coefficient = 0.7
# edge_zone_m = 1.0

# What holds the sheets down?
# [ballast]
# name = "sandbags"
# weight_kg = 12          # of one
# most_spacing_m = 2.0    # largest distance between two
# in_stock = 40
# price_each = 3

# How many people can come, and what does each task take them? Person-minutes: 20 are two people for ten minutes. Without these
# lines `nights.csv` is asked: what earlier nights took.
# [crew]
# people = 2
# lift_kg_per_person = 16 # what each lifts alone
# lay_within_minutes = 60
# lift_within_minutes = 35
# lay_person_minutes_per_100_m2 = 20
# weigh_person_minutes_per_weight = 1.5
# lift_person_minutes_per_100_m2 = 30
# count_person_minutes_per_plot = 10
# clear_person_minutes_per_100_m2 = 15
# dry_person_minutes_per_100_m2 = 40

# Where is the green? For clock times of sunset and sunrise. An outline in longitude and latitude needs the time zone alone.
# [place]
# latitude_deg = 53.4
# longitude_deg = -1.9
# time_zone = "Europe/London"

# What do a plot, a core and an hour cost you? `next` and the report rank next season's plans by it (an hour counts with
# `next --minutes-plot` or `--minutes-core`, and for the night in `order`).
# [cost]
# plot = 20
# core = 3
# person_hour = 25
# currency = "GBP"

# What must a reader of the report know beside the numbers? Much of it is known only afterwards: write it then. Nothing is judged
# by it, and it is not sealed. The report lists what is still missing.
# [reporting]
# people = "Two greenkeepers laid out and treated; a third counted"
# turf = "Bent and annual meadow grass, cut at 4 mm"
# soil = "Sand over clay, pipe drains; watered on three evenings"
# history = "Hollow-tined in August; nothing sprayed since spring"
# species = "Larvae not identified beyond the family"
# application = "Sheets on from dusk to first light, three nights running"
# equipment = "Black ground cover, sandbags, corer of 108 mm"
# weather = "Mild and still, ground moist, 9 degrees at dawn"
# counted_blind = "The one who counted did not know the treatments"
# side_effects = "No marks on the turf; starlings on covered plots at dawn"
# interests = "The club paid; the sheets were lent by a member"
# data = "Field sheets and photographs in the club's office"
"#;

/// An `outline.csv` to be replaced by the corners of one's own green.
pub const OUTLINE: &str = "x_m,y_m\n0,0\n25,0\n25,23\n0,23\n";

/// The header line of `counts.csv` with two invented lines, for a text that explains it.
pub const COUNTS_EXAMPLE: &str = "plot,sample,occasion,date,stage,count,area_m2,note\n\
                                  1,1,main,2026-09-24,,3,,\n\
                                  1,2,main,2026-09-24,,0,,crow on the plot\n";
