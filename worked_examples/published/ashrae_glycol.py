"""Inhibited glycol and water by volume: density, specific heat and conductivity, cold to beyond 100 degC."""

import numpy as np

from engcalc.properties.coolant import Base, CoolantMixture
from worked_examples.published.comparison import Answer, Example, show

# base, per cent by volume, degC: density [kg/m3], specific heat [J/(kg K)], conductivity [W/(m K)]
TABLE = [
    (Base.ETHYLENE, 50, -20, ("1086.87", "3126", "0.344")),
    (Base.ETHYLENE, 50, 50, ("1058.09", "3396", "0.399")),
    (Base.ETHYLENE, 50, 90, ("1030.95", "3551", "0.414")),
    (Base.ETHYLENE, 30, 20, ("1045.25", "3645", "0.453")),
    (Base.PROPYLENE, 50, 80, ("1001.05", "3763", "0.382")),
    (Base.ETHYLENE, 50, 105, ("1018.76", "3609", "0.416")),
    (Base.ETHYLENE, 50, 125, ("1000.81", "3686", "0.417")),
]
WITHIN = (2e-4, 5e-4, 5e-3)  # -; how far smooth curves run from the printed table


def compare() -> Example:
    """Seven states, two of them beyond 100 degC, where the properties are an extension."""
    answers = []
    for base, percent, celsius, printed in TABLE:
        state = CoolantMixture(base, np.array([percent / 100.0])).state(np.array([celsius + 273.15]))
        for what, unit, text, ours, within in zip(
            ("density", "specific heat", "conductivity"),
            ("kg/m3", "J/(kg K)", "W/(m K)"),
            printed,
            (state.rho, state.cp, state.k),
            WITHIN,
            strict=True,
        ):
            answers.append(
                Answer(
                    f"{what}, {base.value} {percent} %, {celsius} degC",
                    unit,
                    text,
                    float(ours[0]),
                    within * float(text),
                    f"smooth curves against a table: {100 * within:g} %",
                )
            )
    return Example(
        "Properties of inhibited glycol and water",
        "ASHRAE Handbook, Fundamentals (2005, SI), chapter 21, tables of inhibited glycols by volume, read in a "
        "reprint within the property data of a building simulation program",
        tuple(answers),
    )


if __name__ == "__main__":
    show(compare())
