"""How closely each answer of other software must be met, and why not more closely. Used by to_rows.py.

A tolerance is relative to the larger of the value and a floor that the reader names. `-` says that the row is kept to be
read beside ours, not compared; the reason says why.
"""

# Cases in which the likelihood of the negative binomial rises all the way to k infinite: the search of the other ran
# away with k, and what hangs on its last k was lost with it.
RUNAWAY = {"cochran_wireworms", "all_zero_treatment"}
ITERATION = "the other stops at 1e-12 of the deviance, which is a millionth of an estimate"


def counts(case, quantity):
    """Tolerance and reason of a row of counts.tsv."""
    family, name = quantity.split(".", 1)
    if case == "all_zero_treatment" and name in ("estimate.treatment[A]", "se.treatment[A]"):
        return "-", "no finite maximum: ours is minus infinity with an infinite standard error"
    if family == "negbin" and case in RUNAWAY:
        if name in ("theta", "se_theta"):
            return "-", "no finite maximum: ours is the Poisson limit"
        if name == "logLik" and case == "cochran_wireworms":
            return "-", "the other's log-gamma differences lost their digits at k = 1e13"
        if name.startswith("LR_vs_no_treatment") and case == "all_zero_treatment":
            return "-", "the other missed the smaller model's maximum at k = 0.389; ours is 30.1936741"
        if name.startswith("LR_vs_no_treatment") and "corrected" not in name:
            return "-", "from the log-likelihood that lost its digits; the corrected row is compared"
    if name == "df_residual":
        return "0", "a whole number"
    if name in ("theta", "se_theta"):
        return "1e-5", "the other's search stops at about 1e-6 of k"
    if name == "logLik":
        return "1e-8", "flat at the maximum, so that the other's last step costs nothing"
    if name.endswith(".p"):
        return "1e-6", "of its logarithm: half the statistic's own error"
    return "1e-6", ITERATION


def mixed(case, quantity):
    """Tolerance and reason of a row of mixed.tsv."""
    family, name = quantity.split(".", 1)
    if name == "logLik":
        return "1e-8", "flat at the maximum; ours may only lie above by more"
    if name == "LR_vs_no_treatment":
        return "1e-6", "a difference of two log-likelihoods"
    if family.startswith("lme4"):
        if name.startswith("se."):
            return "-", "the other takes the standard deviation of blocks for known, ours does not"
        return "3e-4", "the other search stops at about 1e-4 of a variance"
    if name.startswith("se."):
        return "2e-5", "the other search stops at about 1e-5 of a variance"
    if case == "beall_webworms_plot_glmm":
        return "1e-4", "plots within blocks: a flatter surface, on which ours ends 6e-8 higher"
    return "3e-5", "the other search stops at about 1e-5 of a variance"
