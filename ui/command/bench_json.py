"""An exchanger on a bench as JSON: its points, the Wilson plot, problems. Keys end in their unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engcalc.case.rig_table import NUMBERS
from engcalc.studies.bench.check import BenchCheck
from engcalc.studies.bench.points import BenchFigure, BenchPoint
from engcalc.studies.bench.problem import ProblemAnswer, ProblemStatus
from engcalc.studies.bench.wilson import WilsonFit
from engcalc.units import ZERO_CELSIUS

if TYPE_CHECKING:
    from ui.command.answer import JsonObject

_UNITS = {"heat": "W", "conductance": "W_K"}


def bench_json(bench: BenchCheck) -> JsonObject:
    """All of a bench."""
    return {
        "arrangement": bench.setup.passing.value,
        "in_series": bench.setup.passes,
        "coverage": bench.coverage,
        "points": [_point(point) for point in bench.points],
        "outliers": list(bench.outliers),
        "wilson": None if bench.fit is None else _fit(bench, bench.fit),
        "problems": [_problem(problem) for problem in bench.problems],
    }


def _point(p: BenchPoint) -> JsonObject:
    return {
        "path": p.path,
        "group": p.group,
        "typed": dict(p.typed),
        "hot_flow_kg_s": float(p.streams.hot[0]),
        "cold_flow_kg_s": float(p.streams.cold[0]),
        "heat_hot_W": _figure(p.heat_hot),
        "heat_cold_W": _figure(p.heat_cold),
        "heat_loss_W": _figure(p.loss),
        "balance": _figure(p.balance),
        "weight_hot": p.weight_hot,
        "heat_W": _figure(p.heat),
        "effectiveness": _figure(p.effectiveness),
        "ntu": _figure(p.NTU) if p.possible else None,
        "ua_W_K": _figure(p.UA) if p.possible else None,
        "mean_difference_K": _figure(p.mean_difference),
        "f": _figure(p.F) if p.possible else None,
        "ua_by_difference_W_K": _figure(p.UA_by_difference) if p.possible else None,
        "possible": p.possible,
        "drawn_possible": p.drawn_possible,
        "findings": [finding.code.value for finding in p.findings],
    }


def _figure(figure: BenchFigure) -> JsonObject:
    return {
        "value": figure.value,
        "standard_uncertainty": figure.u,
        "standard_uncertainty_drawn": figure.u_drawn,
        "low_95": figure.low,
        "high_95": figure.high,
    }


def _fit(bench: BenchCheck, fit: WilsonFit) -> JsonObject:
    film = fit.slope > 0.0
    return {
        "varied": fit.side,
        "exponent": fit.exponent,
        "points": list(fit.paths),
        "x_si": fit.x.tolist(),
        "resistance_K_W": fit.y.tolist(),
        "band_K_W": fit.band(fit.x).tolist(),
        "rest_K_W": fit.rest,
        "rest_u_K_W": fit.rest_u,
        "slope_si": fit.slope,
        "slope_u_si": fit.slope_u,
        "film_conductance_W_K": fit.film(fit.flows).tolist() if film else None,
        "film_coefficient_W_m2_K": None
        if bench.area is None or not film
        else (fit.film(fit.flows) / bench.area).tolist(),
        "film_relative_u": fit.film_share_u,
    }


def _problem(p: ProblemAnswer) -> JsonObject:
    solved = p.status is ProblemStatus.SOLVED
    return {
        "path": p.path,
        "name": p.name,
        "status": p.status.value,
        "asked": list(p.asked),
        **dict(_numbers(p)),
        "effectiveness": p.effectiveness if solved else None,
        "ntu": p.NTU if solved else None,
        "capacity_ratio": p.Cr if solved else None,
        "mean_difference_K": p.mean_difference if solved else None,
        "f": p.F if solved else None,
        "rounds": [one.correction for one in p.rounds],
    }


def _numbers(p: ProblemAnswer) -> list[tuple[str, float | None]]:
    if p.status is not ProblemStatus.SOLVED:
        return []
    found: list[tuple[str, float | None]] = []
    for name, value in p.numbers.items():
        if name in NUMBERS and not name.endswith("flow"):
            found.append((f"{name}_degC", value - ZERO_CELSIUS))
        else:
            found.append((f"{name}_{_UNITS.get(name, 'kg_s')}", value))
    return found
