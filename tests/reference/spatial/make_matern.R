# Matern and spherical ordinary kriging by gstat (R 4.2.2, gstat 2.1-0), on the points of kriging.json.
# Writes matern.json: semivariances and predictions at 12 targets for smoothness 0.5, 1.5 and 2.5.
# gstat's "Mat" has the range in the form h / range, as here.
suppressPackageStartupMessages({library(sp); library(gstat); library(jsonlite)})
here <- commandArgs(trailingOnly = TRUE)[1]
all <- fromJSON(file.path(here, "kriging.json"))
d <- data.frame(x = all$xy[, 1], y = all$xy[, 2], z = all$z)
t <- data.frame(x = all$targets[, 1], y = all$targets[, 2])
coordinates(d) <- ~x + y
coordinates(t) <- ~x + y
h <- c(0.1, 0.5, 1, 2, 4, 8, 16)
cases <- lapply(c(0.5, 1.5, 2.5), function(nu) {
  m <- vgm(psill = 0.8, "Mat", range = 3, nugget = 0.2, kappa = nu)
  k <- krige(z ~ 1, d, t, m, debug.level = 0)
  list(smoothness = nu, semivariance = variogramLine(m, dist_vector = h)$gamma,
       value = k$var1.pred, variance = k$var1.var)
})
write(toJSON(list(gstat = as.character(packageVersion("gstat")), distance = h, cases = cases), digits = 15, auto_unbox = TRUE),
      file.path(here, "matern.json"))
