"""Road load of type approval: force and power at 80 km/h for three reference masses."""

from engcalc.case.case import Case
from engcalc.case.conditions import conditions_of
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.components.engine import prepare_engine, road_power
from worked_examples.published.comparison import Answer, Example, show

TABLE = {  # equivalent inertia [kg]: constant [N], coefficient [N/(km/h)2], then the printed force [N] and power [kW]
    1130: (6.4, 0.0433, "284", "6.3"),
    1360: (7.1, 0.0481, "315", "7.0"),
    1810: (8.5, 0.0577, "378", "8.4"),
}
AIR = 1.2250  # kg/m3; sea level of the standard atmosphere, 15 degC: the air in which the drag area is put


def power_at_80(mass: int, constant: float, coefficient: float) -> float:
    """Power at the wheels [W] of a vehicle whose rolling and drag coefficients give the table's two numbers."""
    drag_area = 2.0 * coefficient * 3.6**2 / AIR  # m2
    case = resolve(
        CaseText(
            {
                "format": "heatdocket-case/1",
                "vehicle": {
                    "mass": f"{mass} kg",
                    "rolling_coefficient": f"{constant / (mass * 9.80665):.6f}",
                    "drag_coefficient": "0.3",
                    "frontal_area": f"{drag_area / 0.3:.6f} m2",
                },
                "duties": [
                    {"name": "80 km/h", "vehicle_speed": "80 km/h", "ambient": "15 degC", "relative_humidity": "0 %"}
                ],
            }
        )
    )
    if not isinstance(case, Case):
        raise ValueError(case)
    return float(road_power(prepare_engine(case), conditions_of(case.duties))[0])


def compare() -> Example:
    """Force a + b V2 as the regulation tabulates it."""
    answers = []
    for mass, (constant, coefficient, force, power) in TABLE.items():
        ours = power_at_80(mass, constant, coefficient)
        answers.append(Answer(f"force at 80 km/h, {mass} kg", "N", force, ours / (80.0 / 3.6)))
        answers.append(Answer(f"power at 80 km/h, {mass} kg", "kW", power, ours / 1000.0))
    return Example(
        "Road load from tabulated coefficients",
        "UN Regulation No. 83, table of dynamometer settings by reference mass, read in a reprint among the papers of "
        "the working party on the worldwide test procedure",
        tuple(answers),
    )


if __name__ == "__main__":
    show(compare())
