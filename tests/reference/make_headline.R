# The headline test at no effect, by other hands: k and block scatter from glmmTMB without treatment, then
# a paired t test of the transformed counts, each pair's over the spread expected on its ground.
# Beall's webworms (1940), plots summed, treatment 1 against 2 and 3.
# Run from the top folder: Rscript tests/reference/make_headline.R
library(glmmTMB)
d <- read.csv("tests/published/beall_webworms.csv")
all <- aggregate(y ~ block + trt, d, sum)
for (other in c("T2", "T3")) {
  d <- subset(all, trt %in% c("T1", other))
  d$block <- factor(d$block)
  f <- glmmTMB(y ~ 1 + (1 | block), family = nbinom2, data = d)
  k <- sigma(f)
  sd <- sqrt(VarCorr(f)$cond$block[1]); mu <- fixef(f)$cond[[1]]
  a <- d[d$trt == "T1", ]; b <- d[d$trt == other, ]
  stopifnot(all(a$block == b$block))
  rise <- 2 * (1 / 2 - 1 / (nrow(a) - 1))
  g <- function(y) sinh(rise * asinh(sqrt((y + 0.5) / k))) * sqrt(k) / rise
  # What a block leads to expect, given its two counts: its effect integrated over.
  ground <- sapply(seq_len(nrow(a)), function(i) {
    weight <- function(u) sapply(u, function(v) exp(sum(dnbinom(c(a$y[i], b$y[i]), mu = exp(mu + v), size = k, log = TRUE) + 5)) * dnorm(v, 0, sd))
    integrate(function(u) exp(mu + u) * weight(u), -8 * sd, 8 * sd, rel.tol = 1e-10)$value / integrate(weight, -8 * sd, 8 * sd, rel.tol = 1e-10)$value
  })
  spread <- cosh(rise * asinh(sqrt(ground / k)))
  t <- t.test(g(b$y) / spread, g(a$y) / spread, paired = TRUE)
  cat("counts T1:", a$y, "\ncounts", other, ":", b$y, "\n")
  cat(sprintf("k %.6f  block sd %.6f  t %.6f  df %g  p %.8f\n", k, sd, t$statistic, t$parameter, t$p.value))
}
