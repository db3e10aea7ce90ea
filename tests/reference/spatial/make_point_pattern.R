# Ripley's K in windows that are no rectangles, by spatstat: isotropic correction (exact for polygons) and
# translation correction with exact = TRUE. Writes point_pattern.json.
#   Rscript make_point_pattern.R > point_pattern.json
suppressMessages(library(spatstat))
set.seed(20260908)
green <- owin(poly = list(
  list(x = c(0, 14, 19, 17, 10, 9, 4, -1), y = c(0, -1, 5, 13, 12, 7, 10, 6)),
  list(x = c(5, 5, 8, 8), y = c(3, 5, 5, 2.5))))
ell <- owin(poly = list(x = c(0, 10, 10, 4, 4, 0), y = c(0, 0, 3, 3, 10, 10)))
num <- function(v) paste0("[", paste(sprintf("%.17g", v), collapse = ", "), "]")
case <- function(name, p, r) {
  w <- Window(p)
  rings <- sapply(w$bdry, function(b) paste0("{\"x\": ", num(b$x), ", \"y\": ", num(b$y), "}"))
  iso <- Kest(p, r = c(0, r), correction = "isotropic")$iso[-1]
  close <- closepairs(p, max(r), what = "all")
  weight <- edge.Trans(dx = close$dx, dy = close$dy, W = w, exact = TRUE, paired = TRUE)
  n <- npoints(p)
  trans <- sapply(r, function(t) sum(weight[close$d <= t])) * area(w) / (n * (n - 1))
  nn <- nndist(p)
  paste0("{\"name\": \"", name, "\", \"rings\": [", paste(rings, collapse = ", "), "],\n \"x\": ", num(p$x),
         ",\n \"y\": ", num(p$y), ",\n \"area\": ", sprintf("%.17g", area(w)), ", \"perimeter\": ",
         sprintf("%.17g", perimeter(w)), ",\n \"radii\": ", num(r), ",\n \"isotropic\": ", num(iso),
         ",\n \"translation\": ", num(trans), ",\n \"mean_nearest\": ", sprintf("%.17g", mean(nn)),
         ", \"clark_evans\": ", sprintf("%.17g", unname(clarkevans(p, correction = "none"))), "}")
}
clumped <- rMatClust(0.06, 1.5, 8, win = green)
cat("{\"made_by\": \"spatstat", as.character(packageVersion("spatstat.explore")), R.version.string, "\",\n\"cases\": [\n",
    paste(c(case("green with a hole, at random", runifpoint(60, win = green), c(.5, 1, 2, 3, 4.5)),
            case("green with a hole, clumped", clumped, c(.5, 1, 2, 3, 4.5)),
            case("redwood in a trapezium", redwood[owin(poly = list(x = c(0, 1, .8, .1), y = c(-1, -.9, 0, -.1)))],
                 c(.041, .083, .21)),
            case("ell, at random", runifpoint(45, win = ell), c(.5, 1.5, 2.5))), collapse = ",\n"), "\n]}\n")
