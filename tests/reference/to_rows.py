"""Turns the JSON that make_reference.R prints into rows: case, quantity, value, tolerance, reason.

    python3 to_rows.py FOLDER_OF_JSON counts > counts.tsv
    python3 to_rows.py FOLDER_OF_JSON mixed > mixed.tsv

Terms get this project's names; tolerances stand in tolerances.py; nothing is computed here.
"""
import json
import re
import sys

import tolerances

FACTORS = {"trt": "treatment", "trtc": "treatment", "spray": "treatment", "treat": "treatment",
           "row": "row", "col": "column", "block": "block", "Eth": "Eth", "Sex": "Sex",
           "Age": "Age", "Lrn": "Lrn"}
CASES = ["insectsprays", "cochran_wireworms", "cochran_eelworms", "beall_webworms",
         "bliss_borers_glm", "all_zero_treatment", "underdispersed_rcbd"]


def term(name):
    if name == "(Intercept)":
        return "(intercept)"
    if name == "linit":
        return "before"
    for short in sorted(FACTORS, key=len, reverse=True):
        if re.match(short + r"(?=[A-Z0-9])", name):
            return f"{FACTORS[short]}[{name[len(short):]}]"
    return name


def rows(case, family, block):
    if not isinstance(block, dict) or "coefficients" not in block:
        return
    for name, c in block["coefficients"].items():
        yield f"{family}.estimate.{term(name)}", c["estimate"]
        yield f"{family}.se.{term(name)}", c["se"]
    for key in ["logLik", "deviance", "df_residual", "pearson_chi2", "theta", "se_theta"]:
        if key in block:
            yield f"{family}.{key}", block[key]
    for key in ["LR_vs_no_treatment", "LR_vs_no_treatment_corrected"]:
        if isinstance(block.get(key), dict):
            yield f"{family}.{key}", block[key]["chi2"]
            yield f"{family}.{key}.p", block[key]["p"]


def mixed_rows(family, block):
    for name, c in block["coefficients"].items():
        yield f"{family}.estimate.{term(name)}", c["estimate"]
        if isinstance(c.get("se"), float):
            yield f"{family}.se.{term(name)}", c["se"]
    for name, value in block["random_sd"].items():
        yield f"{family}.sigma.{name}", value
    if isinstance(block.get("logLik"), float):
        yield f"{family}.logLik", block["logLik"]
    if isinstance(block.get("theta"), float):
        yield f"{family}.theta", block["theta"]
    ratio = block.get("LR_vs_no_treatment")
    if isinstance(ratio, dict):
        yield f"{family}.LR_vs_no_treatment", ratio["chi2"]


def tell(case, quantity, value, tolerance):
    print("\t".join([case, quantity, repr(value), *tolerance(case, quantity)]))


print("case\tquantity\tvalue\ttolerance\treason")
if sys.argv[2] == "counts":
    for case in CASES:
        with open(f"{sys.argv[1]}/{case}.json") as file:
            data = json.load(file)
        for family in ["poisson", "negbin"]:
            for quantity, value in rows(case, family, data[family]):
                tell(case, quantity, value, tolerances.counts)
else:
    for case in ["cochran_eelworms_glmm", "beall_webworms_glmm", "beall_webworms_plot_glmm"]:
        with open(f"{sys.argv[1]}/{case}.json") as file:
            data = json.load(file)
        for family in ["glmmTMB_poisson", "glmmTMB_nbinom2", "lme4_glmer_poisson_nAGQ25"]:
            if family in data:
                for quantity, value in mixed_rows(family, data[family]):
                    tell(case, quantity, value, tolerances.mixed)
