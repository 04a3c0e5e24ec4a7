"""A resolved case: SI arrays, frozen, with where each value came from; and the ways to reach into it by path."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from engcalc.case.catalogue import members
from engcalc.case.declare import Basis, SpreadLaw
from engcalc.case.sections import Sections
from engcalc.case.sections.radiator import Radiator
from engcalc.case.text import steps
from engcalc.units import Array


@dataclass(frozen=True)
class Given:
    """Where one value came from.

    ``text`` is its spelling, ``source`` says in words who gave it, ``uncertainty`` is the standard uncertainty in SI
    (0 when none was stated), ``kind`` the kind of quantity that the text was read as, ``typed`` whether a person did.
    ``law`` is how the input is spread about its value; ``correlated`` has coefficients with other inputs, by path.
    """

    path: str
    text: str
    basis: Basis
    source: str
    uncertainty: float
    kind: str
    typed: bool
    law: SpreadLaw = SpreadLaw.NORMAL
    correlated: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Case(Sections):
    """All inputs in SI. Arrays are read-only; members of an ensemble stand on the last axis.

    ``flows_with`` is the core with which the stated coolant flows count, None for the one that the case states (its own
    where it states none). A study that tries another core in this vehicle keeps the first one here: pump, jacket, valve
    and hoses stay as they are.
    """

    given: Mapping[str, Given]
    warnings: tuple[str, ...]
    own_duties: bool = True  # whether the duties were typed; else they are those of the class
    flows_with: Radiator | None = None


def frozen_array(values: Any) -> Array:
    """A read-only float64 array of one dimension."""
    array = np.atleast_1d(np.asarray(values, dtype=np.float64)).copy()
    array.setflags(write=False)
    return array


def value_at(case: Sections, path: str) -> Any:
    """What stands at a path such as ``duties[0].grade``. KeyError when the path names nothing."""
    here: Any = case
    for step in steps(path):
        here = here[step] if isinstance(step, int) else getattr(here, _attribute(type(here), step))
    return here


def with_values(case: Case, values: Mapping[str, Any]) -> Case:
    """A case with other values at some paths: arrays make an ensemble, words and tuples replace what stood there."""
    changed: Any = case
    for path, value in values.items():
        changed = _replaced(changed, steps(path), value)
    if not isinstance(changed, Case):
        raise TypeError(path)
    return changed


def _replaced(here: Any, path: tuple[str | int, ...], value: Any) -> Any:
    if not path:
        return value if value is None or isinstance(value, str | tuple | Mapping) else frozen_array(value)
    step = path[0]
    rest = path[1:]
    if isinstance(step, int):
        return (*here[:step], _replaced(here[step], rest, value), *here[step + 1 :])
    attribute = _attribute(type(here), step)
    return replace(here, **{attribute: _replaced(getattr(here, attribute), rest, value)})


def _attribute(cls: type, key: str) -> str:
    base: type = Sections if issubclass(cls, Sections) else cls
    for member in members(base):
        if member.key == key:
            return member.attribute
    raise KeyError(key)
