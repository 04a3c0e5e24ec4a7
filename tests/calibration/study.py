"""Calibration study of the diagnosis:  python tests/calibration/study.py --count 150 --seed 5000 [--rows rows.csv]

Draws vehicles (see ``vehicles``), diagnoses each, and writes one row for each and the table of scores. It can be
stopped and started again: rows that are there are kept.
"""

from __future__ import annotations

import argparse
import csv
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from vehicles import Vehicle, vehicle

from engcalc.evidence.diagnosis import Diagnosis, diagnose
from engcalc.evidence.sampler import Effort

EFFORT = Effort(prior=48, steps=1, first=40, round=1300, rounds=3)  # less than a diagnosis takes, to see more vehicles
FIELDS = ("seed", "truth", "top", "p_top", "p_true", "in_group", "p_group", "entropy_prior", "entropy", "rule_true",
          "inlet", "ambient", "hottest", "rich", "hand", "effective", "reason", "seconds", "second_seed")
Row = dict[str, str]


def judged(seed: int, second: bool) -> Row:
    """One vehicle drawn and diagnosed."""
    v, began = vehicle(seed), time.process_time()
    d = _diagnosed(v, 1)
    took = time.process_time() - began
    p = np.array([c.probability for c in d.causes])
    rates = np.array(list(v.rates.values()))
    rates = rates / rates.sum()
    group = next((g for g in d.groups if d.best.fault in g.faults), None)
    members = group.faults if group else (d.best.fault,)
    other = abs(_diagnosed(v, 2).probability(d.best.fault) - d.best.probability) if second else float("nan")
    numbers = {"seed": seed, "truth": v.truth, "top": d.best.fault, "p_top": d.best.probability,
               "p_true": d.probability(v.truth), "in_group": int(v.truth in members),
               "p_group": group.probability if group else d.best.probability, "entropy_prior": _entropy(rates),
               "entropy": _entropy(p), "rule_true": trade_rule(v), "inlet": int(v.inlet), "ambient": v.ambient,
               "hottest": v.hottest, "rich": int(v.rich), "hand": v.hand_readings, "effective": d.best.effective,
               "reason": v.reason, "seconds": took, "second_seed": other}
    return {k: f"{x:.5g}" if isinstance(x, float) else str(x) for k, x in numbers.items()}


def _diagnosed(v: Vehicle, seed: int) -> Diagnosis:
    return diagnose(v.case, v.logs, base_rates=v.rates, seed=seed, effort=EFFORT)


def _entropy(p: np.ndarray) -> float:
    some = p[p > 1e-12]
    return float(-(some * np.log2(some)).sum())


COLD = ("thermostat_stuck_open", "thermostat_missing", "thermostat_opens_early", "low_coolant", "sensor_reads_low")
HOT = ("fan_not_running", "fan_clutch_slipping", "radiator_restricted", "face_blocked", "thermostat_stuck_shut",
       "low_coolant", "pump_weak", "sensor_reads_high")
RULES: dict[str, tuple[str, ...]] = {
    "level_low": ("low_coolant", "external_leak", "gas_in_coolant"), "coolant_leak": ("external_leak", "low_coolant"),
    "bubbles_when_running": ("gas_in_coolant",), "upper_hose_warms_early": COLD[:3],
    "fan_runs_always": ("fan_always_on",), "face_dirty": ("face_blocked",),
    "lower_hose_collapses": ("suction_hose_collapsed",), "vent_cold": (
        "heater_core_restricted", "heater_valve_closed", "heater_blend_stuck", "low_coolant")}


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


def expected_calibration_error(p: np.ndarray, right: np.ndarray, bins: int = 10) -> float:
    """Mean gap of claim and share right over bins of equal count."""
    order = np.argsort(p)
    parts = np.array_split(order, min(bins, max(len(p) // 5, 1)))
    return float(sum(len(i) * abs(p[i].mean() - right[i].mean()) for i in parts) / len(p))


def perfect(p: np.ndarray, seed: int = 1) -> float:
    """What a perfectly calibrated judge would score on the same odds: chance alone."""
    rng = np.random.default_rng(seed)
    return float(np.mean([expected_calibration_error(p, rng.random(len(p)) < p) for _ in range(400)]))


def table(rows: Sequence[Row]) -> list[str]:
    """The scores as lines of a table."""
    def get(key: str) -> np.ndarray:
        return np.array([float(r[key]) for r in rows])

    def mean(x: np.ndarray) -> float:
        return float(x.mean()) if x.size else float("nan")

    p, true = get("p_top"), get("p_true")
    right = np.array([r["top"] == r["truth"] for r in rows])
    lines = ["| what | vehicles | found | aim | a perfect judge |", "| --- | --- | --- | --- | --- |"]
    strata = {"overall": (np.ones(len(rows), bool), 0.05), "inlet-side valve": (get("inlet") == 1, 0.08),
              "outlet-side valve": (get("inlet") == 0, 0.08), "ambient under 5 degC": (get("ambient") < 5.0, 0.08),
              "never reached 80 degC": (get("hottest") < 80.0, 0.08), "log-rich": (get("rich") == 1, 0.08),
              "reading-poor": (get("rich") == 0, 0.08)}
    for name, (which, aim) in strata.items():
        if which.sum() >= 10:
            lines.append(f"| top-cause calibration error, {name} | {which.sum()} | "
                         f"{expected_calibration_error(p[which], right[which]):.3f} | under {aim} | "
                         f"{perfect(p[which]):.3f} |")
    sure = p >= 0.8
    recovered = 1.0 - get("entropy").mean() / get("entropy_prior").mean()
    stuck = np.array([r["truth"] == "thermostat_stuck_open" for r in rows])
    bits, rule = np.log2(np.maximum(true, 1e-6)), np.log2(np.maximum(get("rule_true"), 1e-6))
    twice = get("second_seed")
    twice = twice[np.isfinite(twice)]
    lines += [
        f"| claims of 80 % or more that are right | {sure.sum()} | {mean(right[sure]):.2f} | 0.85 | "
        f"{mean(p[sure]):.2f} |",
        f"| true cause under 1 % | {len(rows)} | {mean(true < 0.01):.3f} | 0.01 | |",
        f"| top cause right | {len(rows)} | {mean(right):.2f} | | {mean(p):.2f} |",
        f"| top group holds the true cause | {len(rows)} | {mean(get('in_group')):.2f} | 0.85 | "
        f"{mean(get('p_group')):.2f} |",
        f"| the same where the valve is stuck open | {stuck.sum()} | {mean(get('in_group')[stuck]):.2f} | 0.95 | |",
        f"| entropy of the base rates taken away | {len(rows)} | {recovered:.2f} | | |",
        f"| bits of the true cause beyond the rules of thumb | {len(rows)} | {mean(bits - rule):.2f} | 0.5 | |",
        f"| two seeds within 5 points | {twice.size} | {mean(twice < 0.05):.2f} | 0.95 | |",
        f"| effective draws of the top cause, 10th percentile and median | {len(rows)} | "
        f"{np.quantile(get('effective'), 0.1):.0f}, {np.median(get('effective')):.0f} | 400 | |",
        f"| processor seconds for one diagnosis, mean | {len(rows)} | {mean(get('seconds')):.1f} | 10 | |"]
    return lines


def missed(rows: Sequence[Row]) -> list[str]:
    """The vehicles whose true cause had less than 1 %."""
    return [f"- seed {r['seed']}: {r['truth']} had {100 * float(r['p_true']):.1f} %; "
            f"{r['top']} was given {100 * float(r['p_top']):.0f} % ({r['reason']})"
            for r in rows if float(r["p_true"]) < 0.01]


def main() -> None:
    """Run, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--seed", type=int, default=5000)
    parser.add_argument("--rows", type=Path)
    parser.add_argument("--minutes", type=float, default=1e9)
    o = parser.parse_args()
    rows: list[Row] = []
    if o.rows and o.rows.exists():
        rows = list(csv.DictReader(o.rows.open()))
    began, there = time.monotonic(), {int(r["seed"]) for r in rows}
    for i, seed in enumerate(s for s in range(o.seed, o.seed + o.count) if s not in there):
        if time.monotonic() - began > 60.0 * o.minutes:
            break
        rows.append(judged(seed, second=i % 10 == 0))
        if o.rows:
            with o.rows.open("w", newline="") as file:
                writer = csv.DictWriter(file, FIELDS)
                writer.writeheader()
                writer.writerows(rows)
    sys.stdout.write("\n".join([*table(rows), "", *missed(rows)]) + "\n")


if __name__ == "__main__":
    main()
