"""Developed laminar flow in rectangular ducts: friction and both Nusselt numbers, as flat tubes use them."""

import numpy as np

from engcalc.components.flat_tube import LaminarWall, Nu_rectangular, fRe_rectangular
from worked_examples.published.comparison import Answer, Example, show

# aspect ratio: Fanning f Re, Nu of even flux (H1), Nu of even temperature (T)
TABLE = {
    "1": ("14.227", "3.608", "2.976"),
    "1/2": ("15.548", "4.123", "3.391"),
    "1/4": ("18.233", "5.331", "4.439"),
    "1/8": ("20.585", "6.490", "5.597"),
    "0": ("24.000", "8.235", "7.541"),
}
FIT = 0.001  # -; the book's polynomials, which flat tubes use, stay within 0.1 % of its table ...
FIT_T = 0.005  # -; ... and within 0.5 % for even temperature


def compare() -> Example:
    """Five aspect ratios from a square to parallel plates."""
    answers = []
    for name, (fRe, Nu_H1, Nu_T) in TABLE.items():
        top, _, bottom = name.partition("/")
        aspect = np.array([float(top) / float(bottom or 1)])
        for what, printed, ours, fit in (
            ("f Re", fRe, fRe_rectangular(aspect), FIT),
            ("Nu, even flux", Nu_H1, Nu_rectangular(aspect, LaminarWall.EVEN_FLUX), FIT),
            ("Nu, even temperature", Nu_T, Nu_rectangular(aspect, LaminarWall.EVEN_TEMPERATURE), FIT_T),
        ):
            answers.append(
                Answer(
                    f"{what}, aspect {name}",
                    "",
                    printed,
                    float(ours[0]),
                    fit * float(printed),
                    f"the book's own polynomial: {100 * fit:g} %",
                )
            )
    return Example(
        "Laminar flow in rectangular ducts",
        "Shah & London, Laminar Flow Forced Convection in Ducts (1978), table of rectangular ducts (from memory)",
        tuple(answers),
    )


if __name__ == "__main__":
    show(compare())
