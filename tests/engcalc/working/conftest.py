"""Duties of many kinds, solved: every step of the working applies in one of them at least."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from engcalc.case.case import Case
from engcalc.case.file import parse_case, read_case
from engcalc.case.resolve import Faults, resolve
from engcalc.case.text import CaseText
from engcalc.components.exchanger import Arrangement
from engcalc.studies.check import check
from engcalc.working.chain import work
from engcalc.working.chapters import WorkedChapter
from engcalc.working.results import Results

EXAMPLES = sorted((Path(__file__).resolve().parents[3] / "worked_examples").glob("*.heatcase.json"))

HILL = {"name": "hill", "vehicle_speed": "100 km/h", "grade": "6 %", "ambient": "30 degC"}
FLOWS = {"name": "bench", "coolant_flow": "60 L/min", "air_velocity": "4 m/s"}
MADE: dict[str, dict[str, Any]] = {
    "two passes, valve at the inlet": {
        "vehicle": {"class": "delivery van"},
        "thermostat": {"side": "inlet"},
        "radiator": {"passes": "2"},
        "duties": [HILL, {"name": "frost", "ambient": "-10 degC", "heater": "high"}],
    },
    "a maker's point, blocked face and tubes": {
        "vehicle": {"class": "sports car"},
        "radiator": {
            "rated_heat": "70 kW",
            "rated_coolant_flow": "120 L/min",
            "rated_air_velocity": "6 m/s",
            "rated_inlet_difference": "60 K",
            "blocked_face": "10 %",
            "blocked_tubes": "15 %",
        },
        "duties": [HILL],
    },
    "fuel flow measured": {
        "duties": [
            {**HILL, "fuel_flow": "9 kg/h", "brake_power": "30 kW", "engine_speed": "3000 rpm"},
            {**HILL, "fuel_flow": "9 kg/h", "brake_power": "66 kW", "engine_speed": "3000 rpm"},
        ]
    },
    "a fan on the crankshaft, air in the coolant": {
        "airflow": {"fan_drive": "fixed"},
        "circuit": {"aeration": "4 %"},
        "duties": [
            {"name": "standing", "engine_speed": "3000 rpm"},
            {"name": "fast, low speed of the engine", "vehicle_speed": "150 km/h", "engine_speed": "1400 rpm"},
        ],
    },
    "oil coolers in both tanks": {
        "vehicle": {"class": "sports car"},
        "circuit": {
            "extra": [
                {"kind": "oil cooler", "heat": "6 kW", "place": place, "conductance": "500 W/K"}
                for place in ("hot tank", "cold tank")
            ]
        },
        "duties": [HILL],
    },
    "ducted, at the rear, uneven air": {
        "vehicle": {"class": "sports car"},
        "airflow": {"exit_pressure": "-0.15", "intake_rise": "8 K", "uneven_air": "6 %", "fan_stopped": "80 %"},
        "duties": [{**HILL, "vehicle_speed": "150 km/h", "fan": "off"}],
    },
    "stout tubes": {
        "vehicle": {"class": "bench rig"},
        "radiator": {"tube_height": "5 mm", "tube_width": "12 mm", "tube_pitch": "14 mm", "fin_height": "9 mm"},
        "circuit": {"extra": [{"heat": "5 kW"}]},
        "duties": [FLOWS],
    },
    "a duty that ends before it settles": {"duties": [{**HILL, "brake_power": "60 kW", "duration": "1 min"}]},
    "a coolant heater": {
        "heater": {"coolant_heater": "fuel-fired"},
        "duties": [{"name": "frost", "ambient": "-20 degC", "heater": "high"}],
    },
    "overrun": {"duties": [{"name": "downhill", "vehicle_speed": "80 km/h", "grade": "-9 %"}]},
    "turbulent tubes, plain water": {
        "vehicle": {"class": "bench rig"},
        "circuit": {"extra": [{"heat": "30 kW"}]},
        "duties": [
            {**FLOWS, "coolant_flow": "150 L/min"},
            {**FLOWS, "coolant_flow": "70 L/min"},
            {**FLOWS, "coolant_flow": "12 L/min"},
        ],
    },
    "no limit below boiling": {"limits": {"coolant_limit": "140 degC"}, "duties": [HILL]},
    "very little coolant": {
        "vehicle": {"class": "bench rig"},
        "circuit": {"extra": [{"heat": "3 kW"}]},
        "duties": [{**FLOWS, "coolant_flow": "2 L/min"}],
    },
    **{
        f"arranged {word}, {passes} passes": {
            "vehicle": {"class": "bench rig"},
            "circuit": {"extra": [{"heat": "5 kW"}]},
            "radiator": {"arrangement": word, "passes": passes},
            "duties": [{**FLOWS, "coolant_flow": "8 L/min"}, {**FLOWS, "coolant_flow": "1.5 L/min"}],
        }
        for word in ("both unmixed", "air mixed", "coolant mixed", "both mixed", "counterflow", "parallel flow")
        for passes in ("1", "2")
    },
}


@dataclass(frozen=True, eq=False)
class Solved:
    """One solved duty with its working."""

    name: str
    results: Results
    arrangement: Arrangement
    chapters: tuple[WorkedChapter, ...]


def case_of(text: CaseText) -> Case:
    case = resolve(text)
    assert not isinstance(case, Faults), case.faults
    return case


def _all() -> Iterator[Solved]:
    texts = {path.name: read_case(path) for path in EXAMPLES}
    texts |= {
        name: parse_case(json.dumps({"format": "heatdocket-case/1", **made}).encode()) for name, made in MADE.items()
    }
    for name, text in texts.items():
        checked = check(case_of(text), members=0)
        for duty in checked.duties:
            if bool(duty.point.solved[0]):
                results = Results(duty.duty, duty, checked.plant)
                arrangement = checked.plant.arrangement
                yield Solved(f"{name}: {duty.name}", results, arrangement, work(results))


@pytest.fixture(scope="session")
def solved_duties() -> tuple[Solved, ...]:
    return tuple(_all())
