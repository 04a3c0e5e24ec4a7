"""Inputs. The engine and where its heat goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from engcalc.case.declare import DetailLevel, Input, choice
from engcalc.units import Array


@dataclass(frozen=True, eq=False)
class Engine:
    """Where the heat comes from."""

    fuel: Annotated[
        str,
        choice(
            "Fuel",
            {
                "petrol": "petrol",
                "petrol E10": "petrol with a tenth of ethanol",
                "diesel": "diesel",
                "ethanol E85": "petrol with 85 % ethanol",
                "LPG": "liquefied petroleum gas",
                "natural gas": "natural gas",
            },
            "petrol E10",
            help="A hybrid burns petrol or diesel as well: its engine may stand still.",
            level=DetailLevel.FIRST,
        ),
    ]
    hybrid: Annotated[
        str,
        choice(
            "Hybrid",
            {"no": "the engine alone drives", "yes": "the engine may stand while it drives or halts, by design"},
            "no",
            level=DetailLevel.FIRST,
        ),
    ]
    displacement: Annotated[
        Array,
        Input("V_d", "Displacement", "displacement", spread="10 %", limits=("0.02 L", "60 L"), usual=("0.9 L", "7 L")),
    ]
    cycle: Annotated[
        str,
        choice(
            "Cycle",
            {"four-stroke": "fires every second turn", "two-stroke": "fires every turn"},
            "four-stroke",
            level=DetailLevel.DETAIL,
        ),
    ]
    rated_power: Annotated[
        Array,
        Input(
            "P_rated",
            "Rated power",
            "power",
            spread="10 %",
            limits=("0.2 kW", "3000 kW"),
            usual=("50 kW", "400 kW"),
            help="The maker's figure, or a dynamometer's.",
        ),
    ]
    power_at: Annotated[str, choice("Power measured at", {"crank": "the crankshaft", "wheel": "the wheels"}, "crank")]
    rated_speed: Annotated[
        Array,
        Input(
            "n_rated",
            "Speed at rated power",
            "rotation",
            spread="5 %",
            limits=("200 rpm", "25000 rpm"),
            usual=("2200 rpm", "8000 rpm"),
        ),
    ]
    brake_thermal_efficiency: Annotated[
        Array,
        Input(
            "eta_b",
            "Brake thermal efficiency at rated power",
            "fraction",
            spread="8 %",
            limits=("2 %", "60 %"),
            usual=("24 %", "42 %"),
            help="Share of the fuel's power that reaches the crankshaft at the rated point.",
        ),
    ]
    coolant_share_rated: Annotated[
        Array,
        Input(
            "x_rated",
            "Share of fuel power into the metal, rated",
            "fraction",
            spread="12 %",
            limits=("2 %", "75 %"),
            usual=("17 %", "35 %"),
            level=DetailLevel.DETAIL,
            help="Goes on to the coolant and to the surface.",
        ),
    ]
    coolant_share_idle: Annotated[
        Array,
        Input(
            "x_idle",
            "Share of fuel power into the metal, idle",
            "fraction",
            spread="15 %",
            limits=("2 %", "90 %"),
            usual=("30 %", "75 %"),
            level=DetailLevel.DETAIL,
        ),
    ]
    friction_mep: Annotated[
        Array,
        Input(
            "fmep",
            "Friction mean pressure, warm idle",
            "mean pressure",
            spread="15 %",
            limits=("0 bar", "10 bar"),
            usual=("0.7 bar", "2 bar"),
            level=DetailLevel.DETAIL,
        ),
    ]
    metal_mass: Annotated[
        Array,
        Input(
            "m_metal",
            "Engine metal that warms with the coolant",
            "mass",
            spread="20 %",
            limits=("0.2 kg", "10 t"),
            usual=("35 kg", "200 kg"),
            level=DetailLevel.DETAIL,
        ),
    ]
    air_fuel_ratio: Annotated[
        Array,
        Input(
            "lambda",
            "Air ratio (lambda)",
            default="1",
            spread="5 %",
            limits=("0.5", "10"),
            usual=("0.8", "1.1"),
            level=DetailLevel.DETAIL,
            help="1 is stoichiometric; the fuel's own ratio comes from its kind.",
        ),
    ]
    aspiration: Annotated[
        str,
        choice(
            "Aspiration", {"natural": "power falls with air density", "turbo": "holds its power at altitude"}, "natural"
        ),
    ]
    idle_speed: Annotated[
        Array,
        Input(
            "n_idle",
            "Idle speed",
            "rotation",
            "800 rpm",
            spread="6 %",
            limits=("100 rpm", "4000 rpm"),
            usual=("600 rpm", "1000 rpm"),
        ),
    ]
    cold_idle_speed: Annotated[
        Array,
        Input(
            "n_cold",
            "Idle speed with coolant of 20 °C",
            "rotation",
            spread="8 %",
            limits=("100 rpm", "4000 rpm"),
            usual=("850 rpm", "1400 rpm"),
            level=DetailLevel.DETAIL,
            derived=True,
            help="Falls as the coolant warms. Absent: 500 rpm over the warm idle for petrol and gas, 130 "
            "rpm for diesel.",
        ),
    ]
    surface_conductance: Annotated[
        Array,
        Input(
            "UA_s",
            "Heat loss of the engine's surface",
            "conductance",
            spread="30 %",
            limits=("0 W/K", "500 W/K"),
            usual=("5 W/K", "40 W/K"),
            level=DetailLevel.DETAIL,
            help="From the metal to the air around it, standing still. It grows with the vehicle's speed.",
        ),
    ]
    block_heater_power: Annotated[
        Array | None,
        Input(
            "P_bh",
            "Block heater's power",
            "small heat rate",
            limits=("0 W", "20 kW"),
            usual=("400 W", "1500 W"),
            help="Electric, in the jacket, plugged in while parked. Absent: one that was used is not simulated. Use a "
            "healthy outdoor cable and socket.",
        ),
    ]
