"""Turns the JSON that make_reference.R prints into rows: case, quantity, value.

    python3 to_rows.py FOLDER_OF_JSON > counts.tsv

Terms get this project's names; nothing is computed here.
"""
import json
import re
import sys

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


print("case\tquantity\tvalue")
for case in CASES:
    with open(f"{sys.argv[1]}/{case}.json") as file:
        data = json.load(file)
    for family in ["poisson", "negbin"]:
        for quantity, value in rows(case, family, data[family]):
            print(f"{case}\t{quantity}\t{value!r}")
