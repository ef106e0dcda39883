# Reference values for internal/psychometrics, by R of Debian 12: psych 2.2.9, lme4 1.1-31.
# Run: Rscript reference.R > reference.csv
suppressMessages({library(psych); library(lme4)})
out <- function(name, x) cat(sprintf("%s,%s\n", name, paste(sprintf("%.10g", x), collapse=" ")))
cat("name,values\n")

study <- function(key, m) {
  colnames(m) <- paste0("V", seq_len(ncol(m)))
  a <- suppressWarnings(suppressMessages(psych::alpha(as.data.frame(m), check.keys=FALSE, warnings=FALSE)))
  out(paste0(key, ".alpha"), a$total$raw_alpha)
  out(paste0(key, ".difficulty"), colMeans(m))
  out(paste0(key, ".item_rest"), sapply(seq_len(ncol(m)), function(i) cor(m[,i], rowSums(m[,-i]))))
  out(paste0(key, ".item_total"), a$item.stats$raw.r)
  out(paste0(key, ".alpha_dropped"), a$alpha.drop$raw_alpha)
  n <- nrow(m); k <- ncol(m)
  out(paste0(key, ".feldt"), 1 - (1 - a$total$raw_alpha) * qf(c(.975, .025), n - 1, (n - 1) * (k - 1)))
}
ten <- c("1111110110","1011011101","1111011001","0010001000","0000010010",
         "1110111111","1101110111","1111111101","0101111101","1101101110")
study("ten", do.call(rbind, lapply(strsplit(ten, ""), as.numeric)))
data(bock)
study("lsat6", as.matrix(lsat6))

# persons x cases: Shrout and Fleiss 1979
sf <- matrix(c(9,2,5,8, 6,1,3,2, 8,4,6,8, 7,1,2,6, 10,5,6,9, 6,2,4,7), ncol=4, byrow=TRUE)
long <- data.frame(y=as.vector(sf), p=factor(rep(1:6, 4)), c=factor(rep(1:4, each=6)))
v <- as.data.frame(VarCorr(lmer(y ~ (1|p) + (1|c), data=long)))
out("crossed.components", c(v$vcov[v$grp=="p"], v$vcov[v$grp=="c"], v$vcov[v$grp=="Residual"]))
icc <- suppressMessages(suppressWarnings(ICC(sf, lmer=FALSE)))$results
out("crossed.icc2k_icc3k", icc$ICC[icc$type %in% c("ICC2k","ICC3k")])

# persons x (items : cases): invented, 12 x (4 : 3), all components above zero
set.seed(20)
np <- 12; nc <- 3; ni <- 4
P <- rnorm(np, 0, 2); C <- rnorm(nc, 0, 1.5); PC <- matrix(rnorm(np*nc, 0, 1.2), np); I <- matrix(rnorm(nc*ni, 0, 1), nc)
d <- expand.grid(i=1:ni, c=1:nc, p=1:np)
d$y <- round(10 + P[d$p] + C[d$c] + PC[cbind(d$p, d$c)] + I[cbind(d$c, d$i)] + rnorm(nrow(d), 0, 1), 3)
out("nested.data", d$y)
d$item <- factor(paste(d$c, d$i)); d$p <- factor(d$p); d$c <- factor(d$c); d$pc <- interaction(d$p, d$c)
v <- as.data.frame(VarCorr(lmer(y ~ (1|p) + (1|c) + (1|item) + (1|pc), data=d, control=lmerControl(optimizer="bobyqa"))))
out("nested.components", sapply(c("p","c","item","pc","Residual"), function(g) v$vcov[v$grp==g]))
t <- anova(aov(y ~ p + c + c:item + p:c, data=d))
out("nested.mean_squares_p_c", t$`Mean Sq`[1:2])

# borderline regression
g <- c(1,1,2,2,2,3,3,3,4,4,5,5); y <- c(38,45,48,55,52,60,66,63,72,78,85,90)
f <- lm(y ~ g); s <- summary(f)
out("borderline", c(coef(f), predict(f, data.frame(g=2)), s$r.squared, s$sigma, predict(f, data.frame(g=2), se.fit=TRUE)$se.fit))
