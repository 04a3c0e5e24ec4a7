"""The refill section of a case: what comes out, what goes in, what air is left, and how the system is built."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import Basis, Input, choice
from engcalc.units import Array

VOLUMES = ("0 L", "500 L")
TEMPERATURES = ("-60 degC", "140 degC")
JOINTS = (
    "tank or radiator cap",
    "upper radiator hose",
    "thermostat at the engine's outlet",
    "heater hose",
    "thermostat at the pump's inlet",
    "coolant pump",
    "lower radiator hose",
)  # where the system is opened
YES_NO = {"unknown": "not known", "yes": "yes", "no": "no"}


@dataclass(frozen=True, eq=False)
class Refilling:
    """A refill and its bleeding; the coolant that is in the system, its volume and the cap are those of the case."""

    refractometer: Annotated[
        Array | None,
        Input(
            "T_read",
            "Freezing point read",
            "temperature",
            limits=("-60 degC", "2 degC"),
            usual=("-40 degC", "-10 degC"),
            help="As the refractometer shows it, on the scale named beside. It takes the place of the concentration.",
        ),
    ]
    scale: Annotated[
        str,
        choice(
            "Scale of the refractometer",
            {
                "that of the coolant": "the right one",
                "ethylene glycol": "ethylene glycol",
                "propylene glycol": "propylene glycol",
            },
            "that of the coolant",
        ),
    ]
    altitude: Annotated[
        Array | None,
        Input(
            "z",
            "Altitude",
            "altitude",
            limits=("-430 m", "6000 m"),
            usual=("0 m", "3000 m"),
            help="Absent: the highest of the duties.",
        ),
    ]
    drained: Annotated[
        Array,
        Input(
            "V_out",
            "Already drained or lost",
            "volume",
            "0 L",
            Basis.ASSUMED,
            limits=VOLUMES,
            usual=("0 L", "15 L"),
            help="What came out and was measured.",
        ),
    ]
    drainable: Annotated[
        Array | None,
        Input(
            "V_most",
            "Drains out at most",
            "volume",
            limits=VOLUMES,
            usual=("2 L", "12 L"),
            help="What the drain plug gives: the block may keep some.",
        ),
    ]
    target: Annotated[
        Array | None,
        Input(
            "phi_t",
            "Concentration wanted",
            "fraction",
            limits=("0 %", "100 %"),
            usual=("30 %", "60 %"),
            help="Absent: that of the case's coolant.",
        ),
    ]
    product: Annotated[
        Array,
        Input(
            "phi_p",
            "Strength of what goes in",
            "fraction",
            "100 %",
            Basis.ASSUMED,
            limits=("0 %", "100 %"),
            usual=("30 %", "100 %"),
            help="100 % is concentrate, 50 % a half-and-half premix.",
        ),
    ]
    hottest: Annotated[
        Array | None,
        Input(
            "T_hot",
            "Hottest coolant",
            "temperature",
            limits=("20 degC", "140 degC"),
            usual=("90 degC", "115 degC"),
            help="For the room that the tank must have. Absent: the coolant's limit.",
        ),
    ]
    opened: Annotated[str, choice("What is opened", {place: place for place in JOINTS}, JOINTS[0])]
    filled: Annotated[
        Array | None,
        Input("V_in", "Filled in so far", "volume", limits=VOLUMES, usual=("0 L", "15 L"), help="With topping up."),
    ]
    level_fall: Annotated[
        Array | None,
        Input(
            "h",
            "Level fell by",
            "small length",
            limits=("0 mm", "1000 mm"),
            usual=("0 mm", "100 mm"),
            help="Between two looks at the tank.",
        ),
    ]
    tank_area: Annotated[
        Array | None,
        Input(
            "A_tank",
            "Area of the tank",
            "area",
            limits=("1 cm2", "1 m2"),
            usual=("50 cm2", "300 cm2"),
            help="Its length times its width, inside.",
        ),
    ]
    first_look: Annotated[
        Array,
        Input(
            "T_1",
            "Coolant at the first look",
            "temperature",
            "20 degC",
            Basis.ASSUMED,
            limits=TEMPERATURES,
            usual=("0 degC", "100 degC"),
        ),
    ]
    second_look: Annotated[
        Array,
        Input(
            "T_2",
            "Coolant at the second look",
            "temperature",
            "20 degC",
            Basis.ASSUMED,
            limits=TEMPERATURES,
            usual=("0 degC", "100 degC"),
        ),
    ]
    pressed_fall: Annotated[
        Array | None,
        Input(
            "V_test",
            "Fall under pressure",
            "volume",
            limits=VOLUMES,
            usual=("0 L", "1 L"),
            help="Of the cold closed system, pumped up with a tester.",
        ),
    ]
    tester: Annotated[
        Array | None,
        Input(
            "p_test",
            "Pressure of the tester",
            "gauge pressure",
            limits=("0.01 bar", "4 bar"),
            usual=("0.8 bar", "1.5 bar"),
        ),
    ]
    bleed_screws: Annotated[str, choice("Bleed screws", YES_NO, "unknown")]
    fill: Annotated[
        str, choice("Filled by", {"gravity": "poured in", "vacuum": "drawn in by a vacuum filler"}, "gravity")
    ]
    heater_valve: Annotated[
        str,
        choice(
            "Valve in the heater's line",
            {"always flows": "none", "cable or vacuum valve": "moved by hand or vacuum", "electric valve": "commanded"},
            "always flows",
        ),
    ]
    rear_heater: Annotated[str, choice("Rear heater", YES_NO, "unknown")]
