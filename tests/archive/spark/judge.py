"""An archive judged by Apache Spark in local mode, part by part, and compared with one run: bit for bit.

    python3 judge.py HALFGREEN ARCHIVE_ONE ARCHIVE_SPARK

Both archives hold the same sources. The first is judged by one run of the program; of the second Spark deals out the parts, each of
which calls the program with --shard i/n, and `archive gather` puts the answers together. Spark then reads the rows themselves, from
the partitions by season and club, and its sums must be those of `archive describe`. Ends with 1 at the first difference.
"""

import json
import os
import subprocess
import sys

PARTS = 7


def halfgreen(*words):
    """The result of a command."""
    run = subprocess.run([program, "archive", *words, "--json"], capture_output=True, text=True)
    if run.returncode != 0:
        raise RuntimeError(f"archive {' '.join(words)}: {run.stderr}")
    return json.loads(run.stdout)["result"]


def content(archive, name):
    with open(os.path.join(archive, "effects", name), "rb") as file:
        return file.read()


program, one, dealt = (os.path.abspath(word) for word in sys.argv[1:4])


def main():
    # Here and not above: Spark sends what `part` needs to its workers, which need no Spark of their own for it.
    from pyspark.sql import SparkSession, functions as f

    whole = halfgreen("judge", one)
    assert whole["to_judge"] == 0 and whole["effects"] > 0, whole
    spark = SparkSession.builder.master("local[2]").appName("halfgreen").config("spark.ui.enabled", "false").getOrCreate()
    spark.sparkContext.setLogLevel("ERROR")
    binary, archive = program, dealt

    def part(number):
        words = [binary, "archive", "judge", archive, "--shard", f"{number}/{PARTS}", "--threads", "1", "--json"]
        run = subprocess.run(words, capture_output=True, text=True)
        # A part that fails is tried again by Spark, on another machine if there is one; what it had done is kept.
        if run.returncode != 0:
            raise RuntimeError(run.stderr)
        return json.loads(run.stdout)["result"]["judged"]

    judged = spark.sparkContext.parallelize(range(1, PARTS + 1), PARTS).map(part).collect()
    assert sum(judged) == whole["trials"], (judged, whole["trials"])
    assert sum(1 for n in judged if n > 0) > 1, judged
    gathered = halfgreen("gather", dealt)
    assert gathered["effects"] == whole["effects"], gathered
    for name in ["effects.csv", "effects.parquet", "left-out.csv"]:
        assert content(one, name) == content(dealt, name), f"{name} differs"
    rows = spark.read.option("basePath", f"{dealt}/counts").parquet(f"{dealt}/counts")
    sums = rows.groupBy("club", "treatment").agg(f.count("count").alias("n"), f.sum("count").alias("total"))
    theirs = sorted((r["club"], r["treatment"], r["n"], r["total"]) for r in sums.collect())
    ours = sorted((g["club"], g["treatment"], g["n"], g["total"]) for g in halfgreen("describe", dealt)["groups"])
    assert theirs == ours and len(ours) > 2, (theirs, ours)
    spark.stop()
    out = len(whole["left_out"])
    print(f"Spark {PARTS} parts {judged}, one run {whole['judged']}: {whole['effects']} effects, the same bits; {out} left out")
    print(f"{len(ours)} sums by club and treatment, read by Spark from the partitions: the same")


if __name__ == "__main__":
    main()
