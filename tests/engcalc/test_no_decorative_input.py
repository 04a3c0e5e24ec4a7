"""Every input of the catalogue moves some result: what is asked for counts, or it is words for the paper."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

import numpy as np
import pytest

from engcalc.case.case import Case, value_at, with_values
from engcalc.case.catalogue import CaseInput, catalogue
from engcalc.case.cause_rates import own_rates
from engcalc.case.conditions import conditions_of
from engcalc.case.declare import FileShape
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.causes.base_rates import base_rates, known_reason
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.evidence.complaint import told_by
from engcalc.diagnosis.evidence.observations import observed
from engcalc.errors import InputError
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.studies.check import check
from engcalc.studies.members import varied
from engcalc.studies.refill_check import check_refill
from engcalc.system.operating_point import solve
from engcalc.system.plant import prepare
from engcalc.units import parse
from engcalc.vehicle.logged_duties import filled
from engcalc.vehicle.run import run_of
from engcalc.vehicle.warmup_study import study
from engcalc.verdict import Finding
from engcalc.words.workshop.refill_words import refill_steps

MEMBERS = 8
ROWS = ["Time [s],RPM [rpm],Speed [km/h],MAF [g/s],Ambient air temperature [°C],Coolant [°C]"] + [
    f"{t},1500,50,{9 + 0.01 * t},12,{min(20 + 0.1 * t, 88)}" for t in range(900)
]
LOG = read_log("\n".join(ROWS).encode())

RADIATOR = {
    "rated_heat": "80 kW",
    "rated_coolant_flow": "120 L/min",
    "rated_air_velocity": "6 m/s",
    "rated_inlet_difference": "60 K",
}
VEHICLE: dict[str, Any] = {
    "vehicle": {"class": "family car"},
    "engine": {"aspiration": "turbo"},
    "airflow": {
        "fan_power": "220 W",
        "upstream": [
            {"name": "condenser", "kind": "condenser", "heat": "4 kW", "flow_resistance": "3"},
            {"kind": "charge air"},
        ],
        "shutter": "80 %",
    },
    "circuit": {
        "extra": [
            {"heat": "2 kW"},
            {"at_idle": "1 kW", "at_rated": "6 kW"},
            {"kind": "gearbox warmer"},
            {"kind": "exhaust heat"},
        ]
    },
    "heater": {"auxiliary_heat": "300 W"},
    "duties": [
        {
            "name": "hill",
            "vehicle_speed": "70 km/h",
            "grade": "7 %",
            "trailer_mass": "800 kg",
            "ambient": "35 degC",
            "relative_humidity": "60 %",
            "altitude": "500 m",
            "engine_speed": "3500 rpm",
            "limit": "112 degC",
        },
        {
            "name": "pull",
            "brake_power": "60 kW",
            "vehicle_speed": "40 km/h",
            "ambient": "35 degC",
            "duration": "3 min",
            "engine_speed": "4000 rpm",
        },
        {"name": "fuel", "fuel_flow": "6 kg/h", "vehicle_speed": "60 km/h", "start": "above", "duration": "2 min"},
        {"name": "frost", "ambient": "-15 degC", "heater": "high"},
    ],
}
RECORD = {
    "ambient": "-5 degC",
    "start_temperature": "-2 degC",
    "soak": "10 h",
    "heater_setting": "high",
    "engine_off_phases": "no",
    "block_heater": "no",
    "auxiliary_heater": "none",
    "codes": ["P0128"],
    "seen": {"upper_hose_warms_early": True},
    "schedule": [{"vehicle_speed": "50 km/h", "heater": "high", "engine_speed": "2000 rpm", "duration": "10 min"}],
    "spots": [
        {
            "what": "coolant",
            "at": "12 min",
            "value": "62 degC",
            "uncertainty": "2 K",
            "instrument": "infrared",
            "surface": "painted",
        }
    ],
}
PREHEATED = {
    **RECORD,
    "block_heater": "yes",
    "block_heater_time": "1 h",
    "auxiliary_heater": "fuel-fired",
    "coolant_heater_time": "20 min",
    "schedule": [{"vehicle_speed": "50 km/h", "duration": "10 min"}, {"engine_speed": "0 rpm", "duration": "5 min"}],
}
FANS = [
    {"ambient": "38 degC", "brake_power": "25 kW", "engine_speed": "2500 rpm"},
    {"ambient": "30 degC", "air_conditioning": "on"},
    {"ambient": "38 degC", "brake_power": "14 kW"},
]
STREAM_POINTS = [  # a Wilson plot's: one flow varied, the other kept; by volume, so that densities count
    {
        "hot_flow": f"{flow} L/min",
        "cold_flow": "2000 L/min",
        "hot_in": "70 degC",
        "hot_out": out,
        "cold_in": "20 degC",
        "cold_out": "45 degC",
    }
    for flow, out in (("2", "60 degC"), ("3", "62 degC"), ("4", "64 degC"))
]
STREAM_PROBLEMS = [
    {"hot_flow": "0.05 kg/s", "hot_in": "70 degC", "cold_flow": "0.04 kg/s", "cold_in": "20 degC", "heat": "1 kW"},
    {
        "hot_flow": "0.05 kg/s",
        "hot_out": "60 degC",
        "cold_flow": "0.04 kg/s",
        "cold_out": "40 degC",
        "conductance": "30 W/K",
    },
]
CONTEXTS: dict[str, dict[str, Any]] = {
    "two stages": {
        "airflow": {"fan_drive": "two-stage electric", "shutter_control": "active", "fan_low_speed": "40 %"},
        "duties": [*FANS, {"ambient": "38 degC", "brake_power": "32 kW", "engine_speed": "2500 rpm"}],
    },
    "senses air": {"vehicle": {"class": "pickup"}, "airflow": {"clutch_senses": "air"}, "duties": FANS},
    "vehicle": VEHICLE,
    "maker's point": {
        "radiator": RADIATOR,
        "airflow": {"fan_drive": "viscous clutch"},
        "circuit": {
            "extra": [
                {
                    "kind": "oil cooler",
                    "heat": "9 kW",
                    "effectiveness": "40 %",
                    "place": "hot tank",
                    "hottest": "100 degC",
                }
            ]
        },
        "duties": [
            {
                "name": "more than thin air allows",
                "brake_power": "95 kW",
                "engine_speed": "5500 rpm",
                "altitude": "3000 m",
                "vehicle_speed": "90 km/h",
            }
        ],
    },
    "bench": {
        "vehicle": {"class": "bench rig"},
        "circuit": {"extra": [{"heat": "4 kW"}]},
        "radiator": {"scale_to": "measured points"},
        "duties": [{"coolant_flow": "10 L/min", "air_velocity": "3 m/s"}],
        "rig": [
            {
                "hot_flow": "0.163 kg/s",
                "cold_flow": "0.24 kg/s",
                "hot_in": "62 degC",
                "hot_out": "54.2 degC",
                "cold_in": "21.3 degC",
                "cold_out": "43.3 degC",
            }
        ],
    },
    "streams": {
        "vehicle": {"class": "bench rig"},
        "hot_stream": {"fluid": "ethylene glycol", "concentration": "40 %", "flow_uncertainty": "1 %"},
        "cold_stream": {"fluid": "air", "pressure": "100 kPa", "temperature_uncertainty": "0.2 K"},
        "exchanger": {"arrangement": "crossflow, hot mixed", "area": "2 m2", "conductance": "180 W/K"},
        "rig": STREAM_POINTS,
        "problems": STREAM_PROBLEMS,
    },
    "stated": {
        "vehicle": {"class": "bench rig"},
        "hot_stream": {
            "fluid": "stated properties",
            "specific_heat": "2100 J/(kg K)",
            "density": "860 kg/m3",
            "temperature_uncertainty": "0.2 K",
        },
        "cold_stream": {"fluid": "propylene glycol", "concentration": "30 %", "flow_uncertainty": "1 %"},
        "exchanger": {"arrangement": "counterflow"},
        "rig": STREAM_POINTS,
        "problems": STREAM_PROBLEMS,
    },
    "stated cold": {
        "vehicle": {"class": "bench rig"},
        "hot_stream": {"fluid": "air", "pressure": "120 kPa"},
        "cold_stream": {"fluid": "stated properties", "specific_heat": "2000 J/(kg K)", "density": "860 kg/m3"},
        "exchanger": {"arrangement": "counterflow"},
        "rig": STREAM_POINTS,
    },
    "bare": {
        "vehicle": {"class": "delivery van"},
        "thermostat": {"closed_leak": "5 %", "kind": "wax"},
        "duties": [{"ambient": "-10 degC", "heater": "high"}],
    },
    "refill": {
        "refill": {
            "refractometer": "-20 degC",
            "scale": "propylene glycol",
            "drained": "1 L",
            "drainable": "1.2 L",
            "filled": "0.8 L",
            "level_fall": "20 mm",
            "tank_area": "120 cm2",
            "first_look": "60 degC",
            "pressed_fall": "0.1 L",
            "tester": "1 bar",
            "target": "55 %",
            "product": "60 %",
            "hottest": "100 degC",
            "altitude": "200 m",
        }
    },
    "logged": {"evidence": {"before": {"log": {"file": "drive.csv"}}}, "duties": [{"log_time": "5 min"}]},
}
RECORDED: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "watched": ({"vehicle": {"class": "family car"}}, RECORD),
    "heated": (
        {
            "vehicle": {"class": "delivery van"},
            "engine": {"block_heater_power": "600 W"},
            "heater": {"coolant_heater": "fuel-fired", "coolant_heat": "6 kW"},
            "duties": [{"ambient": "-10 degC", "heater": "high", "vehicle_speed": "50 km/h"}],
        },
        PREHEATED,
    ),
    "commanded": (
        {"circuit": {"pump_cold": "stands when cold"}},
        {
            **RECORD,
            "schedule": [
                {"vehicle_speed": "50 km/h", "heater": "off", "duration": "0.5 min"},
                {"vehicle_speed": "50 km/h", "heater": "high", "duration": "9 min"},
            ],
        },
    ),
    "typed curve": (
        {},
        {
            "curve": [[0, "0 degC"], [10, "50 degC"], [20, "80 degC"]],
            "heater_changes": [{"at": "6 min", "setting": "high"}],
        },
    ),
}
CONTEXTS |= {
    f"{name} {when}": {**tree, "evidence": {when: record}}
    for name, (tree, record) in RECORDED.items()
    for when in ("before", "after")
}
EXEMPT = {
    FileShape.TEXT: "words, for the paper",
    FileShape.LOG: "a file: read by its own tests and in the context of a log",
}
WORDS = {
    "job.reason": "what the customer came for: it chooses base rates and the order of the words",
    "job.photos": "pictures, for the paper",
    **{
        f"limits.room_{name}": "the room for a core: read by the search for the least core, in its own tests"
        for name in ("height", "width", "depth")
    },
    **{
        f"limits.free_{name}": "a bound of what may move beside the core: read by the same search, in its own tests"
        for name in ("fan", "opening", "exit", "pump", "cap", "mixture")
    },
    "airflow.fan_diameter": "decides how many fans fit the face: a rule between inputs, in its own tests",
    "job.candidates": "parts laid side by side: read by the comparison, in the tests of its command and view",
    "job.part_tables": "files of parts: read by the sizing, in the tests of its command and view",
}


CHEAP_FIRST = ("vehicle", "maker's point", "bench", "bare", "logged", "watched")
IN_TIME = ("logged", "watched")  # what only a warm-up feels is looked for there at once
OF_HEATERS = (
    "engine.block_heater_power",
    *(f"heater.coolant_{x}" for x in ("heater", "heat", "heater_reduces", "heater_stops", "heater_pump")),
    *(
        f"evidence.{record}.{x}"
        for x in ("block_heater_time", "block_heater_unplugged", "coolant_heater_time")
        for record in ("before", "after")
    ),
)
LOOKED_AT = (
    dict.fromkeys(
        (
            "duties[].log_time",
            "engine.air_fuel_ratio",
            "cabin.volume",
            "thermostat.time_constant",
            "limits.warm_up_temperature",
            "limits.warm_up_time",
        ),
        IN_TIME,
    )
    | dict.fromkeys(("job.told", "job.coolant_lost_at", "job.onset", "job.after_work"), ("typed curve",))
    | dict.fromkeys(OF_HEATERS, ("heated",))
    | dict.fromkeys(("circuit.pump_starts", "circuit.pump_for_heat", "circuit.pump_cold"), ("commanded",))
    | dict.fromkeys(
        (f"airflow.{x}" for x in ("fan_on", "fan_low_speed", "fan_high_on", "fan_high_off")), ("two stages",)
    )
    | dict.fromkeys(("airflow.shutter_opens", "airflow.shutter_full"), ("two stages",))
    | dict.fromkeys(("airflow.clutch_air_start", "airflow.clutch_air_full"), ("senses air",))
    | dict.fromkeys((f"limits.{x}" for x in ("confidence", "margin", "coolant_limit")), ("bare",))
    | dict.fromkeys((f"duties[].{x}" for x in ("limit", "duration", "start")), ("bare",))
    | {"cabin.target": ("bare",)}
)
# sections that nothing else looks at
ONLY_IN = {
    "evidence": ("watched", "typed curve", "heated"),
    "refill": ("refill",),
    "base_rates": ("typed curve",),
} | dict.fromkeys(("hot_stream", "cold_stream", "exchanger", "problems"), ("streams", "stated", "stated cold"))
Look = Callable[[Case], list[Any]]
INPUTS = ("duty", "record", "name", "path", "plant", "run", "leg", "as_read", "what")  # what results carry along


def case_of(tree: Mapping[str, Any]) -> Case:
    case = resolve(CaseText({"format": FORMAT, **tree}))
    assert isinstance(case, Case), case
    return case


def flat(node: Any) -> Iterator[Any]:
    """Every number and word of a result, without the inputs that it carries along."""
    if isinstance(node, np.ndarray):
        yield from ("none" if x != x else x for x in node.ravel().tolist())  # noqa: PLR0124  # only NaN differs from itself
    elif isinstance(node, Mapping):
        for key in node:
            yield key
            yield from flat(node[key])
    elif isinstance(node, tuple | list):
        for item in node:
            yield from flat(item)
    elif isinstance(node, Finding):
        yield node.code  # its numbers repeat inputs
    elif is_dataclass(node) and not isinstance(node, Case | type):
        for f in fields(node):
            if f.name not in INPUTS:
                yield from flat(getattr(node, f.name))
    elif isinstance(node, int | float | str):
        yield "none" if node != node else node  # noqa: PLR0124  # only NaN differs from itself


def settled(case: Case) -> list[Any]:
    """Every number of the duties' operating points, which a check begins with."""
    return list(flat(solve(prepare(case), conditions_of(case.duties))))


def checked(case: Case) -> list[Any]:
    """Every number of the check, its odds included."""
    return list(flat(check(case, members=MEMBERS)))


def logs_of(case: Case) -> dict[str, LogRecord]:
    return {name: LOG for name in ("before", "after") if (r := getattr(case.evidence, name)) and r.log is not None}


def weighed(case: Case) -> list[Any]:
    """What a diagnosis is given to weigh: what was observed and told, and how often each cause is met."""
    seen = [
        list(flat(observed(run_of(case, name, logs_of(case)))))
        for name in ("before", "after")
        if getattr(case.evidence, name) is not None
    ]
    rates = base_rates(case.job.reason, CAUSES, own_rates(case.base_rates)).rates
    told = told_by(case.job, known_reason(case.job.reason))
    return [*seen, *rates.values(), *((sight.what, sight.seen, sight.item) for sight in told.sights)]


def warmed_up(case: Case) -> list[Any]:
    """Every number of the warm-ups."""
    return list(flat(study(case, logs_of(case), members=1, fits=False)))


def refilled(case: Case) -> list[Any]:
    found = check_refill(case)
    return list(flat((found, refill_steps(found))))


def with_its_log(look: Look) -> Look:
    """The same of a case whose duties are filled from the log."""
    return lambda case: look(filled(case, {"before": LOG}))


def looks(context: str) -> tuple[Look, ...]:
    """What a context is looked at with, the quickest first: whatever moves there needs no second look."""
    if context == "logged":
        return tuple(with_its_log(look) for look in (settled, weighed, checked, warmed_up))
    if context == "refill":
        return (refilled,)
    return (weighed, warmed_up) if context.startswith(tuple(RECORDED)) else (settled, checked)


def places(case: Case, entry: CaseInput) -> Iterator[str]:
    """Paths of the input in this case, through the first items of its lists."""
    for k in range(4):
        path = entry.path.replace("[]", f"[{k}]")
        try:
            value_at(case, path)
        except (IndexError, AttributeError, TypeError):
            continue
        yield path
        if "[]" not in entry.path:
            return


def others(case: Case, entry: CaseInput, path: str) -> Iterator[Any]:
    """Other values that this place may have."""
    declared, now = entry.input, value_at(case, path)
    if declared.shape is FileShape.NUMBER:
        ends = [parse(text, declared.kind).si for text in (*(declared.usual or ()), *(declared.limits or ()))]
        if now is None:
            yield np.array([0.5 * (ends[0] + ends[1])])
            return
        x = float(now[0])
        step = 5.0 if declared.kind == "temperature" else 0.1 * abs(x) or 0.1 * (ends[1] or 1.0)
        yield from (np.array([x + step]), np.array([x - step]))
        yield from (np.array([end]) for end in ends if end != x)
    elif declared.shape is FileShape.WORD:
        yield from (word for word in declared.options if word != now)
    elif declared.shape is FileShape.FLAGS:
        yield from ({fact: told} for fact in declared.options for told in (True, False))
    elif declared.shape is FileShape.TEXTS:
        yield ("P0117",)
    elif declared.shape is FileShape.PAIRS:
        yield tuple((t, T + 3.0) for t, T in now)


def moves(context: str, look: int, entry: CaseInput) -> bool:
    """Whether any other value of the input changes anything at this look at the context."""
    for path in places(case := base(context), entry):
        for value in others(case, entry, path):
            try:
                changed = (
                    varied(case, {path: value}) if not isinstance(value, Mapping) else with_values(case, {path: value})
                )
                if looks(context)[look](changed) != seen(context, look):
                    return True
            except (InputError, ValueError):
                continue
    return False


@cache
def base(context: str) -> Case:
    """A context's case."""
    return case_of(CONTEXTS[context])


@cache
def seen(context: str, look: int) -> list[Any]:
    """What a look at the context's case gives."""
    return looks(context)[look](base(context))


def contexts_of(entry: CaseInput) -> Iterator[str]:
    """Where an input is looked at: of records in the one that it belongs to."""
    when = "after" if entry.path.startswith("evidence.after") else "before"
    for name in LOOKED_AT.get(entry.path) or ONLY_IN.get(entry.section, CHEAP_FIRST):
        yield f"{name} {when}" if name in RECORDED else name


def chances(entry: CaseInput) -> Iterator[tuple[str, int]]:
    """Where an input may move something: the quick look at each of its contexts, then the next."""
    contexts = tuple(contexts_of(entry))
    most = max(len(looks(name)) for name in contexts)
    return ((name, look) for look in range(most) for name in contexts if look < len(looks(name)))


@pytest.mark.parametrize("context", CONTEXTS)
def test_the_same_case_gives_the_same_results(context):
    for number, look in enumerate(looks(context)):
        assert look(base(context)) == seen(context, number)


@pytest.mark.parametrize(
    "entry", [e for e in catalogue() if e.input.shape not in EXEMPT and e.path not in WORDS], ids=lambda e: e.path
)
def test_an_input_moves_some_result(entry):
    assert any(moves(*chance, entry) for chance in chances(entry)), f"{entry.path} changes nothing anywhere"


def test_what_is_exempt_is_there_and_is_words_only():
    assert set(WORDS) <= {e.path for e in catalogue()}
    assert {e.path for e in catalogue() if e.input.shape is FileShape.LOG} == {
        "evidence.before.log",
        "evidence.after.log",
    }
