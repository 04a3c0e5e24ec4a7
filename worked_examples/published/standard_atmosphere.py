"""Pressure and density of the standard atmosphere at altitudes where vehicles drive."""

import numpy as np

from engcalc.properties.air import density, pressure_at_altitude
from worked_examples.published.comparison import Answer, Example, show

TABLE = {  # geopotential altitude [m]: pressure [Pa], density [kg/m3]
    0.0: ("101325", "1.2250"),
    500.0: ("95460.8", "1.16727"),
    1000.0: ("89874.6", "1.11164"),
    2000.0: ("79495.2", "1.00649"),
    3000.0: ("70108.5", "0.90912"),
    4000.0: ("61640.2", "0.81913"),
}


def compare() -> Example:
    """Dry air, 15 degC at sea level, 6.5 K less for each kilometre."""
    answers = []
    for H, (p, rho) in TABLE.items():
        height = np.array([H])
        ours = pressure_at_altitude(height)
        answers.append(Answer(f"pressure at {H:g} m", "Pa", p, float(ours[0])))
        answers.append(
            Answer(
                f"density at {H:g} m",
                "kg/m3",
                rho,
                float(density(288.15 - 0.0065 * height, ours, np.zeros(1))[0]),
                1e-4 * float(rho),
                "another gas constant of air, 287.042 against 287.053 J/(kg K): 0.01 %",
            )
        )
    source = "US Standard Atmosphere 1976, Table I, by geopotential altitude"
    return Example("Standard atmosphere", source, tuple(answers))


if __name__ == "__main__":
    show(compare())
