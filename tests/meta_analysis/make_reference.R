# What metafor and limma answer for the BCG trials and for made-up effects: writes reference.json beside this file.
#   Rscript make_reference.R
# R 4.2.2, metafor 3.8-1, limma 3.54.1 (Debian 12: apt-get install r-cran-metafor r-bioc-limma r-cran-jsonlite); versions are written into the file.
library(metafor)
library(jsonlite)
library(limma)

bcg <- read.csv("bcg_vaccine.csv")
effects <- escalc(measure = "RR", ai = tpos, bi = tneg, ci = cpos, di = cneg, data = bcg)
sets <- list(
  bcg = list(yi = as.numeric(effects$yi), vi = as.numeric(effects$vi)),
  # Trials that agree better than their errors allow; and three that differ.
  alike = list(yi = c(-0.50, -0.55, -0.45, -0.52, -0.49), vi = c(0.04, 0.09, 0.05, 0.12, 0.02)),
  three = list(yi = c(-1.2, 0.3, -0.4), vi = c(0.05, 0.20, 0.01)),
  two = list(yi = c(-1.2, 0.3), vi = c(0.05, 0.20)),
  unlike = list(yi = c(0.1, -0.2, 0.4, -2.5, 0.2, 0.0), vi = c(1e-4, 4, 0.3, 0.02, 25, 1e-2))
)
answer <- function(set, method, test) {
  fit <- rma(yi = set$yi, vi = set$vi, method = method, test = test, digits = 12,
             control = list(threshold = 1e-14, maxiter = 10000, tol = 1e-14))
  # The interval of tau^2 is searched only as far as tau2.max.
  spread <- confint(fit, control = list(tol = 1e-12, maxiter = 10000, tau2.max = 1e6))$random["tau^2", ]
  prediction <- predict(fit)
  unbox_all <- function(x) lapply(x, unbox)
  unbox_all(list(
    effect = as.numeric(fit$beta), se = fit$se, low = fit$ci.lb, high = fit$ci.ub, p = fit$pval,
    tau2 = fit$tau2, tau2_low = spread[["ci.lb"]], tau2_high = spread[["ci.ub"]], i2 = fit$I2,
    q = fit$QE, q_p = fit$QEp, prediction_low = prediction$pi.lb, prediction_high = prediction$pi.ub
  ))
}
pools <- list()
for (name in names(sets)) for (method in c("REML", "DL", "PM")) for (test in c("z", "knha"))
  pools[[length(pools) + 1]] <- c(list(set = unbox(name), method = unbox(method), test = unbox(test)),
                                  answer(sets[[name]], method, test))

left_out <- leave1out(rma(yi, vi, data = effects, test = "knha", control = list(threshold = 1e-14, maxiter = 10000)))
regression <- function(test, mods, method) {
  fit <- rma(yi, vi, mods = mods, data = effects, test = test, method = method,
             control = list(threshold = 1e-14, maxiter = 10000))
  list(estimate = as.numeric(fit$beta), se = fit$se, low = fit$ci.lb, high = fit$ci.ub, p = fit$pval,
       tau2 = unbox(fit$tau2), i2 = unbox(fit$I2), r2 = unbox(fit$R2), f = unbox(fit$QM / ifelse(test == "z", fit$m, 1)),
       f_p = unbox(fit$QMp), q = unbox(fit$QE), q_p = unbox(fit$QEp))
}
latitude <- cbind(effects$ablat)
both <- cbind(effects$ablat, effects$year)
slopes <- function(predictor) {
  fit <- rma(yi, vi, mods = predictor, data = effects, test = "knha", control = list(threshold = 1e-14, maxiter = 10000))
  list(slope = unbox(fit$beta[2]), se = unbox(fit$se[2]), p = unbox(fit$pval[2]), limit = unbox(fit$beta[1]))
}
# Variances of few degrees of freedom, those of trials of unit size moderated.
few <- list(yi = c(-0.9, -0.2, -0.6, 0.3, -1.1, -0.4, -0.7, 0.1),
            vi = c(0.02, 0.9, 0.15, 0.30, 1.8, 0.04, 0.25, 0.6), df = c(3, 7, 3, 5, 4, 3, 6, 3))
squeezed <- squeezeVar(few$vi * (few$df + 1), few$df)
few_vi <- squeezed$var.post / (few$df + 1)
few_pool <- rma(few$yi, few_vi, test = "knha", control = list(threshold = 1e-14, maxiter = 10000))
size <- with(bcg, tpos + tneg + cpos + cneg)
write_json(list(
  versions = unbox(paste(R.version.string, "metafor", packageVersion("metafor"), "limma", packageVersion("limma"))),
  moderated = c(few, list(prior_df = unbox(squeezed$df.prior), prior_variance = unbox(squeezed$var.prior), moderated = few_vi,
    effect = unbox(as.numeric(few_pool$beta)), low = unbox(few_pool$ci.lb), high = unbox(few_pool$ci.ub), tau2 = unbox(few_pool$tau2))),
  sets = sets, pools = pools,
  left_out = list(effect = left_out$estimate, low = left_out$ci.lb, high = left_out$ci.ub, p = left_out$pval,
                  tau2 = left_out$tau2, i2 = left_out$I2),
  moderators = list(latitude = effects$ablat, year = effects$year, size = size),
  regression = list(
    latitude_knha = regression("knha", latitude, "REML"),
    latitude_z = regression("z", latitude, "DL"),
    both_knha = regression("knha", both, "REML")),
  small_study = list(standard_error = slopes(sqrt(effects$vi)), one_over_size = slopes(1 / size))
), "reference.json", digits = NA, pretty = TRUE)
