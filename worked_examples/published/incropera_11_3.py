"""Exhaust gas heats pressurised water in a finned crossflow exchanger: the gas-side area."""

from engcalc.components.exchanger import conductance_from_effectiveness
from worked_examples.published.comparison import Answer, Example, show


def compare() -> Example:
    """Water 1 kg/s from 35 to 125 degC (4197 J/(kg K)), gas from 300 to 100 degC, U 100 W/(m2 K) on the gas side."""
    C_water = 1.0 * 4197.0
    C_gas = C_water * (125.0 - 35.0) / (300.0 - 100.0)
    wanted = (300.0 - 100.0) / (300.0 - 35.0)
    found = conductance_from_effectiveness(wanted, C_gas, C_water)
    return Example(
        "Size of a finned crossflow exchanger, both streams unmixed",
        "Incropera, DeWitt, Bergman & Lavine, Fundamentals of Heat and Mass Transfer, Example 11.3 (page 692)",
        (
            Answer("capacity ratio", "", "0.45", C_gas / C_water),
            Answer("effectiveness", "", "0.75", wanted),
            Answer("NTU", "", "2.1", float(found.UA[0] / C_gas)),
            Answer(
                "gas-side area",
                "m2",
                "39.7",
                float(found.UA[0] / 100.0),
                0.95,
                "the book's NTU of 2.1 is rounded, by up to 0.05",
            ),
        ),
    )


if __name__ == "__main__":
    show(compare())
