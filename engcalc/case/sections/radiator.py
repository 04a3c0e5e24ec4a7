"""Inputs. The radiator core."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, Input, choice
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Radiator:
    """The core: tubes run across its width, fins stand between them, air passes through its depth."""

    core_height: Annotated[
        Array,
        Input(
            "H",
            "Core height",
            "small length",
            spread="6 %",
            limits=("20 mm", "4 m"),
            usual=("250 mm", "700 mm"),
            help="Across the tubes. Of a down-flow core, whose tubes stand upright, swap height and width.",
        ),
    ]
    core_width: Annotated[
        Array,
        Input(
            "W",
            "Core width",
            "small length",
            spread="6 %",
            limits=("20 mm", "4 m"),
            usual=("350 mm", "900 mm"),
            help="Along the tubes, tanks not counted.",
        ),
    ]
    core_depth: Annotated[
        Array,
        Input(
            "F_d",
            "Core depth",
            "small length",
            spread="8 %",
            limits=("5 mm", "400 mm"),
            usual=("16 mm", "80 mm"),
            help="In the direction of the air.",
        ),
    ]
    tube_rows: Annotated[
        Array,
        Input(
            "N_r",
            "Tube rows",
            "count",
            "1",
            limits=("1", "12"),
            usual=("1", "4"),
            help="Tubes one behind the other in the direction of the air.",
        ),
    ]
    tube_width: Annotated[
        Array,
        Input(
            "w_t",
            "Tube width",
            "small length",
            limits=("2 mm", "400 mm"),
            usual=("12 mm", "60 mm"),
            level=DetailLevel.DETAIL,
            derived=True,
            help="Outer, in the direction of the air.",
        ),
    ]
    tube_height: Annotated[
        Array,
        Input(
            "h_t",
            "Tube height",
            "small length",
            "1.8 mm",
            spread="8 %",
            limits=("0.5 mm", "30 mm"),
            usual=("1.3 mm", "3 mm"),
            level=DetailLevel.DETAIL,
            help="Outer, across the air.",
        ),
    ]
    tube_wall: Annotated[
        Array,
        Input(
            "t_w",
            "Tube wall",
            "small length",
            "0.27 mm",
            spread="10 %",
            limits=("0.05 mm", "5 mm"),
            usual=("0.2 mm", "0.4 mm"),
            level=DetailLevel.DETAIL,
        ),
    ]
    tube_pitch: Annotated[
        Array,
        Input(
            "T_p",
            "Tube pitch",
            "small length",
            "9.8 mm",
            spread="5 %",
            limits=("1 mm", "100 mm"),
            usual=("7 mm", "13 mm"),
            level=DetailLevel.DETAIL,
            help="From tube to tube across the height. Absent, it is tube height plus fin "
            "height; entered with both, it may differ from their sum.",
        ),
    ]
    fin_pitch: Annotated[
        Array,
        Input(
            "F_p",
            "Fin pitch",
            "pitch",
            "1.4 mm",
            spread="8 %",
            limits=("0.3 mm", "20 mm"),
            usual=("1.0 mm", "2.5 mm"),
            help="A pitch, or fins per inch such as 18 /in.",
        ),
    ]
    fin_thickness: Annotated[
        Array,
        Input(
            "delta_f",
            "Fin thickness",
            "small length",
            "0.09 mm",
            spread="10 %",
            limits=("0.01 mm", "2 mm"),
            usual=("0.05 mm", "0.15 mm"),
            level=DetailLevel.DETAIL,
        ),
    ]
    fin_height: Annotated[
        Array,
        Input(
            "F_l",
            "Fin height",
            "small length",
            derived=True,
            limits=("0.5 mm", "80 mm"),
            usual=("5 mm", "12 mm"),
            level=DetailLevel.DETAIL,
            help="Of the fin itself, from tube to tube. Absent, it is tube pitch less tube height.",
        ),
    ]
    louver_pitch: Annotated[
        Array,
        Input(
            "L_p",
            "Louver pitch",
            "small length",
            "1.1 mm",
            spread="10 %",
            limits=("0.1 mm", "20 mm"),
            usual=("0.7 mm", "2 mm"),
            level=DetailLevel.DETAIL,
        ),
    ]
    louver_angle: Annotated[
        Array,
        Input(
            "theta",
            "Louver angle",
            "angle",
            "27 deg",
            spread="8 %",
            limits=("1 deg", "60 deg"),
            usual=("20 deg", "32 deg"),
            level=DetailLevel.DETAIL,
        ),
    ]
    louver_length: Annotated[
        Array,
        Input(
            "L_l",
            "Louver length",
            "small length",
            derived=True,
            limits=("0.3 mm", "80 mm"),
            usual=("4 mm", "11 mm"),
            level=DetailLevel.DETAIL,
        ),
    ]
    material: Annotated[
        str,
        choice(
            "Material",
            {"aluminium": "aluminium fins and tubes", "copper-brass": "copper fins on brass tubes"},
            "aluminium",
        ),
    ]
    passes: Annotated[
        Array,
        Input(
            "N_p",
            "Passes",
            "count",
            "1",
            limits=("1", "6"),
            usual=("1", "2"),
            help="Groups of tubes side by side that the coolant goes through in turn.",
        ),
    ]
    arrangement: Annotated[
        str,
        choice(
            "Flow arrangement",
            {
                "both unmixed": "cross flow, tubes and fins keep both streams apart",
                "air mixed": "cross flow, air mixes",
                "coolant mixed": "cross flow, coolant mixes",
                "both mixed": "cross flow, both mix",
                "counterflow": "opposite directions",
                "parallel flow": "same direction",
            },
            "both unmixed",
            level=DetailLevel.DETAIL,
        ),
    ]
    blocked_tubes: Annotated[
        Array, Input("b_t", "Blocked tubes", "fraction", "0 %", limits=("0 %", "99 %"), usual=("0 %", "30 %"))
    ]
    blocked_face: Annotated[
        Array,
        Input(
            "b_f",
            "Blocked face",
            "fraction",
            "0 %",
            limits=("0 %", "99 %"),
            usual=("0 %", "50 %"),
            help="Dirt, insects, a winter front.",
        ),
    ]
    fouling: Annotated[
        Array,
        Input(
            "R_f",
            "Fouling on the coolant side",
            "fouling",
            "0.00002 m2 K/W",
            spread="50 %",
            limits=("0 m2 K/W", "0.1 m2 K/W"),
            usual=("0 m2 K/W", "0.0002 m2 K/W"),
            level=DetailLevel.DETAIL,
        ),
    ]
    rated_heat: Annotated[
        Array | None,
        Input(
            "Q_rad,r",
            "Maker's rated heat",
            "heat rate",
            spread="5 %",
            limits=("10 W", "5000 kW"),
            usual=("20 kW", "200 kW"),
            help="With the next three: scales the prediction, visibly.",
        ),
    ]
    rated_coolant_flow: Annotated[
        Array | None,
        Input(
            "V_r",
            "at a coolant flow of",
            "coolant flow",
            limits=("0.01 L/min", "5000 L/min"),
            usual=("40 L/min", "250 L/min"),
        ),
    ]
    rated_air_velocity: Annotated[
        Array | None,
        Input("v_r", "at an air velocity of", "air speed", limits=("0.05 m/s", "60 m/s"), usual=("2 m/s", "12 m/s")),
    ]
    rated_inlet_difference: Annotated[
        Array | None,
        Input(
            "ITD_r",
            "and coolant in over air in by",
            "temperature difference",
            limits=("0.5 K", "150 K"),
            usual=("40 K", "80 K"),
        ),
    ]
    scale_to: Annotated[
        str,
        choice(
            "Prediction scaled to",
            {
                "rated point": "the maker's rated heat, where all four numbers are given",
                "measured points": "what was measured: coolant and air, in and out",
                "none": "nothing: the dimensions alone",
            },
            "rated point",
        ),
    ]
    ua_scale: Annotated[
        Array | None,
        Input(
            "k_UA",
            "Factor on the conductance",
            limits=("0.1", "10"),
            usual=("0.7", "1.3"),
            level=DetailLevel.DETAIL,
            help="Typed, it stands; absent, it follows from the point chosen above.",
        ),
    ]
