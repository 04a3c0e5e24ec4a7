"""The warm-up's steps in compiled C (``warmup_steps.c``) on what a run of the product renewed, and a clock on ours.

The C takes the same steps on the same coefficients: what ``renew`` finds every few seconds (properties, films,
effectiveness, heater, how cold the idle is) and the engine's heat of each step, its catalyst heating included, are
recorded from a run of the product and handed over as tables. It is an oracle of speed, and of the stepping's
bookkeeping; of the physics it says nothing. Times are processor time of this process, user and system, so that what
else runs on the machine counts little; both run on one thread.
The C goes member by member and so through scalar instructions, where numpy has vector ones: a C laid out for those
would be faster than this one.
"""

from __future__ import annotations

import ctypes
import re
import shutil
import subprocess
import time
from collections.abc import Callable
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from engcalc.components.fan import CLUTCH_LEAST, FanDrive
from engcalc.system.in_time import warmup
from engcalc.system.in_time.drive import Drive
from engcalc.system.in_time.lumps import CELLS, SHARP, air_table, pump_heads, pump_quicker
from engcalc.system.in_time.renewals import renew, renewals
from engcalc.system.in_time.step import HEATER_SIZE, step
from engcalc.system.in_time.step_fixed import FixedForRun, fix
from engcalc.system.in_time.step_state import State, begin, vent
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import SERIES
from engcalc.system.plant import Plant
from engcalc.system.upstream import UPSTREAM_MOST

SOURCE = Path(__file__).with_suffix(".c")
FAN_AS_IT_IS, FAN_ELECTRIC, FAN_CLUTCH = range(3)
COUNTS = (
    "members",
    "steps",
    "blocks",
    "engagements",
    "every",
    "outlet",
    "feels_return",
    "valve_there",
    "bypass_closes",
    "fan",
    "has_upstream",
)
TABLES = (
    "begins",
    "row_of",
    "node",
    "weight",
    "heads",
    "quick_pump",
    "ahead",
    "air_C",
    "air_UA",
    "recirculation",
    "heat",
    "extra",
    "fixed",
    "renewed",
    "state",
    "samples",
)


class Arguments(ctypes.Structure):
    """``struct run`` of the C."""

    _fields_ = (
        *((name, ctypes.c_int64) for name in COUNTS),
        ("h", ctypes.c_double),
        *((name, ctypes.c_void_p) for name in TABLES),
    )


def compiled(folder: Path) -> Callable[[Arguments], None]:
    """``run_steps`` built with ``cc -O2``; skips where there is no compiler that can build anything."""
    if shutil.which("cc") is None:
        pytest.skip("no C compiler (cc) here: the steps in C are not compared")
    trial = folder / "trial.c"
    trial.write_text("#include <math.h>\n#include <stdint.h>\ndouble trial(double x) { return exp(x); }\n")
    if _cc(trial, folder / "trial.so").returncode:
        pytest.skip("cc builds no shared library here (C library headers missing?): the steps in C are not compared")
    numbers = {
        "CELLS": CELLS,
        "SHARP": SHARP,
        "HEATER_SIZE": HEATER_SIZE,
        "CLUTCH_LEAST": CLUTCH_LEAST,
        "UPSTREAM_MOST": UPSTREAM_MOST,
    }
    built = _cc(SOURCE, folder / "steps.so", *(f"-D{name}={value!r}" for name, value in numbers.items()))
    assert built.returncode == 0, built.stderr
    function = ctypes.CDLL(str(folder / "steps.so")).run_steps
    function.argtypes, function.restype = [ctypes.POINTER(Arguments)], None
    return lambda arguments: function(ctypes.byref(arguments))


def _cc(source: Path, to: Path, *flags: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [
            "cc",
            "-std=c99",
            "-O2",
            "-Wall",
            "-Wextra",
            "-Werror",
            "-shared",
            "-fPIC",
            *flags,
            "-o",
            str(to),
            str(source),
            "-lm",
        ],
        capture_output=True,
        text=True,
        check=False,
    )


def fields_of(struct: str) -> np.dtype[Any]:
    """The doubles of a struct in the C file, so that names and order stand in one place."""
    body = re.search(rf"struct {struct} {{(.*?)}};", SOURCE.read_text(encoding="utf-8"), re.S)
    assert body is not None
    return np.dtype(
        [(name, np.float64, (CELLS,) if many else ()) for name, many in re.findall(r"(\w+)(\[CELLS\])?[,;]", body[1])]
    )


@dataclass
class Recorded:
    """A run of the product with what each renewal left and the heat of each step."""

    fixed: FixedForRun
    h: float  # s, half a step
    begun: np.ndarray  # state ahead of the first step
    begins: list[int]  # step of each renewal
    blocks: list[np.ndarray]  # what it left
    engaged: list[np.ndarray]  # of the fan
    heats: list[tuple[np.ndarray, np.ndarray]]  # W into metal and coolant
    of_fixed: np.ndarray  # what no step changes


def record(plant: Plant, drive: Drive, members: int) -> Recorded:
    """Run the product, in whole steps and with nothing that exchanges heat with oils or exhaust."""
    fixed = fix(plant, drive, members)
    state, whole = begin(fixed), fixed.run.whole
    assert not fixed.equipment.exchanges
    assert not fixed.rows.fan_draws or drive.fan_mode < 0.0
    due = renewals(fixed)
    ends = [*(renewal.k for renewal in due[1:]), len(fixed.rows.of)]
    made = Recorded(fixed, state.pace.h, np.empty(0), [], [], [], [], np.empty(0))
    for renewal, end in zip(due, ends, strict=True):
        renew(fixed, state, renewal)
        if renewal.k == 0:
            made.begun, made.of_fixed = struct("state", fixed, state), struct("fixed", fixed, state)
        made.begins.append(renewal.k)
        made.engaged.append(whole(state.engagement))
        made.blocks.append(struct("renewed", fixed, state))
        for k in range(renewal.k, end):
            Q, Q_x = state.engine.heat[k - renewal.k]
            made.heats.append((whole(Q).copy(), whole(Q_x).copy()))
            step(fixed, state, k)
    return made


def struct(name: str, fixed: FixedForRun, state: State) -> np.ndarray:
    """A struct of every member from the product's values of the same names; ``a0`` is the first of ``a``."""
    values = _by_name(fixed, state)
    made = np.empty(fixed.run.members, fields_of(name))
    whole = fixed.run.whole
    for field in made.dtype.names or ():
        listed = re.fullmatch(r"([a-z]+)(\d)", field)
        value = values[listed[1]][int(listed[2])] if listed else values[field]
        made[field] = np.stack([whole(x) for x in value], axis=-1) if field == "cells" else whole(value)
    return made


def _by_name(fixed: FixedForRun, state: State) -> dict[str, Any]:
    """The numbers of a run by the names that the C has for them."""
    groups = (fixed.lumps, fixed.valve, fixed.fan, state, state.pace, state.block, state.coolant, state.radiator)
    found = {field.name: getattr(group, field.name) for group in groups for field in fields(group)}
    heater = {field.name: getattr(state.heater, field.name) for field in fields(state.heater) if field.name != "UA"}
    return {
        **found,
        **heater,
        "heater_UA": state.heater.UA,
        "quick_share": state.engine.quick_share,
        "inverse_scale": fixed.inverse_scale,
        "per_thinned": fixed.air.per_thinned,
        "vent": vent(fixed, state),
        "follows": np.nan,  # of one step only: C sets it before it reads it
    }


class StepsInC:
    """The steps of a recorded run, to be run in C from the same start as often as wanted."""

    def __init__(self, made: Recorded, function: Callable[[Arguments], None], record_every: float) -> None:
        fixed, run = made.fixed, made.fixed.run
        self.function, self.begun = function, made.begun
        self.engagement = np.array(made.engaged)  # of the fan in the recorded run, (blocks, members)
        every, steps = max(1, round(record_every / run.drive.step)), len(run.row_of)
        self.samples = np.full((-(-steps // every), len(SERIES), run.members), np.nan)
        self.state = made.begun.copy()
        (way,) = run.ways
        heads, _ = pump_heads(run.plant, way.mean(way.load.engine_speed))
        rows = len(heads)
        in_nodes = air_table(run.plant, run.drive, way.load)
        air = np.broadcast_shapes(in_nodes.C.shape, (1, 1, 1, run.members))
        heats = np.array(made.heats)
        self.tables = {
            name: np.ascontiguousarray(table)
            for name, table in {
                "begins": np.array([*made.begins, steps], np.int64),
                "row_of": run.row_of.astype(np.int64),
                "node": in_nodes.index.astype(np.int64),
                "weight": in_nodes.weight,
                "heads": np.broadcast_to(heads, (rows, run.members)),
                "ahead": _asked_ahead(fixed, rows, run.members),
                "quick_pump": np.broadcast_to(way.mean(pump_quicker(run.plant, way.load)), (rows, run.members)),
                "air_C": np.broadcast_to(in_nodes.C, air),
                "air_UA": np.broadcast_to(in_nodes.UA, air),
                "recirculation": np.broadcast_to(in_nodes.recirculation, (air[0], run.members)),
                "heat": heats[:, 0],
                "extra": heats[:, 1],
                "fixed": made.of_fixed,
                "renewed": np.array(made.blocks),
            }.items()
        }
        self.tables |= {"state": self.state, "samples": self.samples}
        valve = fixed.valve
        counts = (
            run.members,
            steps,
            len(made.blocks),
            air[2],
            every,
            valve.outlet,
            valve.feels_return,
            valve.there,
            valve.closes,
            _fan_of(fixed),
            fixed.air.has_upstream,
        )
        self.arguments = Arguments(
            *(int(x) for x in counts), made.h, *(self.tables[name].ctypes.data for name in TABLES)
        )

    def seconds(self) -> float:
        """Run all steps; the processor time [s] that took."""
        self.state[:] = self.begun
        begun = time.process_time()
        self.function(self.arguments)
        return time.process_time() - begun

    def series(self, name: str) -> np.ndarray:
        """(samples, members), without the start."""
        return self.samples[:, SERIES.index(name)]


def _asked_ahead(fixed: FixedForRun, rows: int, members: int) -> np.ndarray:
    """Heat of the coolers ahead [W], (rows, members): in C they give off what they are asked to, up to 60 K."""
    total = np.zeros((rows, members))
    for cooler in fixed.rows.ahead:
        total += np.reshape(cooler.asked, (rows, -1))
    return total


def _fan_of(fixed: FixedForRun) -> int:
    drive = fixed.run.plant.airway.fan.drive
    if fixed.run.drive.fan_mode != 0.0:
        return FAN_AS_IT_IS
    return {FanDrive.ELECTRIC: FAN_ELECTRIC, FanDrive.VISCOUS: FAN_CLUTCH}.get(drive, FAN_AS_IT_IS)


def clocked(
    plant: Plant, drive: Drive, members: int, record_every: float, monkeypatch: pytest.MonkeyPatch
) -> tuple[Warmup, float, float]:
    """The product's warm-up; processor time [s] of all of it, and of its steps alone.

    The steps are what remains without preparation and renewals; taking samples counts with them, as it does in C.
    """
    renewing = 0.0

    def with_clock(*given: Any) -> None:
        nonlocal renewing
        begun = time.process_time()
        renew(*given)
        renewing += time.process_time() - begun

    monkeypatch.setattr(warmup, "renew", with_clock)
    begun = time.process_time()
    fixed = fix(plant, drive, members)
    state = begin(fixed)
    prepared = time.process_time()
    found = warmup.run(fixed, state, 0.0, record_every, None)
    ended = time.process_time()
    return found, ended - begun, ended - prepared - renewing
