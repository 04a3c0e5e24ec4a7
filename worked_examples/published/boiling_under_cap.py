"""Half ethylene glycol, half water: where it boils in the open and under a 15 psi cap."""

import numpy as np

from engcalc.properties.coolant import BOILING_UNCERTAINTY, Base, boiling_point
from worked_examples.published.comparison import Answer, Example, show

ATMOSPHERE = 101325.0  # Pa
CAP = 15.0 * 6894.757  # Pa; gauge


def fahrenheit(base: Base, concentration: float, pressure: float) -> float:
    """Boiling point in degrees Fahrenheit at an absolute pressure [Pa]."""
    kelvin = boiling_point(base, np.array([concentration]), np.array([pressure]))
    return float(kelvin[0] * 1.8 - 459.67)


def compare() -> Example:
    """Printed values differ among themselves by some 2 K; ours takes the lower side and carries 2 K."""
    spread = BOILING_UNCERTAINTY * 1.8
    why = "printed values differ by as much: 2 K"
    return Example(
        "Boiling under a pressure cap",
        "226 and 262 degF: school text on half ethylene glycol at 0 and 15 psi; 265 degF: a maker's service manual "
        "(2000), 15 psi cap; 212 degF: definition of the scale",
        (
            Answer(
                "half ethylene glycol, no pressure",
                "degF",
                "226",
                fahrenheit(Base.ETHYLENE, 0.5, ATMOSPHERE),
                spread,
                why,
            ),
            Answer(
                "half ethylene glycol, 15 psi",
                "degF",
                "262",
                fahrenheit(Base.ETHYLENE, 0.5, ATMOSPHERE + CAP),
                0.5,
                "no test: our correction was set to this value",
            ),
            Answer(
                "half ethylene glycol, 15 psi, other source",
                "degF",
                "265",
                fahrenheit(Base.ETHYLENE, 0.5, ATMOSPHERE + CAP),
                spread,
                why,
            ),
            Answer("water, no pressure", "degF", "212", fahrenheit(Base.WATER, 0.0, ATMOSPHERE)),
        ),
    )


if __name__ == "__main__":
    show(compare())
