# Trials with empty arms, networks of methods, plots of many clubs: what general libraries answer; writes counts_reference.json.
#   Rscript make_counts_reference.R
# R 4.2.2, lme4 1.1-31, metafor 3.8-1, glmmTMB 1.1.5 (Debian 12); versions are written into the file.
suppressMessages({library(lme4); library(metafor); library(glmmTMB); library(jsonlite)})

# Made-up totals: empty arms on either side, one trial empty in both.
totals <- data.frame(
  treated = c(0, 3, 5, 0, 12, 1, 0, 7, 26, 2), control = c(9, 9, 6, 2, 30, 0, 0, 19, 8, 21),
  treated_exposure = c(6, 6, 4, 5, 8, 4, 5, 6, 7, 6), control_exposure = c(6, 5, 4, 5, 8, 4, 5, 6, 7, 6))

# Poisson: binomial given the total, with a normal log ratio, by lme4's adaptive quadrature.
told <- totals[totals$treated + totals$control > 0, ]
told$trial <- factor(seq_len(nrow(told)))
binomial <- glmer(cbind(treated, control) ~ 1 + offset(log(treated_exposure / control_exposure)) + (1 | trial),
                  family = binomial, data = told, nAGQ = 25,
                  control = glmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-10)))

# Negative binomial with known k: level and log ratio summed out on fine even grids, dnbinom() and dnorm() alone being used; the
# integrands are smooth and fall off at both ends, so that such sums are exact to more digits than are compared.
nb_likelihood <- function(theta, tau, d, k) {
  level <- seq(-45, 45, 0.1)
  u <- if (tau == 0) 0 else seq(-9, 9, 0.1)
  weight <- if (tau == 0) 1 else 0.1 * dnorm(u)
  one <- function(i) {
    control <- dnbinom(d$control[i], size = k[i], mu = d$control_exposure[i] * exp(level))
    treated <- outer(level, theta + tau * u, function(a, delta)
      dnbinom(d$treated[i], size = k[i], mu = d$treated_exposure[i] * exp(a + delta)))
    log(sum(weight * 0.1 * colSums(control * treated)))
  }
  sum(sapply(seq_len(nrow(d)), one))
}
k <- 0.9 * told$control_exposure
fit_nb <- optim(c(-0.5, log(0.5)), function(p) -nb_likelihood(p[1], exp(p[2]), told, k), method = "BFGS",
                control = list(reltol = 1e-13, ndeps = c(1e-5, 1e-5)))
at <- list(c(-0.5, 0), c(-0.5, 0.4), c(0.3, 1.2), c(-4, 2))
values <- sapply(at, function(p) nb_likelihood(p[1], p[2], told, k))

# Network: four treatments, one trial with three, one without treatment 0; errors share the control.
arms <- data.frame(
  trial = c(1, 1, 2, 3, 4, 4, 5, 6, 7), control = c(0, 0, 0, 0, 0, 0, 1, 0, 2),
  treatment = c(1, 2, 1, 2, 1, 3, 2, 3, 3),
  estimate = c(-0.6, -0.9, -0.2, -1.3, -0.5, 0.1, -0.7, 0.3, 0.9),
  se = c(0.30, 0.35, 0.25, 0.40, 0.28, 0.33, 0.31, 0.45, 0.38))
control_variance <- c("1" = 0.05, "4" = 0.03)
columns <- t(apply(arms, 1, function(r) { x <- numeric(3); x[r["treatment"]] <- 1; if (r["control"] > 0) x[r["control"]] <- -1; x }))
V <- diag(arms$se^2)
for (i in 1:9) for (j in 1:9) if (i != j && arms$trial[i] == arms$trial[j]) V[i, j] <- control_variance[[as.character(arms$trial[i])]]
arms$arm <- ave(arms$trial, arms$trial, FUN = seq_along)
colnames(columns) <- c("t1", "t2", "t3")
network <- function(yi) {
  fit <- rma.mv(yi, V, mods = columns, intercept = FALSE, random = ~ arm | trial, struct = "CS", rho = 0.5, data = arms,
                method = "REML", control = list(optimizer = "optim", optmethod = "BFGS", reltol = 1e-15))
  none <- rma.mv(yi, V, mods = columns, intercept = FALSE, data = arms)
  list(effect = as.numeric(fit$beta), se = fit$se, tau2 = unbox(fit$tau2), q = unbox(none$QE),
       fixed_effect = as.numeric(none$beta), fixed_se = none$se,
       pair_21 = unbox(sum(c(-1, 1, 0) * fit$beta)), pair_21_se = unbox(sqrt(c(t(c(-1, 1, 0)) %*% fit$vb %*% c(-1, 1, 0)))))
}

# Plots of ten clubs, two greens each, blocks within greens: drawn once, kept in clubs.csv.
if (!file.exists("clubs.csv")) {
  set.seed(20261204)
  d <- expand.grid(treatment = c("bare", "cover", "drench"), block = 1:3, green = 1:2, club = 1:10)
  club <- rnorm(10, 0, 0.9); green <- rnorm(20, 0, 0.5); block <- rnorm(60, 0, 0.5); slope <- matrix(rnorm(30, 0, 0.35), 10)
  g <- (d$club - 1) * 2 + d$green; b <- (g - 1) * 3 + d$block
  effect <- c(0, -0.7, -0.2)[as.integer(d$treatment)]
  d$exposure <- 4 + (d$block == 2)
  mean <- d$exposure * exp(1 + effect + club[d$club] + green[g] + block[b] + slope[cbind(d$club, as.integer(d$treatment))])
  d$count <- rnbinom(nrow(d), size = 4, mu = mean)
  write.csv(d, "clubs.csv", row.names = FALSE)
}
clubs <- read.csv("clubs.csv", stringsAsFactors = TRUE)
clubs <- within(clubs, {club <- factor(club); green <- interaction(club, green); block <- interaction(green, block)})
plots <- glmmTMB(count ~ treatment + offset(log(exposure)) + (1 | club) + (1 | green) + (1 | block) + (1 | club:treatment),
                 family = nbinom2, data = clubs,
                 control = glmmTMBControl(optCtrl = list(rel.tol = 1e-14, iter.max = 1000, eval.max = 1000)))
sds <- sapply(VarCorr(plots)$cond, function(v) attr(v, "stddev"))

write_json(list(
  versions = unbox(paste(R.version.string, "lme4", packageVersion("lme4"), "metafor", packageVersion("metafor"),
                         "glmmTMB", packageVersion("glmmTMB"))),
  totals = totals,
  poisson = list(effect = unbox(fixef(binomial)[[1]]), tau = unbox(attr(VarCorr(binomial)$trial, "stddev")[[1]])),
  negative_binomial = list(k_each = unbox(0.9), effect = unbox(fit_nb$par[1]), tau = unbox(exp(fit_nb$par[2])),
                           log_likelihood = unbox(-fit_nb$value), at = at, values = values),
  arms = arms, control_variance = lapply(as.list(control_variance), unbox),
  network = network(arms$estimate),
  apart = network(arms$estimate + c(0.9, 0.4, -1.0, 0.8, -0.9, 0.2, 1.1, -0.8, 0.5)),
  shift = c(0.9, 0.4, -1.0, 0.8, -0.9, 0.2, 1.1, -0.8, 0.5),
  one_stage = list(effect = as.numeric(fixef(plots)$cond[-1]), se = as.numeric(sqrt(diag(vcov(plots)$cond))[-1]),
                   club_sd = unbox(sds[["club.(Intercept)"]]), green_sd = unbox(sds[["green.(Intercept)"]]),
                   block_sd = unbox(sds[["block.(Intercept)"]]), cell_sd = unbox(sds[["club:treatment.(Intercept)"]]),
                   k = unbox(sigma(plots)), log_likelihood = unbox(as.numeric(logLik(plots))))
), "counts_reference.json", digits = NA, pretty = TRUE)
