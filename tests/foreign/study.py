"""The odds on vehicles of a generator that shares nothing with the program's engine:

    python tests/foreign/study.py --count 300 --rows rows.csv

For each vehicle three diagnoses: of its log alone, of the log with four hand readings, of six entries. A row for each
is appended as it is done; it can be stopped and started again. Then the table is printed, and by cause, beside each
number what a judge would score whose odds mean what they say (the odds' own promise). ``--minutes`` ends it after so
long.
"""

from __future__ import annotations

import argparse
import csv
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from drawn import CAUSES, Drawn, drawn

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.causes.catalogue import CAUSES as LISTED
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import Effort
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord

EFFORT = Effort(prior=32, round=700, rounds=3, wanted_likely=120, wanted_possible=40)  # a third of the product's draws
STAGES = ("log", "hands", "six")
FIELDS = (
    "seed",
    "stage",
    "truth",
    "way",
    "cold",
    "inlet",
    "fuel",
    "top",
    "p_top",
    "p_true",
    "rate",
    "promised",
    "under",
    "seconds",
)
Row = dict[str, str]


def judged(v: Drawn) -> list[Row]:
    """The three diagnoses of one vehicle."""
    log = read_log(v.log.encode())
    first = _diagnosed(v.alone, {"before": log}, None)
    found = {"log": first, "hands": _diagnosed(v.hands, {"before": log}, first[0]), "six": _diagnosed(v.six, {}, None)}
    return [_row(v, stage, *found[stage]) for stage in STAGES]


def _diagnosed(
    tree: dict[str, object], logs: dict[str, LogRecord], earlier: Diagnosis | None
) -> tuple[Diagnosis, float]:
    case = resolve(CaseText(tree))
    assert isinstance(case, Case), case
    none = {key: 0.0 for key in LISTED if key not in CAUSES}
    began = time.process_time()
    found = diagnose(case, logs, base_rates=none, effort=EFFORT, earlier=earlier)
    return found, time.process_time() - began


def _row(v: Drawn, stage: str, d: Diagnosis, seconds: float) -> Row:
    p = np.array([c.probability for c in d.causes])
    rates = np.array([max(d.base_rates.rates[c.fault], 1e-9) for c in d.causes])
    some = p > 1e-9
    promised = float((p[some] * np.log2(p[some] / rates[some])).sum())  # bits that odds gain which mean what they say
    values = {
        "seed": v.seed,
        "stage": stage,
        "truth": v.truth,
        "way": v.way,
        "cold": int(v.cold),
        "inlet": int(v.inlet),
        "fuel": int(v.fuel_told),
        "top": d.best.fault,
        "p_top": f"{d.best.probability:.5f}",
        "p_true": f"{d.probability(v.truth):.6f}",
        "rate": f"{d.base_rates.rates[v.truth]:.6f}",
        "promised": f"{promised:.4f}",
        "under": f"{p[p < 0.01].sum():.5f}",
        "seconds": f"{seconds:.2f}",
    }
    return {key: str(values[key]) for key in FIELDS}


def table(rows: Sequence[Row]) -> list[str]:
    """Scores by stage, by stratum and by cause."""
    lines = [
        "| evidence | stratum | vehicles | bits gained | promised | likeliest is true | promised "
        "| of claims of 80 % right | true cause under 1 % | promised |",
        "| --- | --- | --- | --- | --- | --- | --- | --- | --- | --- |",
    ]
    strata: list[tuple[str, Callable[[Row], bool]]] = [
        ("all", lambda _: True),
        ("idled", lambda r: r["way"] == "idling"),
        ("driven", lambda r: r["way"] != "idling"),
        ("under 5 degC", lambda r: r["cold"] == "1"),
        ("5 degC and over", lambda r: r["cold"] == "0"),
        ("valve at the inlet", lambda r: r["inlet"] == "1"),
        ("valve at the outlet", lambda r: r["inlet"] == "0"),
        ("fuel measured", lambda r: r["fuel"] == "1" and r["stage"] != "six"),
        ("fuel not measured", lambda r: r["fuel"] == "0" and r["stage"] != "six"),
    ]
    for stage in STAGES:
        for name, holds in strata:
            part = [r for r in rows if r["stage"] == stage and holds(r)]
            if len(part) >= 5:
                lines.append(_scores(stage, name, part))
    lines += ["", "| cause | vehicles | " + " | ".join(f"{s}: mean odds, bits" for s in STAGES) + " |"]
    lines.append("| --- | --- | --- | --- | --- |")
    for key in CAUSES:
        parts = [[r for r in rows if r["stage"] == s and r["truth"] == key] for s in STAGES]
        if parts[0]:
            told = [f"{_numbers(p, 'p_true').mean():.2f}, {_bits(p).mean():+.2f}" for p in parts]
            lines.append(f"| {key} | {len(parts[0])} | " + " | ".join(told) + " |")
    return lines


def _scores(stage: str, name: str, part: Sequence[Row]) -> str:
    bits, promised = _bits(part), _numbers(part, "promised")
    right = np.array([r["top"] == r["truth"] for r in part], float)
    p, true = _numbers(part, "p_top"), _numbers(part, "p_true")
    sure = p >= 0.8
    claims = f"{right[sure].mean():.2f} of {int(sure.sum())} (told {p[sure].mean():.2f})" if sure.any() else "none"
    error = bits.std(ddof=1) / np.sqrt(len(bits))
    return (
        f"| {stage} | {name} | {len(part)} | {bits.mean():.2f} ± {error:.2f} | {promised.mean():.2f} "
        f"| {right.mean():.2f} | {p.mean():.2f} | {claims} | {(true < 0.01).mean():.3f} "
        f"| {_numbers(part, 'under').mean():.3f} |"
    )


def _numbers(rows: Sequence[Row], key: str) -> np.ndarray:
    return np.array([float(r[key]) for r in rows])


def _bits(rows: Sequence[Row]) -> np.ndarray:
    """Bits by which the true cause's odds rose over its base rate."""
    return np.log2(np.maximum(_numbers(rows, "p_true"), 1e-6) / _numbers(rows, "rate"))


def rows_in(path: Path) -> list[Row]:
    """Rows that are there."""
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines())) if path.exists() else []


def main() -> None:
    """Run, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--rows", type=Path, default=Path(__file__).with_name("rows.csv"))
    parser.add_argument("--minutes", type=float, default=np.inf)
    o = parser.parse_args()
    there, began = {r["seed"] for r in rows_in(o.rows)}, time.monotonic()
    for seed in range(o.seed, o.seed + o.count):
        if time.monotonic() - began > 60.0 * o.minutes:
            break
        if str(seed) in there:
            continue
        new = judged(drawn(seed))
        begins = not o.rows.exists()
        with o.rows.open("a", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, FIELDS)
            if begins:
                writer.writeheader()
            writer.writerows(new)
        sys.stderr.write(" ".join(f"{r['stage']} {r['p_true']}" for r in new) + f" {new[0]['truth']}\n")
    sys.stdout.write("\n".join(table(rows_in(o.rows))) + "\n")


if __name__ == "__main__":
    main()
