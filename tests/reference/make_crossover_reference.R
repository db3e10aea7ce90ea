# Two invented crossovers, analysed as rows (plots), columns (nights) and treatments: glm for Poisson, MASS::negative.binomial
# for clumped counts, lm for the analysis of variance of square roots of count + 1/2 (of even counts
# without clumping, what Hills & Armitage 1979, British Journal of Clinical Pharmacology 8:7-20, compare between the
# two sequences). Writes crossover.tsv. Run in this folder: Rscript make_crossover_reference.R
library(MASS)
read <- function(file) {
  d <- read.csv(file)
  for (f in c("plot", "night")) d[[f]] <- factor(d[[f]])
  d$treatment <- relevel(factor(d$treatment), "U")
  d
}
d <- read("data/crossover.csv")
tight <- glm.control(epsilon = 1e-14, maxit = 200)
pois <- glm(count ~ plot + night + treatment, poisson(), d, control = tight)
pois0 <- glm(count ~ plot + night, poisson(), d, control = tight)
# k by a one-dimensional search over fits at fixed k: glm.nb alternates and stops short of the maximum here.
at_k <- function(model) {
  logged <- function(lk) as.numeric(logLik(glm(model, negative.binomial(exp(lk)), d, control = tight)))
  best <- optimize(logged, c(-3, 8), maximum = TRUE, tol = 1e-9)
  list(k = exp(best$maximum), log_likelihood = best$objective)
}
nb <- at_k(count ~ plot + night + treatment)
nb0 <- at_k(count ~ plot + night)
show <- function(name, x) cat(name, "\t", sprintf("%.12g", x), "\n", sep = "")
sink("crossover.tsv")
show("poisson_log_likelihood", as.numeric(logLik(pois)))
show("poisson_deviance", deviance(pois))
show("poisson_residual_df", df.residual(pois))
show("poisson_lr", deviance(pois0) - deviance(pois))
show("nb_k", nb$k)
show("nb_log_likelihood", nb$log_likelihood)
show("nb_lr", 2 * (nb$log_likelihood - nb0$log_likelihood))
root <- lm(sqrt(count + 0.5) ~ plot + night + treatment, read("data/crossover_two.csv"))
show("two_root_p", summary(root)$coefficients["treatmentC", "Pr(>|t|)"])
show("two_root_df", df.residual(root))
sink()
