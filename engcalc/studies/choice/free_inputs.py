"""What else may move while the least core is sought: fan, ducts, pump, cap and mixture, each up to a bound.

A bound that the case states makes its input free between the value of the case and the bound. Each goes to its bound
first, where that gives the duty nearest to its limit more margin. A duty may be so hot that its margin cannot be told:
then the same is asked in air so much colder that it can. With the least core found so, each is given back as
far as every duty still holds, what is most trouble to change first.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case, value_at
from engcalc.case.catalogue import entry
from engcalc.case.text import CaseText
from engcalc.studies.choice.sizing import settled
from engcalc.studies.members import varied
from engcalc.units import UnitSystem, to_unit, unit_for

FREE = {  # bound under limits: the input that it frees; most trouble to change first, common practice, no source
    "free_exit": "airflow.exit_area",
    "free_opening": "airflow.opening_area",
    "free_fan": "airflow.fan_free_flow",
    "free_pump": "circuit.pump_ratio",
    "free_cap": "coolant.cap_pressure",
    "free_mixture": "coolant.concentration",
}
STEPS = 8  # from the bound back to the value of the case
LEAST_HELP = 0.01  # K; of margin, that a bound has to give to be used
COLDER = 20.0  # K; step by which the air is made colder until every margin can be told
MOST_COLDER = 7  # steps, from the hottest air that a duty may have to the coldest
COLDEST = 213.15  # K; as cold as a duty's air may be


@dataclass(frozen=True)
class FreedInput:
    """One free input, SI: the value of the case, its bound, and what was taken."""

    path: str
    before: float
    bound: float
    taken: float

    @property
    def moved(self) -> bool:
        """Whether it is other than in the case."""
        return self.taken != self.before


def free_inputs(case: Case) -> tuple[FreedInput, ...]:
    """Every free input of a case at the better end of its range."""
    found: list[FreedInput] = []
    asked = _told_apart(case) if any(value_at(case, f"limits.{name}") is not None for name in FREE) else case
    for name, path in FREE.items():
        bound = value_at(case, f"limits.{name}")
        now = value_at(case, path)
        if bound is None or now is None:
            continue
        one = FreedInput(path, float(now[0]), float(bound[0]), float(now[0]))
        helps = _least_margin(asked, [*found, replace(one, taken=one.bound)])
        found.append(replace(one, taken=one.bound) if helps > _least_margin(asked, found) + LEAST_HELP else one)
    return tuple(found)


def _told_apart(case: Case) -> Case:
    """The case in air so cold that every duty's margin can be told; itself where it can as it is."""
    ambients = [duty.ambient for duty in case.duties]
    colder = case
    for step in range(1, MOST_COLDER + 1):
        if not settled(colder).beyond.any():
            return colder
        air = {f"duties[{i}].ambient": np.maximum(a - step * COLDER, COLDEST) for i, a in enumerate(ambients)}
        colder = varied(case, air)
    return colder


def _least_margin(case: Case, freed: Sequence[FreedInput]) -> float:
    """Margin [K] of the duty nearest to its limit, with the case's own core."""
    values = {one.path: np.array([one.taken]) for one in freed if one.moved}
    return float(np.min(settled(varied(case, values)).margin))


def with_freed(text: CaseText, freed: Sequence[FreedInput]) -> CaseText:
    """The text of a case with what was taken of its free inputs."""
    for one in freed:
        if one.moved:
            text = text.with_value(one.path, _spelled(one.path, one.taken))
    return text


def given_back(freed: tuple[FreedInput, ...], holds: Callable[[Sequence[FreedInput]], bool]) -> tuple[FreedInput, ...]:
    """The free inputs, one after the other as near to the value of the case as ``holds`` lets them."""
    for k in range(len(freed)):
        low, high = -1, STEPS if freed[k].moved else 0  # ``high`` holds
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if holds(_at_step(freed, k, middle)) else (middle, high)
        freed = _at_step(freed, k, high)
    return freed


def _at_step(freed: tuple[FreedInput, ...], k: int, step: int) -> tuple[FreedInput, ...]:
    """The free inputs with one of them so many steps from the value of the case."""
    one = freed[k]
    taken = one.before if step == 0 else one.before + (step / STEPS) * (one.bound - one.before)
    return (*freed[:k], replace(one, taken=taken), *freed[k + 1 :])


def _spelled(path: str, value: float) -> str:
    kind = entry(path).input.kind
    unit = unit_for(kind, UnitSystem.SI)
    return f"{to_unit(value, unit, kind):.8g} {unit}".strip()
