"""Trouble codes as evidence: how likely a control unit sets each, and what the absence of others says.

Codes that come of one cause are one report with several names: they count once. Where any code was read, the control
unit was asked: that it has none of another report counts too, where the monitor of that report would have run. Rates
are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from engcalc.causes.record import VisibleState
from engcalc.diagnosis.evidence.sights import SeenItem, of_state, rising
from engcalc.diagnosis.members.simulated import Simulated
from engcalc.units import Array
from engcalc.vehicle.run import Run
from engcalc.words.texts import diagnosis_texts

OIL_LIMIT = 408.15  # K; 135 degC, at which a control unit warns of hot oil
COLD_START = 308.15  # K; 35 degC, up to which the thermostat's monitor begins; from memory of makers' summaries
NO_FROST = 266.48  # K; 20 degF, from which it may not be held off: 13 CCR 1968.2 (e)(10), from memory
LONG_ENOUGH = 900.0  # s; of running, after which it has judged; common practice, no source

STAYS_COLD = ("P0125", "P0126", "P0128")
SENSOR_CIRCUIT = ("P0115", "P0116", "P0117", "P0118", "P0119")
INTAKE_CIRCUIT = ("P0111", "P0112", "P0113")
FAN_CIRCUIT = ("P0480", "P0481", "P0482", "P0483", "P0484", "P0485", "P0691", "P0692")
NAMES_LESS = {"P2181": (*STAYS_COLD, "P0217")}  # the same report as any of these, which say more


def _stays_cold(s: Simulated) -> Array:
    short = s.rating - 11.0 - s.shown.max(axis=0)
    return rising(short, 0.0, 4.0, 0.03, 0.7)


def _gets_hot(s: Simulated) -> Array:
    return rising(s.shown.max(axis=0), 388.15, 6.0, 0.02, 0.8)


def _circuit(s: Simulated) -> Array:
    return np.maximum(
        rising(s.states[VisibleState.ERRATIC], 0.5, 0.1, 0.01, 0.6),
        rising(s.states[VisibleState.SENSOR_ERROR], 15.0, 8.0, 0.01, 0.4),
    )


def _fan_circuit(s: Simulated) -> Array:
    off = 1.0 - s.states[VisibleState.FAN_RUNS]
    return rising(np.maximum(off, s.states[VisibleState.FAN_ALWAYS]), 0.6, 0.15, 0.02, 0.5)


def _little_flow(s: Simulated) -> Array:
    return np.maximum(
        rising(-s.states[VisibleState.PUMP], -0.3, 0.15, 0.02, 0.6),
        rising(s.states[VisibleState.IMPELLER], 0.5, 0.1, 0.02, 0.6),
    )


def _off_model(s: Simulated) -> Array:
    return np.maximum(_stays_cold(s), _gets_hot(s))


def _hot_oil(s: Simulated) -> Array:
    return rising(s.block.max(axis=0), OIL_LIMIT, 8.0, 0.01, 0.5)


def _fan_slow(s: Simulated) -> Array:
    return rising(-s.states[VisibleState.FAN_RUNS], -0.6, 0.15, 0.02, 0.5)


CODES: Mapping[str, Callable[[Simulated], Array]] = {
    **dict.fromkeys(STAYS_COLD, _stays_cold),
    "P0217": _gets_hot,
    **dict.fromkeys(SENSOR_CIRCUIT, _circuit),
    **dict.fromkeys(FAN_CIRCUIT, _fan_circuit),
    "P0494": _fan_slow,
    "P0495": of_state(VisibleState.FAN_ALWAYS, 0.5, 0.1, 0.02, 0.5),
    # a valve heated all the time by a fault of its circuit opens well under its rating
    **dict.fromkeys(("P0598", "P0599"), of_state(VisibleState.VALVE_EARLY, 3.0, 1.0, 0.02, 0.3)),
    "P2181": _off_model,
    "P0298": _hot_oil,
    "P2560": of_state(VisibleState.LEVEL, 0.15, 0.05, 0.02, 0.8),
    **dict.fromkeys(("P00B7", "P2600", "P2601", "P2602", "P2603"), _little_flow),
}
"""Probability that a control unit sets each code in a simulated member."""


UNUSED_CODES = {
    "P0597": diagnosis_texts.HEATED_VALVE_THAT_IS_NOT_HEATED,
    **dict.fromkeys(INTAKE_CIRCUIT, diagnosis_texts.IT_SPEAKS_OF_THE_INTAKE_AIRS_SENSOR),
}


def code_sights(codes: Sequence[str], ran: Sequence[tuple[str, ...]]) -> list[SeenItem]:
    """One sight for each report that was read, by all its names, and one for each that a monitor ran for and which
    is absent: the families in ``ran``. Nothing where no code was read at all."""
    known = [code for code in dict.fromkeys(codes) if code in CODES]
    told = [code for code in known if not set(NAMES_LESS.get(code, ())) & set(known)]
    reports: dict[Callable[[Simulated], Array], list[str]] = {}
    for code in told:
        reports.setdefault(CODES[code], []).append(code)
    found = [SeenItem(f"codes.{names[0]}", ", ".join(names), True, sets) for sets, names in reports.items()]
    absent = [family for family in ran if codes and not set(family) & {*known, *_told_beside(known)}]
    return found + [SeenItem(f"codes.{f[0]}", ", ".join(f), False, _monitored(f)) for f in absent]


def _told_beside(known: Sequence[str]) -> set[str]:
    """Codes whose report is there by a name that says less."""
    return {code for name in known for code in NAMES_LESS.get(name, ())}


def _monitored(family: tuple[str, ...]) -> Callable[[Simulated], Array]:
    """Only an electric fan has a circuit that is watched."""
    if family is not FAN_CIRCUIT:
        return CODES[family[0]]
    return lambda s: np.asarray(np.where(s.fan_wanted > 0.0, _fan_circuit(s), 0.0))


def monitors_that_ran(run: Run) -> list[tuple[str, ...]]:
    """Families of codes whose monitor would have run in this record: circuits always, the thermostat's after a cold
    start in no hard frost that was long enough."""
    start = float(run.drive.start[0])
    ambient = float(run.drive.conditions.ambient[0].max())
    warmed = start <= COLD_START and ambient >= NO_FROST and run.drive.duration >= LONG_ENOUGH
    return [SENSOR_CIRCUIT, FAN_CIRCUIT, *([STAYS_COLD] if warmed else [])]
