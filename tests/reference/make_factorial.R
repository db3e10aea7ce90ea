# t of main effects and interactions on transformed counts, for tests/comparison/factorial.rs:
#
#     Rscript make_factorial.R
#
# Breaks of yarn under 2 wools and 3 tensions (Tippett 1950; warpbreaks in R). The effect asked about is a column of its
# own, its levels less their average over the other factor; without that column MASS's negative binomial gives k and
# the expected counts. Counts are transformed with that k (power 1/2 - 1/48 of the scale), less their expectation, over their relative
# standard deviation, and lm gives t of the column.
library(MASS)
options(digits = 10)
counts <- warpbreaks$breaks
power <- 1 / 2 - 1 / 48
test <- function(columns, at) {
  without <- cbind(1, columns[, -at])
  fit <- suppressWarnings(glm.nb(counts ~ 0 + without, control = glm.control(epsilon = 1e-13, maxit = 200)))
  for (i in 1:50) {
    k <- theta.ml(counts, fitted(fit), limit = 500, eps = 1e-14)
    fit <- glm(counts ~ 0 + without, family = negative.binomial(k), control = glm.control(epsilon = 1e-14))
  }
  mean <- fitted(fit)
  of <- function(y) sinh(2 * power * asinh(sqrt((y + 0.5) / k))) * sqrt(k) / (2 * power)
  y <- 0:20000
  expected <- sapply(mean, function(m) sum(of(y) * dnbinom(y, size = k, mu = m)))
  z <- (of(counts) - expected) / cosh(2 * power * asinh(sqrt(mean / k)))
  summary(lm(z ~ columns))$coefficients[1 + at, ]
}
wool <- as.numeric(warpbreaks$wool == "B")
medium <- as.numeric(warpbreaks$tension == "M")
high <- as.numeric(warpbreaks$tension == "H")
low <- 1 - medium - high
third <- 1 / 3
of_wool <- cbind(wool, (1 - wool) * (medium - third), (1 - wool) * (high - third), wool * (medium - third), wool * (high - third))
of_tension <- cbind(medium, high, low * (wool - 0.5), medium * (wool - 0.5), high * (wool - 0.5))
of_both <- cbind(wool * medium, wool * high, wool, medium, high)
print(R.version.string)
print(packageVersion("MASS"))
print(rbind(wool = test(of_wool, 1), medium = test(of_tension, 1), high = test(of_tension, 2),
            "wool x medium" = test(of_both, 1), "wool x high" = test(of_both, 2)))
# The analyses of variance in analysis/src/comparison/factor_coding.rs:
print(summary(aov(yield ~ block + N * P * K, npk)), signif.stars = FALSE)
print(summary(aov(Y ~ V * N + Error(B / V), oats)), signif.stars = FALSE)
