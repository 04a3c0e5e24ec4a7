"""Inputs. Fan, ducts, seals, shutter and the coolers ahead of the radiator."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import FRACTION, DetailLevel, Input, choice, text
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class UpstreamCooler:
    """A cooler that stands in the air ahead of the radiator."""

    name: Annotated[str | None, text("Name")]
    kind: Annotated[
        str,
        choice(
            "What it cools",
            {
                "condenser": "refrigerant: warm while the air conditioning is on",
                "charge air": "the engine's charge air: its heat comes with boost",
                "oil": "oil of engine, gearbox or steering: its heat goes with load",
                "constant": "anything else: the same heat in every duty",
            },
            "constant",
        ),
    ]
    heat: Annotated[
        Array | None,
        Input(
            "Q_u,i",
            "Heat into the air",
            "heat rate",
            spread="15 %",
            limits=("0 W", "2000 kW"),
            usual=("0 kW", "20 kW"),
            help="Of charge air and oil: at rated power. Absent: none, but for charge air, whose heat then "
            "follows from "
            "the engine's air and boost.",
        ),
    ]
    effectiveness: Annotated[
        Array,
        Input(
            "eps_u",
            "Effectiveness of a charge-air cooler",
            "fraction",
            "70 %",
            spread="10 %",
            limits=("5 %", "100 %"),
            usual=("55 %", "90 %"),
            level=DetailLevel.DETAIL,
            help="Share of what the air is warmer than outside that the cooler takes from it: at rated power, with "
            "outside air of 8 m/s over its own face. Less air or more charge lowers it.",
        ),
    ]
    conductance: Annotated[
        Array | None,
        Input(
            "UA_u",
            "Conductance, if known",
            "conductance",
            spread="15 %",
            limits=("1 W/K", "50 kW/K"),
            usual=("100 W/K", "2000 W/K"),
            level=DetailLevel.DETAIL,
            help="From the stream that it cools to its air. Of charge air it takes the place of the effectiveness. "
            "Absent for refrigerant or oil: it gives off what it is asked to, as long as that is at most 60 K hotter "
            "than outside.",
        ),
    ]
    flow_resistance: Annotated[
        Array,
        Input(
            "zeta_u",
            "Flow resistance",
            default="2",
            spread="20 %",
            limits=("0", "500"),
            usual=("1", "15"),
            level=DetailLevel.DETAIL,
            help="Pressure loss over the dynamic pressure at the core's face.",
        ),
    ]
    face_share: Annotated[
        Array,
        Input(
            "x_u",
            "Share of the face covered",
            "fraction",
            "100 %",
            spread="5 %",
            limits=FRACTION,
            usual=("30 %", "100 %"),
        ),
    ]
    placed: Annotated[
        str,
        choice(
            "Stands",
            {
                "behind": "behind the coolers above it, in the air that they have warmed",
                "beside": "beside the cooler above it, in the same air",
            },
            "behind",
            level=DetailLevel.DETAIL,
        ),
    ]


@dataclass(frozen=True, eq=False)
class Airflow:
    """What moves the air, and what stands in its way."""

    fan_free_flow: Annotated[
        Array,
        Input(
            "V_fan",
            "Free flow of one fan",
            "air flow",
            spread="15 %",
            limits=("0 m3/h", "500000 m3/h"),
            usual=("1500 m3/h", "6000 m3/h"),
            help="As advertised: in free air, an upper bound.",
        ),
    ]
    fan_stall_pressure: Annotated[
        Array,
        Input(
            "dp_fan",
            "Stall pressure of the fan",
            "pressure difference",
            spread="15 %",
            limits=("0 Pa", "20 kPa"),
            usual=("100 Pa", "500 Pa"),
            level=DetailLevel.DETAIL,
        ),
    ]
    fan_count: Annotated[Array, Input("N_fan", "Number of fans", "count", "1", limits=("0", "12"), usual=("1", "2"))]
    fan_drive: Annotated[
        str,
        choice(
            "Fan drive",
            {
                "electric": "electric, on and off by temperature",
                "two-stage electric": "electric, a low and a high speed",
                "PWM electric": "electric, its speed rises with temperature",
                "viscous clutch": "driven by the engine through a clutch that slips",
                "fixed": "fixed to the engine",
                "none": "no fan",
            },
            "electric",
        ),
    ]
    fan_side: Annotated[
        str,
        choice(
            "Fan side", {"puller": "behind the core", "pusher": "ahead of the core"}, "puller", level=DetailLevel.DETAIL
        ),
    ]
    fan_on: Annotated[
        Array,
        Input(
            "T_on",
            "Fan on at",
            "temperature",
            "98 degC",
            spread="3 K",
            limits=("0 degC", "150 degC"),
            usual=("90 degC", "106 degC"),
            help="Two-stage: its low speed. PWM or a clutch that senses coolant: full speed.",
        ),
    ]
    fan_off: Annotated[
        Array,
        Input(
            "T_off",
            "Fan off at",
            "temperature",
            "93 degC",
            spread="3 K",
            limits=("-10 degC", "149 degC"),
            usual=("85 degC", "100 degC"),
            help="PWM: starts to turn. A clutch that senses coolant: starts to engage.",
        ),
    ]
    fan_high_on: Annotated[
        Array,
        Input(
            "T_on2",
            "High speed on at",
            "temperature",
            "104 degC",
            spread="3 K",
            limits=("0 degC", "160 degC"),
            usual=("98 degC", "110 degC"),
            help="Of a two-stage fan.",
        ),
    ]
    fan_high_off: Annotated[
        Array,
        Input(
            "T_off2",
            "High speed off at",
            "temperature",
            "99 degC",
            spread="3 K",
            limits=("-10 degC", "159 degC"),
            usual=("93 degC", "105 degC"),
            help="Of a two-stage fan: back to its low speed.",
        ),
    ]
    fan_low_speed: Annotated[
        Array,
        Input(
            "n_low",
            "Low speed, share of full speed",
            "fraction",
            "60 %",
            spread="10 %",
            limits=("5 %", "95 %"),
            usual=("45 %", "75 %"),
            help="Of a two-stage fan.",
        ),
    ]
    air_conditioning_fan: Annotated[
        Array,
        Input(
            "n_ac",
            "Fan speed at least, air conditioning on",
            "fraction",
            "60 %",
            limits=FRACTION,
            usual=("0 %", "100 %"),
            help="Electric fans, by design. One speed: it runs if this is over 0. 0 %: the air conditioning does not "
            "turn it on.",
        ),
    ]
    clutch_senses: Annotated[
        str,
        choice(
            "Clutch senses",
            {"coolant": "the coolant, or is commanded by it", "air": "the air that comes off the radiator"},
            "coolant",
        ),
    ]
    clutch_air_start: Annotated[
        Array,
        Input(
            "T_c1",
            "Clutch starts to engage in air of",
            "temperature",
            "65 degC",
            spread="4 K",
            limits=("0 degC", "120 degC"),
            usual=("55 degC", "75 degC"),
            help="Of a clutch that senses air.",
        ),
    ]
    clutch_air_full: Annotated[
        Array,
        Input(
            "T_c2",
            "and is fully engaged in air of",
            "temperature",
            "80 degC",
            spread="4 K",
            limits=("1 degC", "140 degC"),
            usual=("70 degC", "95 degC"),
        ),
    ]
    fan_power: Annotated[
        Array | None,
        Input(
            "P_fan",
            "Electric power of one fan",
            "small heat rate",
            limits=("1 W", "20 kW"),
            usual=("100 W", "850 W"),
            help="Volts times amps: tests an advertised flow.",
        ),
    ]
    fan_diameter: Annotated[
        Array | None,
        Input(
            "D_fan",
            "Diameter of one fan",
            "small length",
            limits=("50 mm", "3 m"),
            usual=("250 mm", "450 mm"),
            help="Over all, with its frame: no more fans are counted than fit the face of the core side by side.",
        ),
    ]
    fan_stopped: Annotated[
        Array,
        Input(
            "x_st",
            "Resistance of a stopped fan",
            "fraction",
            "25 %",
            limits=("0 %", "5000 %"),
            usual=("5 %", "200 %"),
            level=DetailLevel.DETAIL,
            help="With its shroud, over the pressure of its own curve at the same flow: what ram air meets while the "
            "fan stands or turns slower than the air drives it. Flaps in the shroud that ram opens: near 5 %. A close "
            "shroud with a small fan: 100 % and more.",
        ),
    ]
    shroud_coverage: Annotated[
        Array,
        Input(
            "x_sh",
            "Share of the face under the shroud",
            "fraction",
            "90 %",
            spread="8 %",
            limits=("5 %", "100 %"),
            usual=("50 %", "100 %"),
        ),
    ]
    seals: Annotated[
        str, choice("Seals between grille and core", {"fitted": "in place", "missing": "missing"}, "fitted")
    ]
    opening_area: Annotated[
        Array,
        Input(
            "A_in",
            "Open area of the grille",
            "area",
            spread="20 %",
            limits=("0.0005 m2", "10 m2"),
            usual=("0.05 m2", "0.3 m2"),
        ),
    ]
    exit_area: Annotated[
        Array,
        Input(
            "A_out",
            "Open area behind the core",
            "area",
            spread="25 %",
            limits=("0.0005 m2", "10 m2"),
            usual=("0.1 m2", "0.5 m2"),
        ),
    ]
    ram_recovery: Annotated[
        Array,
        Input(
            "k_ram",
            "Ram pressure recovered",
            "fraction",
            "70 %",
            spread="15 %",
            limits=FRACTION,
            usual=("40 %", "90 %"),
            level=DetailLevel.DETAIL,
            help="Share of the dynamic pressure that reaches the core, less the bay's.",
        ),
    ]
    exit_pressure: Annotated[
        Array,
        Input(
            "c_out",
            "Pressure coefficient where the air leaves",
            default="0",
            limits=("-2", "1"),
            usual=("-0.3", "0.2"),
            level=DetailLevel.DETAIL,
            help="Pressure there, less that far ahead, over the dynamic pressure. Below 0 the exit draws: over a "
            "bonnet, behind a wheel. Above 0 it holds back. 0 where the share of ram pressure is less the bay's.",
        ),
    ]
    inlet_loss: Annotated[
        Array,
        Input(
            "zeta_in",
            "Loss at the edge of the opening",
            default="0.5",
            limits=("0", "10"),
            usual=("0.03", "1"),
            level=DetailLevel.DETAIL,
            help="Over the dynamic pressure in the opening. A sharp edge: 0.5, a well rounded one: 0.03 to 0.1.",
        ),
    ]
    inlet_diffuser: Annotated[
        Array,
        Input(
            "eta_in",
            "Pressure won back in the inlet duct",
            "fraction",
            "0 %",
            limits=FRACTION,
            usual=("0 %", "80 %"),
            level=DetailLevel.DETAIL,
            help="Share of the loss of a sudden widening, from the opening to the core, that a closed duct saves by "
            "widening slowly. No duct: 0 %.",
        ),
    ]
    exit_recovery: Annotated[
        Array,
        Input(
            "eta_out",
            "Pressure won back behind the core",
            "fraction",
            "0 %",
            limits=("0 %", "95 %"),
            usual=("0 %", "60 %"),
            level=DetailLevel.DETAIL,
            help="Share of the dynamic pressure in the exit that a duct wins back by widening. No duct: 0 %.",
        ),
    ]
    intake_rise: Annotated[
        Array,
        Input(
            "dT_in",
            "Air comes in warmer than outside by",
            "temperature difference",
            "0 K",
            limits=("0 K", "80 K"),
            usual=("0 K", "20 K"),
            level=DetailLevel.DETAIL,
            help="Of a radiator at the rear or beside the engine, that draws air of the engine's bay.",
        ),
    ]
    uneven_air: Annotated[
        Array,
        Input(
            "x_un",
            "Conductance lost to uneven air",
            "fraction",
            "0 %",
            limits=("0 %", "60 %"),
            usual=("0 %", "10 %"),
            level=DetailLevel.DETAIL,
            help="Where air comes faster through one part of the face than through another: an off-centre opening, a "
            "bumper beam, a fan that covers a part. Half the face a fifth faster and half a fifth slower costs 1 to "
            "2 %, one half twice as fast as the other 3 to 5 %. 0 % where the core was measured in the vehicle.",
        ),
    ]
    system_loss: Annotated[
        Array,
        Input(
            "zeta_s",
            "Other losses",
            default="3",
            spread="30 %",
            limits=("0", "500"),
            usual=("1", "15"),
            level=DetailLevel.DETAIL,
            help="Pressure loss over the dynamic pressure at the core's face.",
        ),
    ]
    recirculation: Annotated[
        Array,
        Input(
            "x_rec",
            "Hot air drawn in again at standstill",
            "fraction",
            "8 %",
            spread="60 %",
            limits=("0 %", "90 %"),
            usual=("0 %", "20 %"),
            level=DetailLevel.DETAIL,
        ),
    ]
    shutter: Annotated[
        Array,
        Input(
            "x_shut",
            "Shutter open",
            "fraction",
            "100 %",
            limits=FRACTION,
            usual=("0 %", "100 %"),
            words={"none": "100 %", "open": "100 %", "closed": "0 %"},
            help="none, open, closed, or how far it stands open; an active one: at most.",
        ),
    ]
    shutter_control: Annotated[
        str,
        choice(
            "Shutter's control",
            {"fixed": "it stands as it is", "active": "shut while the coolant is cold, opens as it warms"},
            "fixed",
        ),
    ]
    shutter_opens: Annotated[
        Array,
        Input(
            "T_s1",
            "Active shutter starts to open at",
            "temperature",
            "85 degC",
            spread="3 K",
            limits=("0 degC", "130 degC"),
            usual=("75 degC", "95 degC"),
        ),
    ]
    shutter_full: Annotated[
        Array,
        Input(
            "T_s2",
            "and is open at",
            "temperature",
            "95 degC",
            spread="3 K",
            limits=("1 degC", "150 degC"),
            usual=("88 degC", "105 degC"),
        ),
    ]
    upstream: tuple[UpstreamCooler, ...]
