"""Water's boiling pressure and temperature, which every boiling point of a coolant starts from."""

import numpy as np

from engcalc.properties.coolant import saturation_pressure, saturation_temperature
from worked_examples.published.comparison import Answer, Example, show


def compare() -> Example:
    """The check values that the release gives to whoever programs it."""
    p = saturation_pressure(np.array([300.0, 500.0, 600.0])) * 1e-6
    T = saturation_temperature(np.array([0.1e6, 1.0e6, 10.0e6]))
    return Example(
        "Saturation line of water",
        "IAPWS R7-97(2012), Industrial Formulation 1997, Tables 35 and 36",
        (
            Answer("pressure at 300 K", "MPa", "0.00353658941", float(p[0])),
            Answer("pressure at 500 K", "MPa", "2.63889776", float(p[1])),
            Answer("pressure at 600 K", "MPa", "12.3443146", float(p[2])),
            Answer("temperature at 0.1 MPa", "K", "372.755919", float(T[0])),
            Answer("temperature at 1 MPa", "K", "453.035632", float(T[1])),
            Answer("temperature at 10 MPa", "K", "584.149488", float(T[2])),
        ),
    )


if __name__ == "__main__":
    show(compare())
