"""Propagation of distributions: the tables of JCGM 101 beside ours, by the points and laws of a check.

Four quantities added (9.2), a mass calibrated (9.3), the loss of a comparison (9.4). Where first-order
propagation misleads, as it does in most of them, the tables show it too.
"""

from __future__ import annotations

import numpy as np

from engcalc.case.declare import SpreadLaw
from engcalc.studies.spread.laws import correlated, quantile
from engcalc.studies.spread.sobol import scrambled_sobol
from engcalc.units import Array
from worked_examples.published.comparison import Answer, Example, show

POINTS = 65_536
SEED = 1
NOISE = f"{POINTS:,} points; the source's own come from 1,000,000 or fewer random draws"


def law(name: str, value: float, u: float, points: Array) -> Array:
    """A quantity of a law with a mean and a standard uncertainty at points between 0 and 1."""
    return quantile(SpreadLaw(name), value, u, points)


def shortest_interval(values: Array, share: float) -> tuple[float, float]:
    """The shortest interval that covers a share of the values (JCGM 101:2008, 7.7)."""
    ordered = np.sort(values)
    inside = int(share * ordered.size)
    k = int(np.argmin(ordered[inside:] - ordered[: ordered.size - inside]))
    return float(ordered[k]), float(ordered[k + inside])


def added(name: str, uncertainties: tuple[float, ...]) -> Array:
    """The sum of quantities of mean 0 (9.2)."""
    points = scrambled_sobol(len(uncertainties), POINTS, SEED)
    return np.asarray(sum(law(name, 0.0, u, row) for u, row in zip(uncertainties, points, strict=True)))


def mass() -> Array:
    """Deviation of a weight from its nominal 100 g [mg] (9.3)."""
    p = scrambled_sobol(5, POINTS, SEED)
    m, dm = law("normal", 100_000.0, 0.050, p[0]), law("normal", 1.234, 0.020, p[1])
    air = law("rectangular", 1.20, 0.10 / 3**0.5, p[2])
    weight = law("rectangular", 8000.0, 1000.0 / 3**0.5, p[3])
    reference = law("rectangular", 8000.0, 50.0 / 3**0.5, p[4])
    return np.asarray((m + dm) * (1.0 + (air - 1.2) * (1.0 / weight - 1.0 / reference)) - 100_000.0)


def loss(x1: float, r: float) -> Array:
    """Comparison loss [1e-6] with a mean real part and a correlation of both parts (9.4)."""
    points = correlated(scrambled_sobol(2, POINTS, SEED), {(0, 1): r} if r else {})
    return np.asarray(sum(1e6 * law("normal", x, 0.005, row) ** 2 for x, row in zip((x1, 0.0), points, strict=True)))


_LOSSES = (  # x1, correlation, mean, standard uncertainty
    (0.000, 0.0, "50", "50"),
    (0.010, 0.0, "150", "112"),
    (0.050, 0.0, "2550", "502"),
    (0.000, 0.9, "50", "67"),
    (0.010, 0.9, "150", "121"),
    (0.050, 0.9, "2550", "505"),
)


def _sums() -> list[Answer]:
    answers = []
    cases = (
        ("9.2.2, four normal", "normal", (1.0,) * 4, "2.00", "3.92"),
        ("9.2.3, four rectangular", "rectangular", (1.0,) * 4, "2.00", "3.88"),
        ("9.2.4, one ten times as wide", "rectangular", (1.0, 1.0, 1.0, 10.0), "10.1", "17.0"),
    )
    for words, name, uncertainties, u, end in cases:
        y = added(name, uncertainties)
        low, high = (float(x) for x in np.quantile(y, (0.025, 0.975)))
        within = 0.1 if name == "rectangular" and max(uncertainties) > 1.0 else 0.02
        answers += [
            Answer(f"{words}: standard uncertainty", "", u, float(y.std()), 0.005 if u == "2.00" else 0.06, NOISE),
            Answer(f"{words}: lower end, 95 %", "", f"-{end}", low, within, NOISE),
            Answer(f"{words}: upper end, 95 %", "", end, high, within, NOISE),
        ]
    return answers


def _mass() -> list[Answer]:
    y = mass()
    low, high = shortest_interval(y, 0.95)
    return [
        Answer("9.3, table 6: deviation", "mg", "1.2341", float(y.mean()), 3e-4, NOISE),
        Answer("9.3, table 6: standard uncertainty", "mg", "0.0754", float(y.std()), 3e-4, NOISE),
        Answer("9.3, table 6: shortest interval, 95 %, lower end", "mg", "1.0834", low, 4e-3, NOISE),
        Answer("9.3, table 6: shortest interval, 95 %, upper end", "mg", "1.3825", high, 4e-3, NOISE),
    ]


def _losses() -> list[Answer]:
    answers = []
    for x1, r, mean, u in _LOSSES:
        y = loss(x1, r)
        words = f"9.4, x1 = {x1:.3f}, r = {r:g}"
        answers += [
            Answer(f"{words}: mean", "1e-6", mean, float(y.mean()), 0.6, NOISE),
            Answer(f"{words}: standard uncertainty", "1e-6", u, float(y.std()), 1.0, NOISE),
        ]
    return answers


def compare() -> Example:
    """Every table with its quantities."""
    return Example(
        "Propagation of distributions",
        "JCGM 101:2008 (GUM Supplement 1), 9.2, 9.3 and 9.4",
        (*_sums(), *_mass(), *_losses()),
    )


if __name__ == "__main__":
    show(compare())
