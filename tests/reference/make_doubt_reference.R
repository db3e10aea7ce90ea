# Reference figures for diagnostics and for counts on several occasions.
# Run in this folder: Rscript make_doubt_reference.R   (writes doubt.tsv)
suppressPackageStartupMessages({library(MASS); library(glmmTMB)})
rows <- list()
# Each answer with how closely it must be met ("-": not compared) and why not more closely.
add <- function(case, quantity, value, tolerance, reason)
  rows[[length(rows)+1]] <<- data.frame(case=case, quantity=quantity, value=sprintf("%.12g", as.numeric(value)), tolerance=tolerance, reason=reason)
digits <- "twelve printed digits of a number from 0 to 1"
stops <- "the other search stops at about 1e-5 of a variance"; flat <- "flat at the maximum; the other search stops first"
# Chances about a count.
for (y in c(0,1,3,12,40)) for (mu in c(0.4,3,25)) for (k in c(0.3,2,50,Inf)) {
  p <- function(q) if (is.infinite(k)) ppois(q, mu) else pnbinom(q, size=k, mu=mu)
  add("limits", paste(y,mu,k,"below",sep="|"), p(y-1), "1e-11", digits); add("limits", paste(y,mu,k,"upto",sep="|"), p(y), "1e-11", digits)
}
# Shapiro-Francia by its definition, on Darwin's maize heights, and Royston's chance.
x <- read.csv("../published/darwin_maize.csv")$height; n <- length(x)
w <- cor(sort(x), qnorm(ppoints(n, a=3/8)))^2; u <- log(n); v <- log(u)
add("darwin_maize", "n", n, "0", "a whole number"); add("darwin_maize", "w", w, "1e-8", "a correlation, from twelve printed digits")
add("darwin_maize","p", pnorm((log(1-w)-(-1.2725+1.0521*(v-u)))/(1.0308-0.26758*(v+2/u)), lower.tail=FALSE), "1e-6", "a tail area: ten times the error of its point")
# Leverage.
s <- read.csv("../../data-examples/published/insect_sprays_beall1942.csv"); s$spray <- factor(s$spray, levels=c("C","A","B","D","E","F"))
m <- glm.nb(count~spray, s, control=glm.control(epsilon=1e-12,maxit=200))
for (i in c(1,20,30,72)) add("insect_sprays", paste0("leverage.",i), hatvalues(m)[i], "1e-6", "hangs on k, whose search stops at about 1e-6")
# Score tests; for the negative binomial at the k of the smaller model.
gp <- glm(count~1, poisson, s, control=glm.control(epsilon=1e-12)); add("insect_sprays","poisson.score",anova(gp, update(gp,count~spray), test="Rao")$Rao[2], "1e-6", "in closed form, from the fit of one mean")
m0 <- glm.nb(count~1, s, control=glm.control(epsilon=1e-14,maxit=500)); a <- 1/m0$theta; mu <- mean(s$count)
add("insect_sprays","nb.score", sum(tapply(s$count,s$spray,function(y) sum(y-mu)^2/(length(y)*mu*(1+a*mu)))), "1e-6", "at the k of the other's search, which stops at about 1e-6")
# Zero inflation: a share of empty plots beside the negative binomial.
zi <- function(case, f, d) { a<-glmmTMB(f,d,family=nbinom2); b<-glmmTMB(f,d,family=nbinom2,ziformula=~1)
  none <- case == "zero_insect_sprays"
  add(case, "nb.log_likelihood", logLik(a), "1e-8", "flat at the maximum")
  add(case, "zinb.log_likelihood", logLik(b), if (none) "1e-7" else "1e-6", if (none) "flat at the maximum, which the other ends a little below" else "flat at the maximum, along which the other ends early")
  add(case, "zinb.share", plogis(fixef(b)$zi), if (none) "-" else "1e-3", if (none) "the share of nothing: the other stops short of 0" else "the other stops early where k hardly matters")
  add(case, "zinb.k", sigma(b), if (none) "1e-3" else "-", if (none) "the other's search stops at about 1e-4 of the log of k" else "flat: the other stops anywhere in the hundreds") }
zi("zero_insect_sprays", count~spray, s)
made <- data.frame(y=c(rep(0,30),9,12,7,15,11,8,10,14,6,13,9,12,5,18,10,11,7,16,8,12)); zi("zero_made", y~1, made)
# Treatment by occasion, the plot a random unit, Laplace.
e <- read.csv("../../data-examples/published/cochran_eelworms.csv"); e$plot <- factor(seq_len(nrow(e)))
e$trt <- factor(ifelse(e$fumigant=="Con","Con","fumigated"), levels=c("Con","fumigated"))
l <- rbind(data.frame(y=e$initial,occ="initial",trt=e$trt,block=e$block,plot=e$plot), data.frame(y=e$final,occ="final",trt=e$trt,block=e$block,plot=e$plot))
l$occ <- factor(l$occ, levels=c("initial","final"))
ctl <- glmmTMBControl(optCtrl=list(iter.max=2000,eval.max=2000,rel.tol=1e-13))
full <- glmmTMB(y~trt*occ+block+(1|plot), l, family=nbinom2, control=ctl); null <- glmmTMB(y~trt+occ+block+(1|plot), l, family=nbinom2, control=ctl)
add("eelworms","full.log_likelihood",logLik(full),"1e-6",flat); add("eelworms","null.log_likelihood",logLik(null),"1e-6",flat)
add("eelworms","interaction",fixef(full)$cond[["trtfumigated:occfinal"]],"1e-4",stops); add("eelworms","sigma",attr(VarCorr(full)$cond$plot,"stddev"),"1e-3",stops); add("eelworms","k",sigma(full),"1e-3",stops)
# The same with block by occasion taken out.
by_full <- glmmTMB(y~trt*occ+block*occ+(1|plot), l, family=nbinom2, control=ctl); by_null <- glmmTMB(y~trt+block*occ+(1|plot), l, family=nbinom2, control=ctl)
add("eelworms","by_block.full.log_likelihood",logLik(by_full),"1e-6",flat); add("eelworms","by_block.null.log_likelihood",logLik(by_null),"1e-6",flat)
add("eelworms","by_block.interaction",fixef(by_full)$cond[["trtfumigated:occfinal"]],"1e-4",stops)
out <- do.call(rbind, rows); writeLines(c("case\tquantity\tvalue\ttolerance\treason", paste(out$case,out$quantity,out$value,out$tolerance,out$reason,sep="\t")), "doubt.tsv")
cat(R.version.string, "MASS", as.character(packageVersion("MASS")), "glmmTMB", as.character(packageVersion("glmmTMB")), "\n")
