"""Inputs. The thermostat and its bypass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import FRACTION, DetailLevel, Input, choice
from engcalc.units import Array

# What passes a healthy valve that is shut, of full opening: the seat's leak, for a bleed hole's loose pin shuts while
# the pump turns. Common practice, no source.
BLEED_HOLE = 0.0002
# Play of a healthy valve in service, K. With 1 K and more the coolant swings by 6 K and more for ever.
# Eleven real trips of one car stay within 1 to 3 K once they regulate.
# Service manuals give 5 to 9 K from opening to fully shut in a bath.
PLAY = 0.0


@dataclass(frozen=True, eq=False)
class Thermostat:
    """The valve that should hold the temperature."""

    rating: Annotated[
        Array,
        Input(
            "T_rating",
            "Stamped rating",
            "temperature",
            spread="2 K",
            limits=("20 degC", "140 degC"),
            usual=("71 degC", "105 degC"),
            words={"unknown": None},
            help="Often nothing is stamped: then write unknown.",
        ),
    ]
    side: Annotated[
        str,
        choice(
            "Where the thermostat sits",
            {"outlet": "at the engine's outlet", "inlet": "at the pump's inlet", "unknown": "not known"},
            "outlet",
        ),
    ]
    bypass: Annotated[
        str,
        choice(
            "Bypass",
            {
                "closing": "the valve closes it as it opens",
                "fixed": "always open",
                "none": "no bypass",
                "unknown": "not known",
            },
            "closing",
            level=DetailLevel.DETAIL,
        ),
    ]
    kind: Annotated[
        str,
        choice(
            "Kind of thermostat",
            {
                "wax": "wax",
                "heated wax": "wax with an electric heater",
                "valve": "commanded valve",
                "none": "no valve in the housing",
                "unknown": "not known",
            },
            "wax",
        ),
    ]
    start_to_open: Annotated[
        Array,
        Input(
            "T_open",
            "Starts to open",
            "temperature",
            spread="2 K",
            limits=("0 degC", "140 degC"),
            usual=("71 degC", "105 degC"),
            level=DetailLevel.DETAIL,
            derived=True,
        ),
    ]
    full_open: Annotated[
        Array,
        Input(
            "T_full",
            "Fully open",
            "temperature",
            spread="2 K",
            limits=("1 degC", "160 degC"),
            usual=("82 degC", "118 degC"),
            level=DetailLevel.DETAIL,
            derived=True,
        ),
    ]
    hysteresis: Annotated[
        Array,
        Input(
            "dT_hys",
            "Closes below its opening curve by",
            "temperature difference",
            f"{PLAY:g} K",
            spread="0 K",
            limits=("0 K", "30 K"),
            usual=("0 K", "9 K"),
            level=DetailLevel.DETAIL,
            help="In service. A slow bath from opening to fully shut shows more.",
        ),
    ]
    mapped_shift: Annotated[
        Array,
        Input(
            "dT_map",
            "At full load it opens lower by",
            "temperature difference",
            limits=("0 K", "60 K"),
            usual=("10 K", "25 K"),
            level=DetailLevel.DETAIL,
            derived=True,
            help="A heater in the wax or a command opens it earlier under load, by design; not at all in "
            "light running. "
            "Absent: 15 K for a heated or commanded valve, nothing for plain wax.",
        ),
    ]
    closed_leak: Annotated[
        Array,
        Input(
            "leak",
            "Leak when shut, share of full opening",
            "fraction",
            f"{100.0 * BLEED_HOLE:g} %",
            spread="80 %",
            limits=FRACTION,
            usual=("0 %", "2 %"),
            level=DetailLevel.DETAIL,
            help="What passes the seat; and the bleed hole, where no loose pin shuts it.",
        ),
    ]
    time_constant: Annotated[
        Array,
        Input(
            "tau_wax",
            "Lag of the wax",
            "short time",
            "10 s",
            spread="30 %",
            limits=("0 s", "300 s"),
            usual=("5 s", "15 s"),
            level=DetailLevel.DETAIL,
        ),
    ]
    minimum_opening: Annotated[
        Array,
        Input(
            "s_min",
            "Never closes further than",
            "fraction",
            "0 %",
            spread="0 %",
            limits=FRACTION,
            usual=("0 %", "0 %"),
            level=DetailLevel.DETAIL,
            help="More than zero describes a valve that does not close.",
        ),
    ]
    maximum_opening: Annotated[
        Array,
        Input(
            "s_max",
            "Never opens further than",
            "fraction",
            "100 %",
            spread="0 %",
            limits=FRACTION,
            usual=("100 %", "100 %"),
            level=DetailLevel.DETAIL,
            help="Less than 100 % describes a valve that does not open.",
        ),
    ]
