"""Calibration study of the diagnosis:

    python tests/calibration/study.py --count 1000 --seed 30000 --rows rows.csv --jobs 2

Draws vehicles (see ``vehicles``), diagnoses each with the product's own effort, and appends one row for each as it is
done; then prints the table of scores (see ``scores``) and the misses. It can be stopped and started again: rows that
are there are kept. Of the first four hundred every twentieth vehicle is judged once more by another seed of the draws;
every eighth one, if it has a log, by its log alone and with four hand readings.
"""

from __future__ import annotations

import argparse
import csv
import math
import sys
import time
from collections.abc import Iterator, Sequence
from multiprocessing import Pool
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from scores import Row, missed, table, wrong_claims
from vehicles import Vehicle, vehicle

from engcalc.case.case import Case
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.sampler import LIKELY, POSSIBLE, Effort
from engcalc.units import Array

EFFORT = Effort()
FIELDS = (
    "seed",
    "truth",
    "top",
    "p_top",
    "p_true",
    "in_group",
    "p_group",
    "uniform",
    "entropy_prior",
    "entropy",
    "under",
    "rate_true",
    "rule_true",
    "inlet",
    "ambient",
    "hottest",
    "rich",
    "hand",
    "least_likely",
    "least_possible",
    "reason",
    "seconds",
    "second_seed",
    "alone_true",
    "alone_entropy",
    "alone_in_group",
    "alone_p_group",
    "four_true",
    "four_entropy",
    "four_in_group",
    "four_p_group",
)
SECOND_SEED, TWICE = 20, 8  # every so many vehicles, by the seed
MORE_UP_TO = 400  # of each thousand seeds: only these are judged more than once, for the sake of time


def judged(seed: int) -> Row:
    """One vehicle drawn and diagnosed."""
    v, began = vehicle(seed), time.process_time()
    d = _diagnosed(v, v.case)
    took = time.process_time() - began
    p, rates = np.array([c.probability for c in d.causes]), np.array(list(v.rates.values()))
    held, by_group = _group(d, v)
    found: dict[str, object] = {
        "seed": seed,
        "truth": v.truth,
        "top": d.best.fault,
        "p_top": d.best.probability,
        "p_true": d.probability(v.truth),
        "in_group": held,
        "p_group": by_group,
        "uniform": math.log2(len(rates)),
        "entropy_prior": _entropy(rates / rates.sum()),
        "entropy": _entropy(p),
        "under": float(p[p < 0.01].sum()),
        "rate_true": v.rates[v.truth] / sum(v.rates.values()),
        "rule_true": trade_rule(v),
        "inlet": int(v.inlet),
        "ambient": v.ambient,
        "hottest": v.hottest,
        "rich": int(v.rich),
        "hand": v.hand_readings,
        "least_likely": _least(d, LIKELY),
        "least_possible": _least(d, POSSIBLE),
        "reason": v.reason,
        "seconds": took,
        "second_seed": math.nan,
    }
    more = seed % 1000 < MORE_UP_TO
    if more and seed % SECOND_SEED == 0:
        other = _diagnosed(v, v.case, 2)
        found["second_seed"] = abs(other.probability(d.best.fault) - d.best.probability)
    stages = {"alone": v.alone, "four": v.four} if more and seed % TWICE == 0 else {}
    for name in ("alone", "four"):
        found |= _stage(name, v, stages.get(name))
    return {k: f"{found[k]:.5g}" if isinstance(found[k], float) else str(found[k]) for k in FIELDS}


def _stage(name: str, v: Vehicle, case: Case | None) -> dict[str, object]:
    """Scores of the same vehicle with other evidence."""
    if case is None:
        return {f"{name}_{what}": math.nan for what in ("true", "entropy", "in_group", "p_group")}
    d = _diagnosed(v, case)
    held, by_group = _group(d, v)
    p = np.array([c.probability for c in d.causes])
    return {
        f"{name}_true": d.probability(v.truth),
        f"{name}_entropy": _entropy(p),
        f"{name}_in_group": held,
        f"{name}_p_group": by_group,
    }


def _diagnosed(v: Vehicle, case: Case, seed: int = 1) -> Diagnosis:
    return diagnose(case, v.logs, base_rates=v.rates, seed=seed, effort=EFFORT)


def _group(d: Diagnosis, v: Vehicle) -> tuple[int, float]:
    """Whether the first group named (a cause alone is one too) holds the truth, and the odds that it was given."""
    group = next((g for g in d.groups if d.best.fault in g.faults), None)
    members, p = (group.faults, group.probability) if group else ((d.best.fault,), d.best.probability)
    return int(v.truth in members), p


def _least(d: Diagnosis, above: float) -> float:
    """Fewest effective draws among the causes above a probability."""
    return min((c.effective for c in d.causes if c.probability > above), default=math.nan)


def _entropy(p: Array) -> float:
    some = p[p > 1e-12]
    return float(-(some * np.log2(some)).sum())


COLD = ("thermostat_stuck_open", "thermostat_missing", "thermostat_opens_early", "low_coolant", "sensor_reads_low")
HOT = (
    "fan_not_running",
    "fan_clutch_slipping",
    "radiator_restricted",
    "face_blocked",
    "thermostat_stuck_shut",
    "low_coolant",
    "pump_weak",
    "sensor_reads_high",
)
RULES: dict[str, tuple[str, ...]] = {
    "level_low": ("low_coolant", "external_leak", "gas_in_coolant"),
    "coolant_leak": ("external_leak", "low_coolant"),
    "bubbles_when_running": ("gas_in_coolant",),
    "upper_hose_warms_early": COLD[:3],
    "fan_runs_always": ("fan_always_on",),
    "face_dirty": ("face_blocked",),
    "lower_hose_collapses": ("suction_hose_collapsed",),
    "vent_cold": ("heater_core_restricted", "heater_valve_closed", "heater_blend_stuck", "low_coolant"),
}


def trade_rule(v: Vehicle) -> float:
    """Odds of the true cause by rules of thumb: base rates, times 6 for what a reading points to, a sixth for what it
    speaks against. Common practice, no source."""
    weight = dict(v.rates)
    record = v.case.evidence.before
    assert record is not None

    def points(keys: Sequence[str], factor: float) -> None:
        for key in keys:
            if key in weight:
                weight[key] *= factor

    if v.settled_minutes > 15.0:
        points(COLD, 6.0 if v.shown_end < 70.0 else 1.0 / 6.0 if v.shown_end > 80.0 else 1.0)
        points(HOT, 6.0 if v.shown_end > 108.0 else 1.0 / 6.0)
    for fact, keys in RULES.items():
        if fact in record.seen:
            points(keys, 6.0 if record.seen[fact] else 1.0 / 6.0)
    return weight[v.truth] / sum(weight.values())


def rows_in(path: Path) -> list[Row]:
    """The whole rows of a file; one that was cut off is left out, and its line ended."""
    if not path.exists():
        return []
    text = path.read_text(encoding="utf-8")
    if text and not text.endswith("\n"):
        path.write_text(text + "\n", encoding="utf-8")
    return [r for r in csv.DictReader(text.splitlines()) if all(r.values())]


def run(seeds: Sequence[int], path: Path, jobs: int) -> Iterator[Row]:
    """Judge the vehicles that are not in the file, several at a time; append each as it is done."""
    there = {int(r["seed"]) for r in rows_in(path)}
    left = [seed for seed in seeds if seed not in there]
    new = not path.exists()
    with Pool(jobs) as pool, path.open("a", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, FIELDS)
        if new:
            writer.writeheader()
        for row in pool.imap_unordered(judged, left):
            writer.writerow(row)
            file.flush()
            yield row


def main() -> None:
    """Run, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=30000)
    parser.add_argument("--rows", type=Path, default=Path("rows.csv"))
    parser.add_argument("--jobs", type=int, default=2)
    o = parser.parse_args()
    seeds = range(o.seed, o.seed + o.count)
    for row in run(seeds, o.rows, o.jobs):
        sys.stderr.write(f"{row['seed']} {row['truth']} {row['p_true']} {row['top']} {row['p_top']}\n")
    rows = [r for r in rows_in(o.rows) if int(r["seed"]) in seeds]
    parts = [
        *table(rows),
        "",
        "True cause under 0.2 %:",
        "",
        *missed(rows),
        "",
        "Wrong claims of 80 % or more:",
        "",
        *wrong_claims(rows),
    ]
    sys.stdout.write("\n".join(parts) + "\n")


if __name__ == "__main__":
    main()
