"""Final odds of real vehicles, each by all the product's draws:

    HEATDOCKET_LOGS=FOLDER python tests/road/odds.py trips
    HEATDOCKET_LOGS=FOLDER python tests/road/odds.py hands

``trips``: fourteen healthy trips judged as screening by their logs; class and fuel are told, nothing else. ``hands``:
the vehicles whose owners told readings and what was found (``hand_cases.json`` of the field records), each as a
workshop would type it in. Prints the tables of RESULTS.md and writes ``odds_trips.csv`` or ``odds_hands.csv``. Some 3 s
of processor time a trip and up to 15 s a hand case.
"""

from __future__ import annotations

import csv
import sys
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

from records import LOG_AMBIENT, folder

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.catalogue.healthy import HEALTHY
from engcalc.diagnosis.odds.diagnosis import Diagnosis, diagnose
from engcalc.diagnosis.settled import with_odds
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.words.answer.answer import check_label

HEALTHY_LEAST, FAULT_MOST = 0.90, 0.04  # of each healthy trip
LEADING = 5  # causes that are told of a hand case


def coolant(at: str, read: str, instrument: str = "scan_tool") -> dict[str, str]:
    """One reading of the coolant."""
    return {"what": "coolant", "at": at, "value": read, "instrument": instrument}


# As their owners told it (hand_cases.json names the places): what was not told is not typed. Minutes are ours where an
# owner says "when warm" or "steady". Hand-7 shows two instruments that part, and no record of a run: it is not judged.
HAND_CASES: Mapping[str, tuple[str, dict[str, Any]]] = {
    "hand-1": (
        "thermostat, replaced: cured",
        {
            "job": {"reason": "slow warm-up"},
            "vehicle": {"class": "family car"},
            "evidence": {
                "before": {"ambient": "0 degC", "codes": ["P0126"], "spots": [coolant("30 min", "75 degC")]},
            },
        },
    ),
    "hand-2": (
        "not confirmed: thermostat suspected",
        {
            "job": {"reason": "slow warm-up"},
            "vehicle": {"class": "sports car"},
            "engine": {"aspiration": "turbo", "displacement": "1.8 L"},
            "evidence": {
                "before": {
                    "ambient": "15.6 degC",
                    "driving": "mixed",
                    "spots": [coolant("15 min", "74.4 degC"), coolant("20 min", "74.4 degC")],
                },
            },
        },
    ),
    "hand-3": (
        "not confirmed: thermostat suspected",
        {
            "job": {"reason": "slow warm-up"},
            "vehicle": {"class": "family car"},
            "evidence": {
                "before": {"ambient": "-1.1 degC", "codes": ["P0128"], "spots": [coolant("30 min", "67.2 degC")]},
            },
        },
    ),
    "hand-4": (
        "nothing: the dealer calls it normal",
        {
            "job": {"reason": "slow warm-up"},
            "vehicle": {"class": "small car"},
            "evidence": {
                "before": {
                    "ambient": "1 degC",
                    "driving": "mixed",
                    "spots": [
                        coolant("5 min", "16 degC"),
                        coolant("10 min", "51.7 degC"),
                        coolant("20 min", "89.5 degC"),
                    ],
                },
            },
        },
    ),
    "hand-5": (
        "pump's impeller loose on its shaft, replaced",
        {
            "job": {"reason": "hot at speed"},
            "vehicle": {"class": "sports car"},
            "engine": {"displacement": "1.6 L", "aspiration": "natural"},
            "coolant": {"base": "water", "cap_pressure": "7 psi"},
            "thermostat": {"rating": "71 degC"},
            "evidence": {
                "before": {
                    "ambient": "32.2 degC",
                    "schedule": [
                        {"duration": "20 min", "vehicle_speed": "0 km/h"},
                        {"duration": "3 min", "vehicle_speed": "60 mph"},
                    ],
                    "spots": [
                        coolant("20 min", "88 degC", "dash_gauge"),
                        coolant("22 min", "112.8 degC", "dash_gauge"),
                    ],
                },
            },
        },
    ),
    "hand-6": (
        "healthy",
        {
            "job": {"reason": "screening"},
            "vehicle": {"class": "pickup"},
            "engine": {"displacement": "4.6 L"},
            "evidence": {
                "before": {"ambient": "22 degC", "driving": "mixed", "spots": [coolant("30 min", "87 degC")]},
            },
        },
    ),
}


def case_of(tree: Mapping[str, Any]) -> Case:
    """The case of a tree, without its format; every key of it is known."""
    found = resolve(CaseText({"format": FORMAT, **tree}))
    assert isinstance(found, Case), found
    assert not found.warnings, found.warnings
    return found


def judged(tree: Mapping[str, Any], log: LogRecord | None = None) -> tuple[Diagnosis, float]:
    """The final odds, and the processor time [s] that they took."""
    began = time.process_time()
    found = diagnose(case_of(tree), {} if log is None else {"before": log})
    return found, time.process_time() - began


def trips(logs: Path) -> list[list[str]]:
    """A row for each healthy trip: odds of healthy, the likeliest fault with its odds, processor time [s]."""
    paths = [*sorted((logs.parent / "field" / "trips").glob("trip-*.csv")), *(logs / f"{n}.csv" for n in LOG_AMBIENT)]
    rows = []
    for path in paths:
        tree = {
            "job": {"reason": "screening"},
            "vehicle": {"class": "family car"},
            "engine": {"fuel": "diesel"},
            "evidence": {"before": {"log": {"file": path.name}}},
        }
        found, seconds = judged(tree, read_log(path))
        fault = next(cause for cause in found.causes if cause.fault != HEALTHY.key)
        healthy = found.probability(HEALTHY.key)
        holds = healthy >= HEALTHY_LEAST and fault.probability <= FAULT_MOST
        rows.append(
            [
                path.stem,
                f"{healthy:.3f}",
                fault.fault,
                f"{fault.probability:.3f}",
                "yes" if holds else "no",
                f"{seconds:.1f}",
            ]
        )
        shown(rows[-1])
    return rows


def hands() -> list[list[str]]:
    """A row for each hand case: what was found on the vehicle, the verdict, and the leading causes with their odds."""
    rows = []
    for name, (found_on_it, tree) in HAND_CASES.items():
        found, seconds = judged(tree)
        leading = ", ".join(f"{cause.fault} {cause.probability:.2f}" for cause in found.causes[:LEADING])
        check = "none" if found.next_check is None else found.next_check.key
        whole = check_with_records(found.case, {})
        verdict = check_label(with_odds(whole.check, found.record, found.causes))
        rows.append([name, found_on_it, verdict, leading, check, f"{seconds:.1f}"])
        shown(rows[-1])
    return rows


def shown(row: list[str]) -> None:
    """Print a row of the table of RESULTS.md."""
    sys.stdout.write("| " + " | ".join(row) + " |\n")
    sys.stdout.flush()


HEADS = {
    "trips": ["trip", "healthy", "likeliest fault", "its odds", "held", "processor time, s"],
    "hands": ["case", "found on the vehicle", "verdict", "leading causes", "next check", "processor time, s"],
}

if __name__ == "__main__":
    part = sys.argv[1] if len(sys.argv) > 1 else ""
    if part not in HEADS:
        raise SystemExit("say trips or hands")
    where = folder()
    if where is None:
        raise SystemExit("HEATDOCKET_LOGS does not name the folder of the real logs")
    made = trips(where) if part == "trips" else hands()
    with Path(__file__).with_name(f"odds_{part}.csv").open("w", newline="") as file:
        csv.writer(file).writerows([HEADS[part], *made])
