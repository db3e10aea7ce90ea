# The headline test at no effect, by other hands: k and block scatter from glmmTMB without treatment, then
# a paired t test of the stabilised counts. Beall's webworms (1940), plots summed, treatments 1 and 2.
# Run from the top folder: Rscript tests/reference/make_headline.R
library(glmmTMB)
d <- read.csv("tests/reference/data/beall_webworms_plot.csv")
d <- aggregate(y ~ block + trt, d, sum)
d <- subset(d, trt %in% c("T1", "T2"))
d$block <- factor(d$block)
f <- glmmTMB(y ~ 1 + (1 | block), family = nbinom2, data = d)
k <- sigma(f)
g <- function(y) asinh(sqrt((y + 0.5) / k)) * sqrt(k)
a <- d[d$trt == "T1", ]; b <- d[d$trt == "T2", ]
stopifnot(all(a$block == b$block))
t <- t.test(g(b$y), g(a$y), paired = TRUE)
cat("counts T1:", a$y, "\ncounts T2:", b$y, "\n")
cat(sprintf("k %.6f  block sd %.6f  t %.6f  df %g  p %.8f\n", k, sqrt(VarCorr(f)$cond$block[1]), t$statistic, t$parameter, t$p.value))
