"""Effectiveness of one pass by the formulas of the textbooks."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engcalc.components.exchanger import Arrangement
from engcalc.working.shown import WorkingLine

# One pass, by arrangement; x stands for the number of transfer units, r for the capacity ratio, of that pass.
_SMALLER_MIXED = "1 - exp(-(1 - exp(-r*x))/r)"
_LARGER_MIXED = "(1 - exp(-r*(1 - exp(-x))))/r"
ONE_PASS: Mapping[Arrangement, tuple[tuple[str, str], ...]] = {
    Arrangement.BOTH_UNMIXED_APPROXIMATION: (("1 - exp(x**0.22*(exp(-r*x**0.78) - 1)/r)", ""),),
    Arrangement.AIR_MIXED: ((_LARGER_MIXED, "coolant is smaller"), (_SMALLER_MIXED, "air is smaller")),
    Arrangement.COOLANT_MIXED: ((_SMALLER_MIXED, "coolant is smaller"), (_LARGER_MIXED, "air is smaller")),
    Arrangement.BOTH_MIXED: (("1/(1/(1 - exp(-x)) + r/(1 - exp(-r*x)) - 1/x)", ""),),
    Arrangement.COUNTERFLOW: (("(1 - exp(-x*(1 - r)))/(1 - r*exp(-x*(1 - r)))", ""),),
    Arrangement.PARALLEL: (("(1 - exp(-x*(1 + r)))/(1 + r)", ""),),
}
"""Formula and, where there are two, which stream it is for. Both unmixed: ``both_unmixed``."""


def both_unmixed(
    step: Callable[..., WorkingLine], symbol: str, size: str, ratio: str, only: str = "1"
) -> tuple[WorkingLine, ...]:
    """The exact effectiveness of crossflow with both streams unmixed, in the terms of ``step``.

    The textbooks' series of Bessel functions, up to a size of 300 (none is built that is larger than 10). ``only`` must
    be positive for it to apply.
    """
    return (
        step(
            symbol,
            "1 - exp(-x*(1 + r))*(bessel(0, y) + sqrt(r)*bessel(1, y)"
            " - (1 - r)/r*total(r**((k + 1)/2)*bessel(k + 1, y), k, N))",
            "Baclic, J. Heat Transfer 100 (1978) 746; I is the modified Bessel function of the first kind",
            {"y": "2*x*sqrt(r)", "x": size, "r": ratio},
            f"min({only}, min({ratio} - 0.000000001, 300 - {size}))",
            "N",
            "The program sums the same as an integral, 2/π of sin²t (1 - exp(-x D))/D over t from 0 to π with "
            "D = 1 - 2 √r cos t + r, at so many points that more would change no digit.",
        ),
    )
