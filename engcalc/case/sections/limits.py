"""Inputs. What has to hold."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import Basis, DetailLevel, Input
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Limits:
    """What is asked of the system."""

    coolant_limit: Annotated[
        Array,
        Input(
            "T_max",
            "Highest coolant temperature",
            "temperature",
            "115 degC",
            limits=("30 degC", "160 degC"),
            usual=("105 degC", "122 degC"),
            help="At the engine's outlet. The maker's figure comes first.",
        ),
    ]
    margin: Annotated[
        Array,
        Input(
            "dT_m,w",
            "Margin wanted under the limit",
            "temperature difference",
            "5 K",
            basis=Basis.ASSUMED,
            limits=("0 K", "60 K"),
            usual=("3 K", "10 K"),
        ),
    ]
    warm_up_time: Annotated[
        Array,
        Input(
            "t_warm",
            "Should be warm within",
            "time",
            "20 min",
            basis=Basis.ASSUMED,
            limits=("0.5 min", "3 h"),
            usual=("8 min", "25 min"),
        ),
    ]
    warm_up_temperature: Annotated[
        Array,
        Input(
            "T_warm",
            "Counts as warm from",
            "temperature",
            "70 degC",
            basis=Basis.ASSUMED,
            limits=("20 degC", "130 degC"),
            usual=("60 degC", "80 degC"),
        ),
    ]
    confidence: Annotated[
        Array,
        Input(
            "conf",
            "Wanted probability of holding",
            "fraction",
            "95 %",
            basis=Basis.ASSUMED,
            limits=("50 %", "99.9 %"),
            usual=("90 %", "99 %"),
        ),
    ]
    room_height: Annotated[
        Array | None,
        Input(
            "H_room",
            "Room for the core, height",
            "small length",
            limits=("40 mm", "4 m"),
            usual=("250 mm", "800 mm"),
            help="Across the tubes. With width and depth: the least core that holds is sought in this room.",
        ),
    ]
    room_width: Annotated[
        Array | None,
        Input(
            "W_room",
            "Room for the core, width",
            "small length",
            limits=("40 mm", "4 m"),
            usual=("350 mm", "1000 mm"),
            help="Along the tubes, tanks not counted. For a down-flow core swap height and width.",
        ),
    ]
    room_depth: Annotated[
        Array | None,
        Input(
            "D_room",
            "Room for the core, depth",
            "small length",
            limits=("10 mm", "400 mm"),
            usual=("16 mm", "100 mm"),
            help="In the direction of the air.",
        ),
    ]
    free_fan: Annotated[
        Array | None,
        Input(
            "V_fan,f",
            "The fan may have a free flow of",
            "air flow",
            limits=("1 m3/h", "500000 m3/h"),
            usual=("1500 m3/h", "8000 m3/h"),
            help="Here and below for the least core: stated, it may move as far as this. Absent: it stays.",
            level=DetailLevel.DETAIL,
        ),
    ]
    free_opening: Annotated[
        Array | None,
        Input(
            "A_in,f",
            "The grille may have an open area of",
            "area",
            limits=("0.0005 m2", "10 m2"),
            usual=("0.05 m2", "0.5 m2"),
            help="Where bumper and bodywork let it grow.",
            level=DetailLevel.DETAIL,
        ),
    ]
    free_exit: Annotated[
        Array | None,
        Input(
            "A_out,f",
            "The exit may have an open area of",
            "area",
            limits=("0.0005 m2", "10 m2"),
            usual=("0.1 m2", "0.8 m2"),
            help="Where bonnet and arches let it grow.",
            level=DetailLevel.DETAIL,
        ),
    ]
    free_pump: Annotated[
        Array | None,
        Input(
            "i_p,f",
            "The pump may turn per engine turn",
            "number",
            limits=("0.05", "10"),
            usual=("0.8", "2"),
            help="By another pulley. Fast turning engines draw air into the coolant if it is too much.",
            level=DetailLevel.DETAIL,
        ),
    ]
    free_cap: Annotated[
        Array | None,
        Input(
            "p_cap,f",
            "The cap may open at",
            "gauge pressure",
            limits=("0 bar", "3 bar"),
            usual=("0.9 bar", "1.6 bar"),
            help="Only as far as hoses, tank and heater core bear it: the maker's figure comes first.",
            level=DetailLevel.DETAIL,
        ),
    ]
    free_mixture: Annotated[
        Array | None,
        Input(
            "phi_f",
            "The mixture may have a concentration of",
            "fraction",
            limits=("0 %", "70 %"),
            usual=("25 %", "60 %"),
            help="Less glycol carries more heat and freezes sooner: see what frost asks first.",
            level=DetailLevel.DETAIL,
        ),
    ]
