# Dunnett-adjusted p-values of two contrasts with one control, from the two-sided p of each alone: of a t of 12
# degrees of freedom (5 blocks, 3 treatments, 2 occasions: 30 counts less 15 plots, 1 occasion, 2 changes), and of a
# normal. R 4.2.2, mvtnorm. Run: Rscript make_change_reference.R 0.12703853974812468 0.08572660597370924
library(mvtnorm)
set.seed(1)
corr <- matrix(0.5, 2, 2); diag(corr) <- 1
for (p in commandArgs(trailingOnly = TRUE)) {
  for (df in c(12, 0)) { # 0: normal
    half <- as.numeric(p) / 2
    t <- if (df > 0) qt(half, df, lower.tail = FALSE) else qnorm(half, lower.tail = FALSE)
    adjusted <- 1 - pmvt(c(-t, -t), c(t, t), df = df, corr = corr,
                         algorithm = GenzBretz(abseps = 1e-7, maxpts = 1e7))
    cat(p, df, adjusted, "\n")
  }
}
