"""What a vehicle's own healthy record is worth at its next visit, and whether it ever hides a fault: by hand.

``python tests/calibration/second_visit.py 40`` invents so many vehicles that come twice, each with another drive, other
weather and another error of the model, and judges the second visit with and without the first one's record as what is
expected of the vehicle. A third of them are healthy at the second visit; the others are why it warms up slowly. Beside
it the same where the first record was not healthy though somebody confirmed it: whether the record is taken at all, and
what becomes of the fault then.
Vehicles are those of ``vehicles.py``, which is not the judge's twin.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from math import log2

import numpy as np
from calibrated_logs import wandering
from vehicles import _drive, _happened, _log, _resolved, _until_stopped

from engcalc.case.case import Case
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.odds.own_history import prior_from
from engcalc.logs.record import LogRecord
from engcalc.vehicle.own_prior import OwnHistory, OwnPrior, changed_since

CLASSES = ("small car", "family car", "large car", "delivery van")
FAULTS = ("thermostat_stuck_open", "thermostat_opens_early", "thermostat_missing", "sensor_reads_low")
REASONS = ("screening", "slow warm-up")  # of the first visit and the second one
K0 = 273.15
DAYS = 365.0
LEAST = 0.001  # of a probability, in a score


class Twice:
    """One vehicle: its hidden traits by a seed, and records of it."""

    def __init__(self, seed: int) -> None:
        rng = np.random.default_rng([seed, 17])
        self.seed, self.rng = seed, rng
        self.class_ = str(rng.choice(CLASSES))
        self.side = "inlet" if rng.random() < 0.4 else "outlet"

    def record(self, truth: str, reason: str) -> tuple[Case, dict[str, LogRecord]]:
        """One visit with this truth: the case that holds the log, and the log."""
        ambient = float(self.rng.uniform(-8.0, 18.0))
        tree = {
            "vehicle": {"class": self.class_},
            "job": {"reason": reason},
            "thermostat": {"side": self.side},
            "evidence": {"before": {"ambient": f"{ambient:.1f} degC"}},
        }
        drive, _ = _drive(self.rng, _resolved(tree), ambient, "low", True, 0.0)
        traits = np.random.default_rng([self.seed, 18])  # the same at each visit
        s = _until_stopped(_happened(traits, _resolved(tree), truth, drive))
        shown = s.shown[:, 0] + wandering(self.rng, len(s.time)) + self.rng.normal(0.0, 0.8, len(s.time))
        tree["evidence"]["before"] |= {
            "start_temperature": f"{shown[0]:.2f} K",
            "soak": "12 h",
            "heater_setting": "low",
            "engine_off_phases": "no",
            "block_heater": "no",
            "auxiliary_heater": "none",
            "log": {"file": "log.csv"},
        }
        return _resolved(tree), {"before": _log(self.rng, s, shown, drive)}


def expecting(first: Diagnosis) -> OwnHistory | None:
    """The history that the program would take from a record that was confirmed, a year ago; None where it refuses."""
    found = prior_from(first, changed_since(DAYS))
    if not isinstance(found, OwnPrior):
        return None
    return OwnHistory(1, "2025-11-30", "before", first.probability("healthy"), found)


def rows(count: int) -> Iterator[dict[str, object]]:
    """One row for each vehicle, and one for each that was not healthy at the first visit either."""
    for seed in range(count):
        rng = np.random.default_rng([seed, 19])
        truth = "healthy" if seed % 3 == 0 else str(rng.choice(FAULTS))
        vehicle = Twice(seed)
        yield _row(vehicle, seed, "healthy", truth)
        if truth != "healthy":
            yield _row(Twice(seed), seed, truth, truth)


def _row(vehicle: Twice, seed: int, first: str, truth: str) -> dict[str, object]:
    before = diagnose(*vehicle.record(first, REASONS[0]))
    own = expecting(before)
    case, logs = vehicle.record(truth, REASONS[1])
    without = diagnose(case, logs)
    found: dict[str, object] = {
        "seed": seed,
        "first": first,
        "truth": truth,
        "first_healthy": round(before.probability("healthy"), 3),
        "taken": own is not None,
        "without": _scored(without, truth),
    }
    if own is not None:
        assert without.kept is not None
        problem = without.kept.problem
        found["narrower_bits"] = round(own.prior.bits(problem.unknowns, vehicle.side), 2)
        found["with"] = _scored(diagnose(case, logs, own=own), truth)
    return found


def _scored(found: Diagnosis, truth: str) -> dict[str, float]:
    return {
        "truth": round(found.probability(truth), 4),
        "fault": round(1.0 - found.probability("healthy"), 4),
        "bits": round(log2(max(found.probability(truth), LEAST)), 3),
    }


def summary(found: list[dict[str, object]]) -> dict[str, object]:
    """Bits gained by the history, and the faults that were found without it and not with it."""

    def mean(values: list[float]) -> float | None:
        return round(sum(values) / len(values), 3) if values else None

    def gain(row: dict) -> float:
        return row["with"]["bits"] - row["without"]["bits"]

    def hides(row: dict) -> bool:
        return row["truth"] != "healthy" and row["without"]["fault"] >= 0.5 > row["with"]["fault"]

    good = [row for row in found if row["first"] == "healthy" and row["taken"]]
    bad = [row for row in found if row["first"] != "healthy"]
    return {
        "healthy first": sum(row["first"] == "healthy" for row in found),
        "taken": len(good),
        "bits, healthy": mean([gain(row) for row in good if row["truth"] == "healthy"]),
        "bits, faulty": mean([gain(row) for row in good if row["truth"] != "healthy"]),
        "bits, all": mean([gain(row) for row in good]),
        "narrower by, bits": mean([row["narrower_bits"] for row in good]),
        "hidden": sum(hides(row) for row in good),
        "false alarms new": sum(
            row["truth"] == "healthy" and row["with"]["fault"] >= 0.5 > row["without"]["fault"] for row in good
        ),
        "false alarms gone": sum(
            row["truth"] == "healthy" and row["without"]["fault"] >= 0.5 > row["with"]["fault"] for row in good
        ),
        "faults found anew": sum(
            row["truth"] != "healthy" and row["with"]["fault"] >= 0.5 > row["without"]["fault"] for row in good
        ),
        "faulty first": len(bad),
        "faulty first, taken all the same": sum(bool(row["taken"]) for row in bad),
        "faulty first, hidden": sum(hides(row) for row in bad if row["taken"]),
    }


if __name__ == "__main__":
    every = []
    for row in rows(int(sys.argv[1])):
        every.append(row)
        sys.stdout.write(json.dumps(row) + "\n")
        sys.stdout.flush()
    sys.stdout.write(json.dumps(summary(every), indent=1) + "\n")
