# Treatment by group as the error: what R answers, for the tests in analysis/src/comparison/strata.rs.
# Run: Rscript treatment_by_group.R (R 4.2.2, MASS 7.3, lmerTest 3.1.3, emmeans 1.8.4.1).
suppressPackageStartupMessages({library(MASS); library(lmerTest); library(emmeans)})
oats <- MASS::oats
oats$site <- factor((as.integer(oats$B) + 1) %/% 2)
say <- function(name, ...) cat(sprintf("%-58s", name), sprintf("%.8f", c(...)), "\n")

# 1. Nitrogen over six blocks, the three varieties taken for replicates of it: aov with an error stratum.
table <- summary(aov(Y ~ N + Error(B / N), data = oats))[["Error: B:N"]][[1]]
ms <- table["Residuals", "Mean Sq"]
say("nitrogen by block: mean square, df, se", ms, table["Residuals", "Df"], sqrt(ms * 2 / 18))

# 2. Blocks 1 and 2 as one site, 3 and 4, 5 and 6: nitrogen by site, blocks as constants.
table <- anova(lm(Y ~ B + N + site:N, data = oats))
ms <- table["N:site", "Mean Sq"]
say("nitrogen by site: mean square, df, se", ms, table["N:site", "Df"], sqrt(ms * 2 / 18))

# 3. Varieties over blocks and over sites, the rates of nitrogen (their means taken out) as replicates, and plots 1,
# 2, 6, 30 and 31 lost: Henderson's method 3 and Satterthwaite's degrees of freedom, by matrices. The mean square within
# never counts with a negative share.
oats$y <- oats$Y - ave(oats$Y, oats$N)
left <- oats[-c(1, 2, 6, 30, 31), ]
X <- model.matrix(~ B + V, left)
onto <- function(M) { q <- qr(M); Q <- qr.Q(q)[, seq_len(q$rank)]; Q %*% t(Q) }
for (group in c("B", "site")) {
  Z <- model.matrix(~ 0 + interaction(left[[group]], left$V))
  PX <- onto(X); PXZ <- onto(cbind(X, Z)); n <- nrow(left)
  df_b <- round(sum(diag(PXZ - PX))); df_w <- n - round(sum(diag(PXZ)))
  ms_b <- drop(t(left$y) %*% (PXZ - PX) %*% left$y) / df_b
  ms_w <- drop(t(left$y) %*% (diag(n) - PXZ) %*% left$y) / df_w
  n0 <- sum(diag((PXZ - PX) %*% Z %*% t(Z))) / df_b
  for (j in 2:3) {
    v <- paste0("V", levels(left$V)[j])
    l <- X[, v] - onto(X[, colnames(X) != v]) %*% X[, v]
    s <- sum((t(Z) %*% l)^2) / n0
    a <- s * ms_b; b <- max(sum(l^2) - s, 0) * ms_w
    say(paste(v, "by", group, "share between, estimate, se, df"), s / sum(l^2), sum(l * left$y) / sum(l^2),
        sqrt(a + b) / sum(l^2), (a + b)^2 / (a^2 / df_b + b^2 / df_w))
  }
}
# Restricted likelihood weighs the cells otherwise, so that it agrees nearly, not in every digit.
fit <- lmer(y ~ V + B + (1 | B:V), data = left)
print(summary(contrast(emmeans(fit, "V", lmer.df = "satterthwaite"), "trt.vs.ctrl1", adjust = "none")))
