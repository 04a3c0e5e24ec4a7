"""Cores that could stand in a vehicle: the room there is, how a core is built, and a case with another core in it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from engcalc.case.case import Case, value_at
from engcalc.case.resolve import read_value
from engcalc.case.text import CaseText
from engcalc.case.whole import FITS, FLOWS_CORE, TUBE_GAP
from engcalc.errors import InputError, InputFault
from engcalc.studies.members import first_core
from engcalc.system.plant import prepare
from engcalc.words.texts import study_texts

MM = 1e-3  # m


class Shape(StrEnum):
    """How the face of a smaller core lies in the room."""

    IN_PROPORTION = study_texts.IN_THE_PROPORTIONS_OF_THE_ROOM
    FULL_WIDTH = study_texts.OVER_THE_WHOLE_WIDTH_OF_THE_ROOM


@dataclass(frozen=True)
class Room:
    """The room there is for the core [m]."""

    height: float
    width: float
    depth: float


@dataclass(frozen=True)
class Build:
    """How a core is made, whatever its face: rows, tube width [m], fins per metre [1/m], passes, shape of the face."""

    rows: int
    tube_width: float
    fin_density: float
    passes: int
    shape: Shape

    @property
    def depth(self) -> float:
        """Core depth [m]: the rows with 2 mm between two."""
        return self.rows * self.tube_width + (self.rows - 1) * TUBE_GAP


@dataclass(frozen=True)
class Core:
    """A core of a build: tubes in each row, height and width [m]."""

    build: Build
    tubes: int
    height: float
    width: float

    @property
    def volume(self) -> float:
        """Height times width times depth [m3]."""
        return self.height * self.width * self.build.depth

    @property
    def as_made(self) -> Core:
        """The core whatever shape of face it was sought with: one that fills the room is of both."""
        return replace(self, build=replace(self.build, shape=Shape.IN_PROPORTION))


def room_of(case: Case) -> Room | None:
    """The room that a case states; None where it states none. Raises InputError where a part of it is missing."""
    stated = {name: value_at(case, f"limits.room_{name}") for name in ("height", "width", "depth")}
    missing = [name for name, value in stated.items() if value is None]
    if len(missing) == len(stated):
        return None
    if missing:
        wanted = study_texts.ROOM_FOR_A_CORE_NEEDS_ALL_THREE
        raise InputError(tuple(InputFault(f"limits.room_{name}", "", wanted) for name in missing))
    return Room(**{name: float(value[0]) for name, value in stated.items() if value is not None})


def out_of_room(case: Case, values: Mapping[str, Any]) -> tuple[InputFault, ...]:
    """In which dimensions a core is larger than the room that the case states; ``values`` are inputs by path."""
    faults = []
    for side in ("height", "width", "depth"):
        own = values.get(f"radiator.core_{side}")
        room = value_at(case, f"limits.room_{side}")
        if own is not None and room is not None and float(own[0]) > float(room[0]) * (1.0 + FITS):
            wanted = study_texts.AT_MOST_WOULD_DO.format(mm=_mm(float(room[0])))
            faults.append(InputFault(f"radiator.core_{side}", _mm(float(own[0])), wanted))
    return tuple(faults)


def read_room(typed: str) -> Room:
    """A room as typed, height x width x depth, with one unit at the end or one with each.

    Raises InputError where it is not three lengths within what the case accepts.

    >>> read_room("450 x 650 x 60 mm")
    Room(height=0.45, width=0.65, depth=0.06)
    """
    parts = [part.strip() for part in re.split(r"[xX*\u00d7]", typed)]
    wanted = study_texts.HEIGHT_X_WIDTH_X_DEPTH_WOULD_DO
    if len(parts) != 3 or not all(parts):
        raise InputError((InputFault("room", typed, wanted),))
    unit = re.sub(r"^[\d.,\s]+", "", parts[-1])
    whole = [part if re.search(r"[^\d.,\s]", part) else f"{part} {unit}" for part in parts]
    found = {}
    faults = []
    for name, part in zip(("height", "width", "depth"), whole, strict=True):
        try:
            found[name] = float(read_value(f"limits.room_{name}", part)[0])
        except InputError as error:
            faults += [replace(fault, path=f"room, {name}") for fault in error.faults]
    if faults:
        raise InputError(tuple(faults))
    return Room(**found)


def with_core(text: CaseText, case: Case, core: Core) -> CaseText:
    """The text of a case with another core in it.

    A maker's point was the old core's: it goes, and the factor on the conductance that it gave stays.
    """
    build = core.build
    values = {
        "core_height": _mm(core.height),
        "core_width": _mm(core.width),
        "core_depth": _mm(build.depth),
        "tube_rows": str(build.rows),
        "tube_width": _mm(build.tube_width),
        "fin_pitch": f"{1.0 / build.fin_density / MM:.4f} mm",
        "passes": str(build.passes),
    }
    for name, value in values.items():
        text = text.with_value(f"radiator.{name}", value)
    return with_old_scale(with_circuit_kept(text, case), case)


def with_circuit_kept(text: CaseText, case: Case) -> CaseText:
    """The text with the core that the stated flows count with: pump, hoses and valve stay as they are."""
    first = first_core(case)
    for name, attribute in FLOWS_CORE.items():
        text = text.with_value(f"circuit.{name}", _spelled(attribute, float(getattr(first, attribute)[0])))
    return text


def with_old_scale(text: CaseText, case: Case) -> CaseText:
    """The text without the maker's point of the old core, the factor on the conductance that it gave kept."""
    for name in RATED_POINT:
        text = text.with_value(f"radiator.{name}", None)
    scale = float(prepare(case).known_scale[0])
    return text if scale == 1.0 else text.with_value("radiator.ua_scale", f"{scale:.6g}")


RATED_POINT = ("rated_heat", "rated_coolant_flow", "rated_air_velocity", "rated_inlet_difference")
"""Inputs of a radiator that are its maker's point."""


def _spelled(attribute: str, value: float) -> str:
    """A dimension of a core as text."""
    if attribute in ("tube_rows", "passes"):
        return f"{value:.0f}"
    return _mm(value)


def _mm(length: float) -> str:
    return f"{length / MM:.7g} mm"
