"""The warm-up's steps in compiled C (``warmup_steps.c``) on what a run of the product renewed, and a clock on ours.

The C takes the same steps on the same coefficients: what ``_renew`` finds every few seconds (properties, films,
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
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from engcalc.components.fan import CLUTCH_LEAST, FanDrive
from engcalc.system.airflow import UPSTREAM_MOST
from engcalc.system.drive import Drive
from engcalc.system.lumps import CELLS, SHARP, pump_quicker
from engcalc.system.plant import Plant
from engcalc.system.warmed import Warmup
from engcalc.system.warmup import _HEATER_SIZE, SERIES, Value, WarmupRun  # the steps are inside; C repeats them

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
        "HEATER_SIZE": _HEATER_SIZE,
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


class Recorder(WarmupRun):
    """A run of the product that writes down what each renewal left and the heat of each step."""

    def __init__(self, plant: Plant, drive: Drive, members: int) -> None:
        super().__init__(plant, drive, members)
        self.begins: list[int] = []
        self.blocks: list[np.ndarray] = []
        self.engaged: list[np.ndarray] = []
        self.heats: list[tuple[np.ndarray, np.ndarray]] = []

    def _renew(self, k: int, end: int, what: int) -> None:
        super()._renew(k, end, what)
        if k == 0:
            self.begun = self.struct("state")
        self.begins.append(k)
        self.engaged.append(self.whole(self.engagement))
        self.blocks.append(self.struct("renewed"))

    def _advance(self, Q: Value, Q_x: Value, *flows: Value) -> Value:
        self.heats.append((self.whole(Q).copy(), self.whole(Q_x).copy()))
        return super()._advance(Q, Q_x, *flows)

    def struct(self, name: str) -> np.ndarray:
        """A struct of every member from the run's values of the same names; ``a0`` is the first of ``a``."""
        made = np.empty(self.members, fields_of(name))
        for field in made.dtype.names or ():
            listed = re.fullmatch(r"([a-z]+)(\d)", field)
            value = getattr(self, listed[1])[int(listed[2])] if listed else getattr(self, field)
            made[field] = np.stack([self.whole(x) for x in value], axis=-1) if field == "cells" else self.whole(value)
        return made


class StepsInC:
    """The steps of a recorded run, to be run in C from the same start as often as wanted."""

    def __init__(self, run: Recorder, function: Callable[[Arguments], None], record_every: float) -> None:
        self.function, self.begun = function, run.begun
        self.engagement = np.array(run.engaged)  # of the fan in the recorded run, (blocks, members)
        every, steps = max(1, round(record_every / run.drive.step)), len(run.row_of)
        self.samples = np.full((-(-steps // every), len(SERIES), run.members), np.nan)
        self.state = run.begun.copy()
        rows = len(run.heads)
        air = np.broadcast_shapes(run.air.C.shape, (1, 1, 1, run.members))
        heats = np.array(run.heats)
        self.tables = {
            name: np.ascontiguousarray(table)
            for name, table in {
                "begins": np.array([*run.begins, steps], np.int64),
                "row_of": run.row_of.astype(np.int64),
                "node": run.air.index.astype(np.int64),
                "weight": run.air.weight,
                "heads": np.broadcast_to(run.heads, (rows, run.members)),
                "ahead": np.broadcast_to(np.reshape(run.ahead_rows, (rows, -1)), (rows, run.members)),
                "quick_pump": np.broadcast_to(run.mean(pump_quicker(run.plant, run.load)), (rows, run.members)),
                "air_C": np.broadcast_to(run.air.C, air),
                "air_UA": np.broadcast_to(run.air.UA, air),
                "recirculation": np.broadcast_to(run.air.recirculation, (air[0], run.members)),
                "heat": heats[:, 0],
                "extra": heats[:, 1],
                "fixed": run.struct("fixed"),
                "renewed": np.array(run.blocks),
            }.items()
        }
        self.tables |= {"state": self.state, "samples": self.samples}
        valve = run.plant.valve
        counts = (
            run.members,
            steps,
            len(run.blocks),
            air[2],
            every,
            run.outlet,
            run.feels_return,
            valve.present,
            run.closes,
            _fan_of(run),
            run.has_upstream,
        )
        self.arguments = Arguments(
            *(int(x) for x in counts), run.h, *(self.tables[name].ctypes.data for name in TABLES)
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


def _fan_of(run: WarmupRun) -> int:
    drive = run.plant.airway.fan.drive
    if run.drive.fan_mode != 0.0:
        return FAN_AS_IT_IS
    return {FanDrive.ELECTRIC: FAN_ELECTRIC, FanDrive.VISCOUS: FAN_CLUTCH}.get(drive, FAN_AS_IT_IS)


class Clocked(WarmupRun):
    """A run of the product with a clock on its renewals."""

    renewing = 0.0  # s of processor time

    def _renew(self, k: int, end: int, what: int) -> None:
        begun = time.process_time()
        super()._renew(k, end, what)
        self.renewing += time.process_time() - begun


def clocked(plant: Plant, drive: Drive, members: int, record_every: float) -> tuple[Warmup, float, float]:
    """The product's warm-up; processor time [s] of all of it, and of its steps alone.

    The steps are what remains without preparation and renewals; taking samples counts with them, as it does in C.
    """
    begun = time.process_time()
    run = Clocked(plant, drive, members)
    prepared = time.process_time()
    found = run.run(record_every, None)
    ended = time.process_time()
    return found, ended - begun, ended - prepared - run.renewing
