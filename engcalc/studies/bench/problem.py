"""Problems of two streams: the unknown from the known.

Flows, four temperatures, heat and conductance are eight numbers, and three laws bind them: the heat that the hot stream
gives off, the same heat that the cold one takes up, and what an exchanger of this conductance passes on. Any five give
the others. Specific heats belong to the mean temperature of each stream, so that guess and correction go round until
the temperatures rest.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import Any, TypeAlias

import numpy as np

from engcalc.case.bench_rules import PROBLEM_NUMBERS
from engcalc.case.case import Case
from engcalc.components.exchanger import LMTD
from engcalc.components.two_streams import correction
from engcalc.errors import RangeError
from engcalc.properties.any_fluid import StateOf
from engcalc.studies.bench.setup import BenchSetup, stated_by_volume
from engcalc.system.measured import MEASURED, MeasuredStreams
from engcalc.units import Array

MOST_ROUNDS = 60
RESTS = 1e-9  # K; change of a temperature from round to round at which they rest
FIRST_GUESS = 330.0  # K; of a stream of which no temperature is known
LOWEST = 1e-4  # W/K; least capacity rate among which a flow is looked for
HIGHEST = 1e7  # W/K; and the greatest
KEPT_ANSWERS = 256  # a class's problems, and those before and after a move of a slider
TRIED = 120  # rates at which the miss is looked at
ROUNDS_CLOSER = 6  # how often it is looked at anew between two of them
Number: TypeAlias = Any  # a float, or an array of them
TEMPERATURES = ("hot_in", "hot_out", "cold_in", "cold_out")


class ProblemStatus(StrEnum):
    """What became of a problem."""

    SOLVED = "solved"
    TOO_LITTLE = "too_little"  # the numbers do not settle the others
    IMPOSSIBLE = "impossible"  # no exchanger of this kind does it
    NO_PROPERTIES = "no_properties"
    UNSETTLED = "unsettled"  # specific heats and temperatures do not come to rest


@dataclass(frozen=True)
class CorrectionRound:
    """One round of guess and correction: mean temperatures [K] that it took, and the largest correction [K]."""

    hot_mean: float
    cold_mean: float
    correction: float


@dataclass(frozen=True, eq=False)
class ProblemAnswer:
    """All eight numbers [SI], which of them were asked, and what lies between."""

    path: str
    name: str
    status: ProblemStatus
    asked: tuple[str, ...]
    numbers: Mapping[str, float]  # by the names of the case file; mass flows in kg/s
    streams: MeasuredStreams | None
    effectiveness: float
    NTU: float
    Cr: float
    mean_difference: float  # K, logarithmic, as in counterflow
    F: float
    rounds: tuple[CorrectionRound, ...]


def bench_problems(case: Case, setup: BenchSetup) -> tuple[ProblemAnswer, ...]:
    """Every problem of a case, solved or with what keeps it from being so."""
    return tuple(_solved(case, setup, i) for i in range(len(case.problems)))


def _solved(case: Case, setup: BenchSetup, i: int) -> ProblemAnswer:
    path = f"problems[{i}]"
    problem = case.problems[i]
    stated = {name: getattr(problem, name) for name in PROBLEM_NUMBERS}
    known = tuple((name, float(value[0])) for name, value in stated.items() if value is not None)
    name = (problem.name or "").strip() or f"Problem {i + 1}"
    volumes = frozenset(flow for flow in stated_by_volume(case, path) if stated[flow] is not None)
    return _answered(setup, path, name, known, volumes)


@lru_cache(maxsize=KEPT_ANSWERS)  # a slider moves one problem; the others, and the second to ask, find theirs here
def _answered(
    setup: BenchSetup, path: str, name: str, stated: tuple[tuple[str, float], ...], volumes: frozenset[str]
) -> ProblemAnswer:
    """A problem by its content: solved, or with what keeps it from being so."""
    known = dict(stated)
    asked = tuple(number for number in PROBLEM_NUMBERS if number not in known)
    try:
        numbers, rounds = _rounds(setup, known, volumes)
        return _problem_answer(setup, (path, name, asked), numbers, rounds, volumes)
    except _Unsolved as why:
        status = why.status
    except RangeError:
        status = ProblemStatus.NO_PROPERTIES
    return ProblemAnswer(path, name, status, asked, known, None, 0.0, 0.0, 0.0, 0.0, 0.0, ())


class _Unsolved(Exception):
    """Why a problem has no answer."""

    def __init__(self, status: ProblemStatus) -> None:
        super().__init__(status.value)
        self.status = status


def _with_mass_flows(found: Mapping[str, float], cp: Mapping[str, float]) -> dict[str, float]:
    """What was found, with mass flows [kg/s] in place of the capacity rates."""
    flows = {"hot_flow": found["hot"] / cp["hot"], "cold_flow": found["cold"] / cp["cold"]}
    others = {name: value for name, value in found.items() if name not in ("hot", "cold")}
    return {**flows, **others}


def _mass_flow(
    state: StateOf, side: str, known: Mapping[str, float], guess: Mapping[str, float], volumes: Set[str]
) -> float:
    """The mass flow [kg/s] of a side whose flow is known; one told as a volume has the density at its inlet."""
    flow = f"{side}_flow"
    at_inlet = float(state(_as_member(guess[f"{side}_in"])).rho[0])
    return known[flow] * (at_inlet if flow in volumes else 1.0)


def _rounds(
    setup: BenchSetup, known: Mapping[str, float], volumes: Set[str]
) -> tuple[dict[str, float], tuple[CorrectionRound, ...]]:
    """The eight numbers, mass flows in kg/s, and the rounds that it took."""
    guess = _guessed(known)
    rounds: list[CorrectionRound] = []
    for _ in range(MOST_ROUNDS):
        numbers = {name: value for name, value in known.items() if not name.endswith("flow")}
        mean = {side: 0.5 * (guess[f"{side}_in"] + guess[f"{side}_out"]) for side in ("hot", "cold")}
        cp = {}
        for side, state in (("hot", setup.hot), ("cold", setup.cold)):
            cp[side] = float(state(_as_member(mean[side])).cp[0])
            if f"{side}_flow" in known:
                numbers[side] = _mass_flow(state, side, known, guess, volumes) * cp[side]
        found = _by_laws(setup, numbers)
        moved = max(abs(found[name] - guess[name]) for name in TEMPERATURES)
        rounds.append(CorrectionRound(mean["hot"], mean["cold"], moved))
        guess = {name: found[name] for name in TEMPERATURES}
        if moved < RESTS:
            return _with_mass_flows(found, cp), tuple(rounds)
    raise _Unsolved(ProblemStatus.UNSETTLED)


def _as_member(value: float) -> Array:
    return np.array([value])


def _guessed(known: Mapping[str, float]) -> dict[str, float]:
    """A first guess of all four temperatures: of each stream what is known of it, else what is known at all."""
    any_known = [known[name] for name in TEMPERATURES if name in known]
    usual = float(np.mean(any_known)) if any_known else FIRST_GUESS
    guess = {}
    for name in TEMPERATURES:
        side, _, end = name.partition("_")
        other = f"{side}_{'out' if end == 'in' else 'in'}"
        guess[name] = known.get(name, known.get(other, usual))
    return guess


# ---- the three laws --------------------------------------------------------------------------------------------------
# ``hot`` and ``cold`` are the capacity rates [W/K] here.


def _by_laws(setup: BenchSetup, given: Mapping[str, float]) -> dict[str, float]:
    """All eight from five."""
    found = _balanced(dict(given))
    if "conductance" in found and not _complete(found):
        rates = [side for side in ("hot", "cold") if side in found]
        if len(rates) == 2:
            found = _balanced({**_inlets(_transfer(setup, found), _rows(found)), **found})
        elif len(rates) == 1:
            found = _with_flow(setup, found, "cold" if rates == ["hot"] else "hot")
        elif all(name in found for name in TEMPERATURES):
            found = _balanced({**found, **_both_rates(setup, found)})
    if not _complete(found):
        raise _Unsolved(ProblemStatus.TOO_LITTLE)
    if found["heat"] <= 0.0 or min(found["hot"], found["cold"]) <= 0.0 or not _downhill(found):
        raise _Unsolved(ProblemStatus.IMPOSSIBLE)
    if "conductance" not in found:
        found["conductance"] = _needed_conductance(setup, found)
    return found


def _needed_conductance(setup: BenchSetup, found: Mapping[str, float]) -> float:
    """The UA [W/K] that hands this heat over between these inlets; raises _Unsolved where none does."""
    C_min = min(found["hot"], found["cold"])
    eps = found["heat"] / (C_min * (found["hot_in"] - found["cold_in"]))
    size = setup.size(_as_member(eps), _as_member(found["hot"]), _as_member(found["cold"]))
    if not bool(size.possible[0]):
        raise _Unsolved(ProblemStatus.IMPOSSIBLE)
    return float(size.NTU[0]) * C_min


def _both_rates(setup: BenchSetup, found: Mapping[str, float]) -> dict[str, float]:
    """Both capacity rates from all four temperatures and the conductance: their ratio is that of the changes."""
    falls = found["hot_in"] - found["hot_out"]
    rises = found["cold_out"] - found["cold_in"]
    if min(falls, rises) <= 0.0:
        raise _Unsolved(ProblemStatus.IMPOSSIBLE)
    hot, cold = 1.0 / falls, 1.0 / rises  # for a heat of 1 W
    eps = max(falls, rises) / (found["hot_in"] - found["cold_in"])
    size = setup.size(_as_member(eps), _as_member(hot), _as_member(cold))
    if not bool(size.possible[0]):
        raise _Unsolved(ProblemStatus.IMPOSSIBLE)
    heat = found["conductance"] / (float(size.NTU[0]) * min(hot, cold))
    return {"hot": heat * hot, "cold": heat * cold}


def _complete(found: Mapping[str, float]) -> bool:
    return all(name in found for name in (*TEMPERATURES, "hot", "cold", "heat"))


def _downhill(found: Mapping[str, float]) -> bool:
    """Whether neither stream passes the temperature at which the other enters."""
    return found["cold_out"] < found["hot_in"] and found["hot_out"] > found["cold_in"]


def _balanced(found: dict[str, float]) -> dict[str, float]:
    """What the heat balances of both streams alone give."""
    for _ in range(3):
        for side, sign in (("hot", -1.0), ("cold", 1.0)):
            inlet = f"{side}_in"
            outlet = f"{side}_out"
            rate = side in found
            ends = (inlet in found, outlet in found)
            if rate and all(ends):
                found.setdefault("heat", sign * found[side] * (found[outlet] - found[inlet]))
            elif "heat" in found and all(ends):
                found[side] = found["heat"] / max(sign * (found[outlet] - found[inlet]), 1e-300)
            elif "heat" in found and rate and ends[0]:
                found[outlet] = found[inlet] + sign * found["heat"] / found[side]
            elif "heat" in found and rate and ends[1]:
                found[inlet] = found[outlet] - sign * found["heat"] / found[side]
    return found


def _transfer(setup: BenchSetup, found: Mapping[str, float]) -> dict[str, float]:
    """Rates, and the heat per kelvin of inlet difference that an exchanger of this conductance passes on [W/K]."""
    rates = {name: _as_member(found[name]) for name in ("hot", "cold")}
    return {name: float(value[0]) for name, value in _transfers(setup, {**found, **rates}).items()}


def _transfers(setup: BenchSetup, found: Mapping[str, float | Array]) -> dict[str, Array]:
    """The same for many rates at once."""
    hot, cold = (np.atleast_1d(np.asarray(found[name], dtype=np.float64)) for name in ("hot", "cold"))
    hot, cold = np.broadcast_arrays(hot, cold)
    eps = setup.effectiveness(np.atleast_1d(found["conductance"]), hot, cold)
    return {"hot": hot, "cold": cold, "passes": eps * np.minimum(hot, cold)}


def _rows(found: Mapping[str, float]) -> dict[str, float]:
    """What is known of temperatures and heat."""
    return {name: found[name] for name in (*TEMPERATURES, "heat") if name in found}


def _coefficients(of: Mapping[str, Number], name: str) -> tuple[Number, Number]:
    """How a temperature or the heat hangs on the inlets of the hot and the cold stream: all of them are straight."""
    hot = of["passes"] / of["hot"]
    cold = of["passes"] / of["cold"]
    table: Mapping[str, tuple[Number, Number]] = {
        "hot_in": (1.0, 0.0),
        "hot_out": (1.0 - hot, hot),
        "cold_in": (0.0, 1.0),
        "cold_out": (cold, 1.0 - cold),
        "heat": (of["passes"], -of["passes"]),
    }
    return table[name]


def _inlets(of: Mapping[str, float], known: Mapping[str, float]) -> dict[str, float]:
    """Both inlets and the heat from two of the temperatures and the heat."""
    if len(known) < 2:
        raise _Unsolved(ProblemStatus.TOO_LITTLE)
    names = tuple(known)[:2]
    matrix = np.array([_coefficients(of, name) for name in names])
    if abs(np.linalg.det(matrix)) < 1e-12 * np.abs(matrix).max() ** 2:
        raise _Unsolved(ProblemStatus.TOO_LITTLE)
    hot_in, cold_in = np.linalg.solve(matrix, np.array([known[name] for name in names]))
    return {"hot_in": float(hot_in), "cold_in": float(cold_in), "heat": of["passes"] * float(hot_in - cold_in)}


def _with_flow(setup: BenchSetup, found: Mapping[str, float], side: str) -> dict[str, float]:
    """All from one capacity rate, the conductance and three of temperatures and heat: the other rate is looked for.

    Three straight relations in two inlets hold together where their determinant is 0.
    """
    known = _rows(found)
    if len(known) < 3:
        raise _Unsolved(ProblemStatus.TOO_LITTLE)
    names = tuple(known)[:3]

    def miss(u: Array) -> Array:
        rate = np.exp(u)
        of = _transfers(setup, {**found, side: rate})
        rows = []
        for name in names:
            a, b = (np.broadcast_to(x, rate.shape) for x in _coefficients(of, name))
            scale = np.maximum(np.abs(a), np.abs(b))
            row = [a / scale, b / scale, known[name] / scale]
            rows.append(np.stack(row, axis=-1))
        return np.asarray(np.linalg.det(np.stack(rows, axis=-2)))

    for low, high in _changes_of_sign(miss, np.log(LOWEST), np.log(HIGHEST)):
        of = _transfer(setup, {**found, side: float(np.exp(_closer(miss, low, high)))})
        whole = _balanced({**_first_inlets(of, known), **found, side: of[side]})
        if _complete(whole) and whole["heat"] > 0.0 and _downhill(whole):
            return whole
    raise _Unsolved(ProblemStatus.IMPOSSIBLE)


def _first_inlets(of: Mapping[str, float], known: Mapping[str, float]) -> dict[str, float]:
    """Both inlets and the heat by the first two of what is known that tell them."""
    names = tuple(known)
    for i in range(len(names)):
        for j in range(i + 1, len(names)):
            try:
                return _inlets(of, {names[i]: known[names[i]], names[j]: known[names[j]]})
            except _Unsolved:
                continue
    raise _Unsolved(ProblemStatus.TOO_LITTLE)


def _changes_of_sign(f: Callable[[Array], Array], low: float, high: float) -> list[tuple[float, float]]:
    """Between which logarithms of a capacity rate the miss changes its sign."""
    at = np.linspace(low, high, TRIED)
    values = f(at)
    here = values[:-1]
    changes = np.flatnonzero((here != 0.0) & (here * values[1:] <= 0.0))
    return [(float(at[i]), float(at[i + 1])) for i in changes]


def _closer(f: Callable[[Array], Array], low: float, high: float) -> float:
    """The root between two logarithms: each round looks at as many places within the last bracket."""
    for _ in range(ROUNDS_CLOSER):
        found = _changes_of_sign(f, low, high)
        if not found:
            break
        low, high = found[0]
    return 0.5 * (low + high)


# ---- what lies between -----------------------------------------------------------------------------------------------


def _as_measured(setup: BenchSetup, numbers: Mapping[str, float], volumes: Set[str]) -> dict[str, Array]:
    """Flows and temperatures as a rig measures them: a flow told as a volume in m3/s at its inlet, else in kg/s."""
    x = {key: _as_member(numbers[key]) for key in MEASURED}
    for flow, inlet, state in (("hot_flow", "hot_in", setup.hot), ("cold_flow", "cold_in", setup.cold)):
        if flow in volumes:
            x[flow] = x[flow] / state(x[inlet]).rho
    return x


def _problem_answer(
    setup: BenchSetup,
    of: tuple[str, str, tuple[str, ...]],
    numbers: Mapping[str, float],
    rounds: tuple[CorrectionRound, ...],
    volumes: Set[str],
) -> ProblemAnswer:
    path, name, asked = of
    streams = MeasuredStreams.of(setup.hot, setup.cold, _as_measured(setup, numbers, volumes), volumes)
    C_hot = float(streams.C_hot[0])
    C_cold = float(streams.C_cold[0])
    C_min = min(C_hot, C_cold)
    C_max = max(C_hot, C_cold)
    eps = numbers["heat"] / (C_min * (numbers["hot_in"] - numbers["cold_in"]))
    NTU = numbers["conductance"] / C_min
    ends = (numbers["hot_in"] - numbers["cold_out"], numbers["hot_out"] - numbers["cold_in"])
    return ProblemAnswer(
        path=path,
        name=name,
        status=ProblemStatus.SOLVED,
        asked=asked,
        numbers=dict(numbers),
        streams=streams,
        effectiveness=eps,
        NTU=NTU,
        Cr=C_min / C_max,
        mean_difference=float(LMTD(*ends)[0]),
        F=float(correction(NTU, C_min / C_max, eps)[0]),
        rounds=rounds,
    )
