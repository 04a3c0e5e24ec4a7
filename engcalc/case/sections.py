"""The inputs of a case, section by section: the one declaration of each.

The form, the checks, the command line, the report's input table and the JSON Schema are all made from these
dataclasses (see :mod:`engcalc.case.catalogue`). Numbers are float64 arrays in SI with members on the last axis; a
number that may be absent is None. Defaults that depend on the vehicle class stand in :mod:`engcalc.case.presets`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from engcalc.case.cause_rates import BaseRateInputs
from engcalc.case.declare import Basis, DetailLevel, FileShape, Input, choice, text
from engcalc.case.presets import CLASS_LABELS
from engcalc.case.records import Duty, Evidence, RigPoint
from engcalc.case.refilling import Refilling
from engcalc.units import Array

FRACTION = ("0 %", "100 %")
# What passes a sound valve that is shut, of full opening: the seat's leak, for a bleed hole's loose pin shuts while the
# pump turns. Common practice, no source.
BLEED_HOLE = 0.0002
# Play of a healthy valve in service, K. With 1 K and more the coolant swings by 6 K and more for ever.
# Eleven real trips of one car stay within 1 to 3 K once they regulate.
# Service manuals give 5 to 9 K from opening to fully shut in a bath.
PLAY = 0.0
# Words of what is fitted today, as components read them
HEAT_SOURCE, OIL_WARMER, GEARBOX_WARMER, EXHAUST_HEAT = "heat source", "oil warmer", "gearbox warmer", "exhaust heat"
TURNS_ALWAYS, STANDS_COLD = "turns always", "stands when cold"
STARTS_PUMP, WAITS_FOR_PUMP = "starts it", "waits for it"


@dataclass(frozen=True, eq=False)
class Job:
    """Whose vehicle it is, who looks at it and why."""

    title: Annotated[str | None, text("Title")]
    work_order: Annotated[str | None, text("Work order")]
    shop: Annotated[str | None, text("Shop")]
    shop_contact: Annotated[str | None, text("Shop contact", "Address, telephone or mail, for the report.")]
    customer: Annotated[str | None, text("Customer")]
    vehicle: Annotated[str | None, text("Vehicle", "Make, model and year as the customer would say it.")]
    registration: Annotated[str | None, text("Registration")]
    vin: Annotated[str | None, text("Vehicle identification number")]
    odometer: Annotated[str | None, text("Odometer", "With its unit, as read.")]
    complaint: Annotated[str | None, text("Complaint", "In the customer's own words.", DetailLevel.FIRST)]
    reason: Annotated[str | None, choice("Why the vehicle is here", {
        "screening": "no complaint, a check", "no heat": "the heater stays cold", "slow warm-up": "warms up slowly",
        "hot at idle": "runs hot standing still", "hot at speed": "runs hot under way",
        "loss of coolant": "loses coolant", "sizing": "parts are to be chosen", "lesson": "a class or a bench rig"},
        help="Sets which causes are likely before any reading.", level=DetailLevel.FIRST)]
    prepared_by: Annotated[str | None, text("Prepared by")]
    credential: Annotated[str | None, text("Credential", "Printed as stated by the signer.")]
    date: Annotated[str | None, text("Date", "Year-month-day.")]
    work_done: Annotated[str | None, text("What was done", "The repair in plain words, for the customer's page.")]
    notes: Annotated[str | None, text("Notes")]
    photos: Annotated[tuple[str, ...], Input("", "Photos", "text", shape=FileShape.TEXTS,
                                             help="Picture files beside the case file.")]
    part_tables: Annotated[tuple[str, ...], Input("", "Tables of parts", "text", shape=FileShape.TEXTS,
                                                  help="CSV files of cores, fans or pumps to choose from.")]


@dataclass(frozen=True, eq=False)
class Vehicle:
    """What moves, and what it takes to move it."""

    class_: Annotated[str, Input("", "Vehicle class", "word", "family car", options=CLASS_LABELS,
                                 shape=FileShape.WORD, level=DetailLevel.FIRST,
                                 help="Fills everything that is not typed with values typical of the class.")]
    mass: Annotated[Array, Input("m", "Vehicle mass", "mass", spread="10 %", limits=("0 kg", "80 t"),
                                 usual=("900 kg", "3500 kg"), help="With load, without trailer.")]
    frontal_area: Annotated[Array, Input("A_f", "Frontal area", "area", spread="8 %", limits=("0 m2", "15 m2"),
                                         usual=("1.8 m2", "4.5 m2"), level=DetailLevel.DETAIL)]
    drag_coefficient: Annotated[Array, Input("c_d", "Drag coefficient", spread="8 %", limits=("0", "2"),
                                             usual=("0.24", "0.7"), level=DetailLevel.DETAIL)]
    rolling_coefficient: Annotated[Array, Input("c_rr", "Rolling coefficient", default="0.011", spread="15 %",
                                                limits=("0", "0.1"), usual=("0.007", "0.016"), level=DetailLevel.DETAIL)]
    driveline_efficiency: Annotated[Array, Input("eta_dl", "Driveline efficiency", "fraction", "88 %", spread="4 %",
                                                 limits=("30 %", "100 %"), usual=("78 %", "95 %"), level=DetailLevel.DETAIL,
                                                 help="Power at the wheels over power at the crankshaft.")]


@dataclass(frozen=True, eq=False)
class Engine:
    """Where the heat comes from."""

    fuel: Annotated[str, choice("Fuel", {"petrol": "petrol", "petrol E10": "petrol with a tenth of ethanol",
                                         "diesel": "diesel", "ethanol E85": "petrol with 85 % ethanol",
                                         "LPG": "liquefied petroleum gas", "natural gas": "natural gas"}, "petrol E10",
                                help="A hybrid burns petrol or diesel as well: its engine may stand still.",
                                level=DetailLevel.FIRST)]
    hybrid: Annotated[str, choice("Hybrid", {"no": "the engine alone drives", "yes": "the engine may stand while it "
                                             "drives or halts, by design"}, "no", level=DetailLevel.FIRST)]
    displacement: Annotated[Array, Input("V_d", "Displacement", "displacement", spread="10 %",
                                         limits=("0.02 L", "60 L"), usual=("0.9 L", "7 L"))]
    cycle: Annotated[str, choice("Cycle", {"four-stroke": "fires every second turn", "two-stroke": "fires every turn"},
                                 "four-stroke", level=DetailLevel.DETAIL)]
    rated_power: Annotated[Array, Input("P_rated", "Rated power", "power", spread="10 %", limits=("0.2 kW", "3000 kW"),
                                        usual=("50 kW", "400 kW"), help="The maker's figure, or a dynamometer's.")]
    power_at: Annotated[str, choice("Power measured at", {"crank": "the crankshaft", "wheel": "the wheels"}, "crank")]
    rated_speed: Annotated[Array, Input("n_rated", "Speed at rated power", "rotation", spread="5 %",
                                        limits=("200 rpm", "25000 rpm"), usual=("2200 rpm", "8000 rpm"))]
    brake_thermal_efficiency: Annotated[Array, Input(
        "eta_b", "Brake thermal efficiency at rated power", "fraction", spread="8 %", limits=("2 %", "60 %"),
        usual=("24 %", "42 %"), help="Share of the fuel's power that reaches the crankshaft at the rated point.")]
    coolant_share_rated: Annotated[Array, Input(
        "x_rated", "Share of fuel power into the metal, rated", "fraction", spread="12 %", limits=("2 %", "75 %"),
        usual=("17 %", "35 %"), level=DetailLevel.DETAIL, help="Goes on to the coolant and to the surface.")]
    coolant_share_idle: Annotated[Array, Input(
        "x_idle", "Share of fuel power into the metal, idle", "fraction", spread="15 %", limits=("2 %", "90 %"),
        usual=("30 %", "55 %"), level=DetailLevel.DETAIL)]
    friction_mep: Annotated[Array, Input("fmep", "Friction mean pressure, warm idle", "mean pressure", spread="15 %",
                                         limits=("0 bar", "10 bar"), usual=("0.7 bar", "2 bar"), level=DetailLevel.DETAIL)]
    metal_mass: Annotated[Array, Input("m_metal", "Engine metal that warms with the coolant", "mass", spread="20 %",
                                       limits=("0.2 kg", "10 t"), usual=("35 kg", "200 kg"), level=DetailLevel.DETAIL)]
    air_fuel_ratio: Annotated[Array, Input(
        "lambda", "Air ratio (lambda)", default="1", spread="5 %", limits=("0.5", "10"), usual=("0.8", "1.1"),
        level=DetailLevel.DETAIL, help="1 is stoichiometric; the fuel's own ratio comes from its kind.")]
    aspiration: Annotated[str, choice("Aspiration", {"natural": "power falls with air density",
                                                     "turbo": "holds its power at altitude"}, "natural")]
    idle_speed: Annotated[Array, Input("n_idle", "Idle speed", "rotation", "800 rpm", spread="6 %",
                                       limits=("100 rpm", "4000 rpm"), usual=("600 rpm", "1000 rpm"))]
    cold_idle_speed: Annotated[Array, Input(
        "n_cold", "Idle speed with coolant of 20 degC", "rotation", spread="8 %", limits=("100 rpm", "4000 rpm"),
        usual=("850 rpm", "1400 rpm"), level=DetailLevel.DETAIL, derived=True,
        help="Falls as the coolant warms. Absent: 500 rpm over the warm idle for petrol and gas, 130 rpm for diesel.")]
    surface_conductance: Annotated[Array, Input(
        "UA_s", "Heat loss of the engine's surface", "conductance", spread="30 %", limits=("0 W/K", "500 W/K"),
        usual=("5 W/K", "40 W/K"), level=DetailLevel.DETAIL,
        help="From the metal to the air around it, standing still. It grows with the vehicle's speed.")]
    block_heater_power: Annotated[Array | None, Input(
        "P_bh", "Block heater's power", "small heat rate", limits=("0 W", "20 kW"), usual=("400 W", "1500 W"),
        help="Electric, in the jacket, plugged in while parked. Absent: one that was used is not simulated. Use a "
             "sound outdoor cable and socket.")]


@dataclass(frozen=True, eq=False)
class Coolant:
    """What carries the heat."""

    base: Annotated[str, choice("Coolant", {"water": "plain water", "ethylene glycol": "ethylene glycol and water",
                                            "propylene glycol": "propylene glycol and water"}, "ethylene glycol",
                                help="Colour does not tell the chemistry; the maker's data does.")]
    concentration: Annotated[Array, Input("phi", "Concentration by volume", "fraction", "50 %", spread="8 %",
                                          limits=FRACTION, usual=("30 %", "60 %"),
                                          help="Computed to 60 %; above that the properties lie outside.")]
    volume: Annotated[Array, Input("V_c", "Coolant volume", "volume", spread="10 %", limits=("0.1 L", "500 L"),
                                   usual=("4 L", "16 L"))]
    cap_pressure: Annotated[Array, Input("p_cap", "Cap opening pressure", "gauge pressure", "1.1 bar", spread="10 %",
                                         limits=("0 bar", "4 bar"), usual=("0.5 bar", "1.6 bar"),
                                         help="0 for an open system.")]
    tank: Annotated[str, choice("Tank", {"surge tank": "pressurised tank in the loop",
                                         "overflow bottle": "open bottle behind the cap", "none": "no tank"},
                                  "surge tank")]


@dataclass(frozen=True, eq=False)
class Thermostat:
    """The valve that should hold the temperature."""

    rating: Annotated[Array, Input("T_rating", "Stamped rating", "temperature", spread="2 K",
                                   limits=("20 degC", "140 degC"), usual=("71 degC", "105 degC"),
                                   words={"unknown": None}, help="Often nothing is stamped: then write unknown.")]
    side: Annotated[str, choice("Where the valve sits", {"outlet": "at the engine's outlet",
                                                         "inlet": "at the pump's inlet", "unknown": "not known"},
                                "outlet")]
    bypass: Annotated[str, choice("Bypass", {"closing": "the valve closes it as it opens", "fixed": "always open",
                                             "none": "no bypass", "unknown": "not known"}, "closing",
                                  level=DetailLevel.DETAIL)]
    kind: Annotated[str, choice("Kind of valve", {"wax": "wax", "heated wax": "wax with an electric heater",
                                                  "valve": "commanded valve", "none": "no valve in the housing",
                                                  "unknown": "not known"},
                                  "wax")]
    start_to_open: Annotated[Array, Input("T_open", "Starts to open", "temperature", spread="2 K",
                                          limits=("0 degC", "140 degC"), usual=("71 degC", "105 degC"),
                                          level=DetailLevel.DETAIL, derived=True)]
    full_open: Annotated[Array, Input("T_full", "Fully open", "temperature", spread="2 K",
                                      limits=("1 degC", "160 degC"), usual=("82 degC", "118 degC"),
                                      level=DetailLevel.DETAIL, derived=True)]
    hysteresis: Annotated[Array, Input("dT_hys", "Closes below its opening curve by", "temperature difference",
                                       f"{PLAY:g} K", spread="0 K", limits=("0 K", "30 K"), usual=("0 K", "9 K"),
                                       level=DetailLevel.DETAIL,
                                       help="In service. A slow bath from opening to fully shut shows more.")]
    mapped_shift: Annotated[Array, Input(
        "dT_map", "At full load it opens lower by", "temperature difference", limits=("0 K", "60 K"),
        usual=("10 K", "25 K"), level=DetailLevel.DETAIL, derived=True,
        help="A heater in the wax or a command opens it earlier under load, by design; not at all in light running. "
             "Absent: 15 K for a heated or commanded valve, nothing for plain wax.")]
    closed_leak: Annotated[Array, Input("leak", "Leak when shut, share of full opening", "fraction",
                                        f"{100.0 * BLEED_HOLE:g} %",
                                        spread="80 %", limits=FRACTION, usual=("0 %", "2 %"), level=DetailLevel.DETAIL,
                                        help="What passes the seat; and the bleed hole, where no loose pin shuts it.")]
    time_constant: Annotated[Array, Input("tau_wax", "Lag of the wax", "short time", "10 s", spread="30 %",
                                          limits=("0 s", "300 s"), usual=("5 s", "15 s"), level=DetailLevel.DETAIL)]
    minimum_opening: Annotated[Array, Input("s_min", "Never closes further than", "fraction", "0 %", spread="0 %",
                                            limits=FRACTION, usual=("0 %", "0 %"), level=DetailLevel.DETAIL,
                                            help="More than zero describes a valve that does not close.")]
    maximum_opening: Annotated[Array, Input("s_max", "Never opens further than", "fraction", "100 %", spread="0 %",
                                            limits=FRACTION, usual=("100 %", "100 %"), level=DetailLevel.DETAIL,
                                            help="Less than 100 % describes a valve that does not open.")]


@dataclass(frozen=True, eq=False)
class Limits:
    """What is asked of the system."""

    coolant_limit: Annotated[Array, Input("T_limit", "Highest coolant temperature", "temperature", "115 degC",
                                          limits=("30 degC", "160 degC"), usual=("105 degC", "122 degC"),
                                          help="At the engine's outlet. The maker's figure comes first.")]
    margin: Annotated[Array, Input("dT_margin", "Margin wanted under the limit", "temperature difference", "5 K",
                                   basis=Basis.ASSUMED, limits=("0 K", "60 K"), usual=("3 K", "10 K"))]
    warm_up_time: Annotated[Array, Input("t_warm", "Should be warm within", "time", "20 min", basis=Basis.ASSUMED,
                                         limits=("0.5 min", "3 h"), usual=("8 min", "25 min"))]
    warm_up_temperature: Annotated[Array, Input("T_warm", "Counts as warm from", "temperature", "70 degC",
                                                basis=Basis.ASSUMED, limits=("20 degC", "130 degC"),
                                                usual=("60 degC", "80 degC"))]
    confidence: Annotated[Array, Input("conf", "Wanted probability of holding", "fraction", "95 %", basis=Basis.ASSUMED,
                                       limits=("50 %", "99.9 %"), usual=("90 %", "99 %"), level=DetailLevel.DETAIL)]


@dataclass(frozen=True, eq=False)
class Radiator:
    """The core: tubes run across its width, fins stand between them, air passes through its depth."""

    core_height: Annotated[Array, Input("H", "Core height", "small length", spread="6 %", limits=("20 mm", "4 m"),
                                        usual=("250 mm", "700 mm"), help="Across the tubes.")]
    core_width: Annotated[Array, Input("W", "Core width", "small length", spread="6 %", limits=("20 mm", "4 m"),
                                       usual=("350 mm", "900 mm"), help="Along the tubes, tanks not counted.")]
    core_depth: Annotated[Array, Input("D", "Core depth", "small length", spread="8 %", limits=("5 mm", "400 mm"),
                                       usual=("16 mm", "80 mm"), help="In the direction of the air.")]
    tube_rows: Annotated[Array, Input("N_r", "Tube rows", "count", "1", limits=("1", "12"), usual=("1", "4"),
                                      help="Tubes one behind the other in the direction of the air.")]
    tube_width: Annotated[Array, Input("w_t", "Tube width", "small length", limits=("2 mm", "400 mm"),
                                       usual=("12 mm", "60 mm"), level=DetailLevel.DETAIL, derived=True,
                                       help="Outer, in the direction of the air.")]
    tube_height: Annotated[Array, Input("h_t", "Tube height", "small length", "1.8 mm", spread="8 %",
                                        limits=("0.5 mm", "30 mm"), usual=("1.3 mm", "3 mm"), level=DetailLevel.DETAIL,
                                        help="Outer, across the air.")]
    tube_wall: Annotated[Array, Input("t_w", "Tube wall", "small length", "0.27 mm", spread="10 %",
                                      limits=("0.05 mm", "5 mm"), usual=("0.2 mm", "0.4 mm"), level=DetailLevel.DETAIL)]
    tube_pitch: Annotated[Array, Input("T_p", "Tube pitch", "small length", "9.8 mm", spread="5 %",
                                       limits=("1 mm", "100 mm"), usual=("7 mm", "13 mm"), level=DetailLevel.DETAIL,
                                       help="From tube to tube across the height. Absent, it is tube height plus fin "
                                            "height; entered with both, it may differ from their sum.")]
    fin_pitch: Annotated[Array, Input("F_p", "Fin pitch", "pitch", "1.4 mm", spread="8 %", limits=("0.3 mm", "20 mm"),
                                      usual=("1.0 mm", "2.5 mm"), help="A pitch, or fins per inch such as 18 /in.")]
    fin_thickness: Annotated[Array, Input("delta_f", "Fin thickness", "small length", "0.09 mm", spread="10 %",
                                          limits=("0.01 mm", "2 mm"), usual=("0.05 mm", "0.15 mm"), level=DetailLevel.DETAIL)]
    fin_height: Annotated[Array, Input("F_l", "Fin height", "small length", derived=True,
                                       limits=("0.5 mm", "80 mm"), usual=("5 mm", "12 mm"), level=DetailLevel.DETAIL,
                                       help="Of the fin itself, from tube to tube. Absent, it is tube pitch less tube "
                                            "height.")]
    louver_pitch: Annotated[Array, Input("L_p", "Louver pitch", "small length", "1.1 mm", spread="10 %",
                                         limits=("0.1 mm", "20 mm"), usual=("0.7 mm", "2 mm"), level=DetailLevel.DETAIL)]
    louver_angle: Annotated[Array, Input("theta", "Louver angle", "angle", "27 deg", spread="8 %",
                                         limits=("1 deg", "60 deg"), usual=("20 deg", "32 deg"), level=DetailLevel.DETAIL)]
    louver_length: Annotated[Array, Input("L_l", "Louver length", "small length", derived=True,
                                          limits=("0.3 mm", "80 mm"), usual=("4 mm", "11 mm"), level=DetailLevel.DETAIL)]
    material: Annotated[str, choice("Material", {"aluminium": "aluminium fins and tubes",
                                                 "copper-brass": "copper fins on brass tubes"}, "aluminium")]
    passes: Annotated[Array, Input("N_p", "Passes", "count", "1", limits=("1", "6"), usual=("1", "2"),
                                   help="Groups of tubes side by side that the coolant goes through in turn.")]
    arrangement: Annotated[str, choice("Flow arrangement", {
        "both unmixed": "cross flow, tubes and fins keep both streams apart", "air mixed": "cross flow, air mixes",
        "coolant mixed": "cross flow, coolant mixes", "both mixed": "cross flow, both mix",
        "counterflow": "opposite directions", "parallel flow": "same direction"}, "both unmixed", level=DetailLevel.DETAIL)]
    blocked_tubes: Annotated[Array, Input("b_t", "Blocked tubes", "fraction", "0 %", limits=("0 %", "99 %"),
                                          usual=("0 %", "30 %"))]
    blocked_face: Annotated[Array, Input("b_f", "Blocked face", "fraction", "0 %", limits=("0 %", "99 %"),
                                         usual=("0 %", "50 %"), help="Dirt, insects, a winter front.")]
    fouling: Annotated[Array, Input("R_f", "Fouling on the coolant side", "fouling", "0.00002 m2 K/W", spread="50 %",
                                    limits=("0 m2 K/W", "0.1 m2 K/W"), usual=("0 m2 K/W", "0.0002 m2 K/W"),
                                    level=DetailLevel.DETAIL)]
    rated_heat: Annotated[Array | None, Input("Q_r", "Maker's rated heat", "heat rate", spread="5 %",
                                              limits=("10 W", "5000 kW"), usual=("20 kW", "200 kW"),
                                              help="With the next three: scales the prediction, visibly.")]
    rated_coolant_flow: Annotated[Array | None, Input("V_r", "at a coolant flow of", "coolant flow",
                                                      limits=("0.01 L/min", "5000 L/min"),
                                                      usual=("40 L/min", "250 L/min"))]
    rated_air_velocity: Annotated[Array | None, Input("v_r", "at an air velocity of", "air speed",
                                                      limits=("0.05 m/s", "60 m/s"), usual=("2 m/s", "12 m/s"))]
    rated_inlet_difference: Annotated[Array | None, Input(
        "ITD_r", "and coolant in over air in by", "temperature difference", limits=("0.5 K", "150 K"),
        usual=("40 K", "80 K"))]
    scale_to: Annotated[str, choice("Prediction scaled to", {
        "rated point": "the maker's rated heat, where all four numbers are given",
        "measured points": "what was measured: coolant and air, in and out", "none": "nothing: the dimensions alone"},
        "rated point")]
    ua_scale: Annotated[Array | None, Input("k_UA", "Factor on the conductance", limits=("0.1", "10"),
                                            usual=("0.7", "1.3"), level=DetailLevel.DETAIL,
                                            help="Typed, it stands; absent, it follows from the point chosen above.")]


@dataclass(frozen=True, eq=False)
class UpstreamCooler:
    """A cooler that stands in the air ahead of the radiator."""

    name: Annotated[str | None, text("Name")]
    kind: Annotated[str, choice("What it cools", {
        "condenser": "refrigerant: warm while the air conditioning is on",
        "charge air": "the engine's charge air: its heat comes with boost",
        "oil": "oil of engine, gearbox or steering: its heat goes with load",
        "constant": "anything else: the same heat in every duty"}, "constant")]
    heat: Annotated[Array | None, Input(
        "Q_u", "Heat into the air", "heat rate", spread="15 %", limits=("0 W", "2000 kW"), usual=("0 kW", "20 kW"),
        help="Of charge air and oil: at rated power. Absent: none, but for charge air, whose heat then follows from "
             "the engine's air and boost.")]
    effectiveness: Annotated[Array, Input(
        "eps_u", "Effectiveness of a charge-air cooler", "fraction", "70 %", spread="10 %", limits=("5 %", "100 %"),
        usual=("55 %", "90 %"), level=DetailLevel.DETAIL,
        help="Share of what the air is warmer than outside that the cooler takes from it.")]
    flow_resistance: Annotated[Array, Input("zeta_u", "Flow resistance", default="2", spread="20 %",
                                            limits=("0", "500"), usual=("1", "15"), level=DetailLevel.DETAIL,
                                            help="Pressure loss over the dynamic pressure at the core's face.")]
    face_share: Annotated[Array, Input("x_u", "Share of the face covered", "fraction", "100 %", spread="5 %",
                                       limits=FRACTION, usual=("30 %", "100 %"))]


@dataclass(frozen=True, eq=False)
class Airflow:
    """What moves the air, and what stands in its way."""

    fan_free_flow: Annotated[Array, Input("V_fan", "Free flow of one fan", "air flow", spread="15 %",
                                          limits=("0 m3/h", "500000 m3/h"), usual=("1500 m3/h", "6000 m3/h"),
                                          help="As advertised: in free air, an upper bound.")]
    fan_stall_pressure: Annotated[Array, Input("dp_fan", "Stall pressure of the fan", "pressure difference",
                                               spread="15 %", limits=("0 Pa", "20 kPa"), usual=("100 Pa", "500 Pa"),
                                               level=DetailLevel.DETAIL)]
    fan_count: Annotated[Array, Input("N_fan", "Number of fans", "count", "1", limits=("0", "12"), usual=("1", "2"))]
    fan_drive: Annotated[str, choice("Fan drive", {"electric": "electric, on and off by temperature",
                                                   "two-stage electric": "electric, a low and a high speed",
                                                   "PWM electric": "electric, its speed rises with temperature",
                                                   "viscous clutch": "driven by the engine through a clutch that slips",
                                                   "fixed": "fixed to the engine", "none": "no fan"}, "electric")]
    fan_side: Annotated[str, choice("Fan side", {"puller": "behind the core", "pusher": "ahead of the core"}, "puller",
                                    level=DetailLevel.DETAIL)]
    fan_on: Annotated[Array, Input("T_on", "Fan on at", "temperature", "98 degC", spread="3 K",
                                   limits=("0 degC", "150 degC"), usual=("90 degC", "106 degC"),
                                   help="Two-stage: its low speed. PWM or a clutch that senses coolant: full speed.")]
    fan_off: Annotated[Array, Input("T_off", "Fan off at", "temperature", "93 degC", spread="3 K",
                                    limits=("-10 degC", "149 degC"), usual=("85 degC", "100 degC"),
                                    help="PWM: starts to turn. A clutch that senses coolant: starts to engage.")]
    fan_high_on: Annotated[Array, Input("T_on2", "High speed on at", "temperature", "104 degC", spread="3 K",
                                        limits=("0 degC", "160 degC"), usual=("98 degC", "110 degC"),
                                        help="Of a two-stage fan.")]
    fan_high_off: Annotated[Array, Input("T_off2", "High speed off at", "temperature", "99 degC", spread="3 K",
                                         limits=("-10 degC", "159 degC"), usual=("93 degC", "105 degC"),
                                         help="Of a two-stage fan: back to its low speed.")]
    fan_low_speed: Annotated[Array, Input("n_low", "Low speed, share of full speed", "fraction", "60 %", spread="10 %",
                                          limits=("5 %", "95 %"), usual=("45 %", "75 %"), help="Of a two-stage fan.")]
    air_conditioning_fan: Annotated[Array, Input(
        "n_ac", "Fan speed at least, air conditioning on", "fraction", "60 %", limits=FRACTION, usual=("0 %", "100 %"),
        help="Electric fans, by design. One speed: it runs if this is over 0. 0 %: the air conditioning does not "
             "turn it on.")]
    clutch_senses: Annotated[str, choice("Clutch senses", {
        "coolant": "the coolant, or is commanded by it", "air": "the air that comes off the radiator"}, "coolant")]
    clutch_air_start: Annotated[Array, Input("T_c1", "Clutch starts to engage in air of", "temperature", "65 degC",
                                             spread="4 K", limits=("0 degC", "120 degC"), usual=("55 degC", "75 degC"),
                                             help="Of a clutch that senses air.")]
    clutch_air_full: Annotated[Array, Input("T_c2", "and is fully engaged in air of", "temperature", "80 degC",
                                            spread="4 K", limits=("1 degC", "140 degC"), usual=("70 degC", "95 degC"))]
    fan_power: Annotated[Array | None, Input("P_fan", "Electric power of one fan", "small heat rate",
                                             limits=("1 W", "20 kW"), usual=("100 W", "850 W"),
                                             help="Volts times amps: tests an advertised flow.")]
    shroud_coverage: Annotated[Array, Input("x_sh", "Share of the face under the shroud", "fraction", "90 %",
                                            spread="8 %", limits=("5 %", "100 %"), usual=("50 %", "100 %"))]
    seals: Annotated[str, choice("Seals between grille and core", {"fitted": "in place", "missing": "missing"},
                                 "fitted")]
    opening_area: Annotated[Array, Input("A_in", "Open area of the grille", "area", spread="20 %",
                                         limits=("0.0005 m2", "10 m2"), usual=("0.05 m2", "0.3 m2"),
                                         level=DetailLevel.DETAIL)]
    exit_area: Annotated[Array, Input("A_out", "Open area behind the core", "area", spread="25 %",
                                      limits=("0.0005 m2", "10 m2"), usual=("0.1 m2", "0.5 m2"), level=DetailLevel.DETAIL)]
    ram_recovery: Annotated[Array, Input("k_ram", "Ram pressure recovered", "fraction", "70 %", spread="15 %",
                                         limits=FRACTION, usual=("40 %", "90 %"), level=DetailLevel.DETAIL,
                                         help="Share of the dynamic pressure that reaches the core, less the bay's.")]
    system_loss: Annotated[Array, Input("zeta_s", "Other losses", default="3", spread="30 %", limits=("0", "500"),
                                        usual=("1", "15"), level=DetailLevel.DETAIL,
                                        help="Pressure loss over the dynamic pressure at the core's face.")]
    recirculation: Annotated[Array, Input("x_rec", "Hot air drawn in again at standstill", "fraction", "8 %",
                                          spread="60 %", limits=("0 %", "90 %"), usual=("0 %", "20 %"),
                                          level=DetailLevel.DETAIL)]
    shutter: Annotated[Array, Input("x_shut", "Shutter open", "fraction", "100 %", limits=FRACTION,
                                    usual=("0 %", "100 %"), words={"none": "100 %", "open": "100 %", "closed": "0 %"},
                                    help="none, open, closed, or how far it stands open; an active one: at most.")]
    shutter_control: Annotated[str, choice("Shutter's control", {
        "fixed": "it stands as it is", "active": "shut while the coolant is cold, opens as it warms"}, "fixed")]
    shutter_opens: Annotated[Array, Input("T_s1", "Active shutter starts to open at", "temperature", "85 degC",
                                          spread="3 K", limits=("0 degC", "130 degC"), usual=("75 degC", "95 degC"))]
    shutter_full: Annotated[Array, Input("T_s2", "and is open at", "temperature", "95 degC", spread="3 K",
                                         limits=("1 degC", "150 degC"), usual=("88 degC", "105 degC"))]
    upstream: tuple[UpstreamCooler, ...]


@dataclass(frozen=True, eq=False)
class ExtraSource:
    """Another source of heat into the coolant: gearbox, oil, turbo, exhaust-gas cooler, an immersion heater.

    Or an exchanger whose heat follows from temperatures: a warmer of engine or gearbox oil, heat out of the exhaust.
    """

    name: Annotated[str | None, text("Name")]
    kind: Annotated[str, choice("What it is", {
        HEAT_SOURCE: "gives the heat stated below", OIL_WARMER: "coolant and engine oil exchange heat",
        GEARBOX_WARMER: "coolant and gearbox oil exchange heat",
        EXHAUST_HEAT: "the coolant takes heat from the exhaust while it is cold"}, HEAT_SOURCE)]
    heat: Annotated[Array | None, Input("Q_x", "Heat, always", "heat rate", limits=("0 W", "2000 kW"),
                                        usual=("0 kW", "15 kW"))]
    at_idle: Annotated[Array | None, Input("Q_xi", "Heat at idle", "heat rate", limits=("0 W", "2000 kW"),
                                           usual=("0 kW", "3 kW"))]
    at_rated: Annotated[Array | None, Input("Q_xr", "Heat at rated power", "heat rate", limits=("0 W", "2000 kW"),
                                            usual=("0 kW", "25 kW"))]
    conductance: Annotated[Array, Input("UA_x", "Conductance of a warmer, oil to coolant", "conductance", "150 W/K",
                                        spread="30 %", limits=("0 W/K", "5000 W/K"), usual=("50 W/K", "500 W/K"),
                                        level=DetailLevel.DETAIL)]
    mass: Annotated[Array, Input("m_x", "Gearbox that warms with its oil", "mass", "40 kg", spread="25 %",
                                 limits=("1 kg", "2 t"), usual=("25 kg", "100 kg"), level=DetailLevel.DETAIL)]
    recovery: Annotated[Array, Input("x_ex", "Share of the exhaust's heat that the coolant takes", "fraction", "25 %",
                                     spread="30 %", limits=FRACTION, usual=("10 %", "50 %"), level=DetailLevel.DETAIL)]
    stops: Annotated[Array, Input("T_ex", "The exhaust goes past it above", "temperature", "70 degC",
                                  limits=("0 degC", "130 degC"), usual=("60 degC", "85 degC"), level=DetailLevel.DETAIL,
                                  help="Coolant at the engine's outlet.")]


@dataclass(frozen=True, eq=False)
class Circuit:
    """Pump and branches: the flows below are those of a sound system, valve fully open, at the stated pump speed."""

    pump_drive: Annotated[str, choice("Pump drive", {"belt": "belt or gear from the engine",
                                                     "electric": "electric, commanded"}, "belt")]
    pump_cold: Annotated[str, choice("While the engine is cold the pump", {
        TURNS_ALWAYS: "turns as at all times", STANDS_COLD: "stands until the engine's coolant is warm, by design",
        "unknown": "not known"},
        TURNS_ALWAYS, help="An electric pump, or one on the belt that can be switched off.")]
    pump_starts: Annotated[Array, Input("T_p", "and starts at", "temperature", "70 degC",
                                        limits=("-40 degC", "120 degC"), usual=("45 degC", "85 degC"),
                                        level=DetailLevel.DETAIL,
                                        help="The engine's own coolant. The maker's figure comes first.")]
    pump_for_heat: Annotated[str, choice("A heater that is switched on", {
        STARTS_PUMP: "starts the pump at once", WAITS_FOR_PUMP: "waits until the pump turns"}, STARTS_PUMP,
        level=DetailLevel.DETAIL)]
    pump_ratio: Annotated[Array, Input("i_p", "Pump turns per engine turn", default="1.2", spread="8 %",
                                       limits=("0.05", "10"), usual=("0.8", "2"))]
    pump_flow: Annotated[Array, Input("V_p", "Flow through the engine, valve open", "coolant flow", spread="15 %",
                                      limits=("0 L/min", "5000 L/min"), usual=("80 L/min", "300 L/min"))]
    pump_flow_speed: Annotated[Array, Input("n_p", "at a pump speed of", "rotation", spread="3 %",
                                            limits=("50 rpm", "30000 rpm"), usual=("2500 rpm", "7500 rpm"))]
    pump_shutoff_pressure: Annotated[Array, Input("dp_p", "Pump pressure at no flow, that speed", "pump pressure",
                                                  spread="15 %", limits=("0.1 kPa", "2 MPa"),
                                                  usual=("60 kPa", "250 kPa"),
                                                  level=DetailLevel.DETAIL)]
    heater_flow: Annotated[Array, Input("V_h", "Heater flow at that point", "coolant flow", spread="20 %",
                                        limits=("0 L/min", "500 L/min"), usual=("8 L/min", "30 L/min"))]
    bypass_flow: Annotated[Array, Input("V_b", "Bypass flow at that point, if open", "coolant flow", spread="25 %",
                                        limits=("0 L/min", "2000 L/min"), usual=("10 L/min", "60 L/min"),
                                        level=DetailLevel.DETAIL)]
    aeration: Annotated[Array, Input("x_air", "Air carried in the coolant, by volume", "fraction", "0 %",
                                     limits=("0 %", "60 %"), usual=("0 %", "10 %"), level=DetailLevel.DETAIL,
                                     help="Takes head and heat capacity from the pump's flow.")]
    extra: tuple[ExtraSource, ...]


@dataclass(frozen=True, eq=False)
class Heater:
    """The cabin heater's core, its air and its valve."""

    rated_output: Annotated[Array, Input("Q_h", "Rated heat", "heat rate", spread="15 %", limits=("0 W", "200 kW"),
                                         usual=("4 kW", "10 kW"))]
    rated_coolant_flow: Annotated[Array, Input("V_hc", "at a coolant flow of", "coolant flow", "10 L/min",
                                               spread="10 %", limits=("0.1 L/min", "500 L/min"),
                                               usual=("6 L/min", "20 L/min"),
                                               level=DetailLevel.DETAIL)]
    rated_air_flow: Annotated[Array, Input("V_ha", "and an air flow of", "air flow", "300 m3/h", spread="10 %",
                                           limits=("5 m3/h", "20000 m3/h"), usual=("200 m3/h", "500 m3/h"),
                                           level=DetailLevel.DETAIL)]
    rated_inlet_difference: Annotated[Array, Input("ITD_h", "and coolant in over air in by", "temperature difference",
                                                   "80 K", limits=("5 K", "150 K"), usual=("60 K", "100 K"),
                                                   level=DetailLevel.DETAIL)]
    blower_flow: Annotated[Array, Input("V_bl", "Blower flow on high", "air flow", "300 m3/h", spread="15 %",
                                        limits=("0 m3/h", "20000 m3/h"), usual=("200 m3/h", "500 m3/h"))]
    fresh_air_share: Annotated[Array, Input("x_fresh", "Share of fresh air", "fraction", "100 %", limits=FRACTION,
                                            usual=("0 %", "100 %"), level=DetailLevel.DETAIL)]
    blend: Annotated[Array, Input("x_hot", "Share of the air led through the heater core", "fraction", "100 %",
                                  limits=FRACTION, usual=("0 %", "100 %"), words={"cold": "0 %", "hot": "100 %"},
                                  help="Full hot is 100 %.")]
    auxiliary_heat: Annotated[Array, Input("Q_aux", "Auxiliary heater", "small heat rate", "0 W",
                                           limits=("0 W", "50 kW"), usual=("0 W", "1800 W"),
                                           help="Electric or fuel-fired, into the cabin air; a record may note it.")]
    coolant_heater: Annotated[str, choice("Heater in the coolant circuit", {
        "none": "none", "fuel-fired": "burns fuel", "electric": "electric"}, "none",
        help="Burns fuel: its exhaust kills in closed rooms. Electric: it may carry high voltage, for trained staff.")]
    coolant_heat: Annotated[Array, Input("Q_ch", "Its full power", "heat rate", "5 kW", limits=("0 W", "100 kW"),
                                         usual=("1 kW", "9 kW"), help="Into the coolant, ahead of the heater core.")]
    coolant_heater_reduces: Annotated[Array, Input("T_red", "It gives less above", "temperature", "75 degC",
                                                   limits=("0 degC", "129 degC"), usual=("60 degC", "80 degC"),
                                                   level=DetailLevel.DETAIL, help="Coolant at the engine's outlet. The "
                                                   "maker's figure comes first.")]
    coolant_heater_stops: Annotated[Array, Input("T_stop", "and nothing above", "temperature", "80 degC",
                                                 limits=("1 degC", "130 degC"), usual=("70 degC", "88 degC"),
                                                 level=DetailLevel.DETAIL)]
    coolant_heater_pump: Annotated[Array, Input("V_ch", "Flow of its own pump", "coolant flow", "10 L/min",
                                                limits=("0 L/min", "500 L/min"), usual=("0 L/min", "20 L/min"),
                                                level=DetailLevel.DETAIL,
                                                help="Runs while the engine's pump rests. 0: it has none.")]
    valve: Annotated[Array, Input("x_hv", "Heater valve open", "fraction", "100 %", limits=FRACTION,
                                  usual=("0 %", "100 %"), words={"none": "100 %", "open": "100 %", "closed": "0 %"},
                                  level=DetailLevel.DETAIL)]


@dataclass(frozen=True, eq=False)
class Cabin:
    """The room that the heater serves."""

    volume: Annotated[Array, Input("V_cab", "Cabin volume", "room volume", spread="10 %", limits=("0.5 m3", "100 m3"),
                                   usual=("2 m3", "8 m3"), level=DetailLevel.DETAIL)]
    heat_loss: Annotated[Array, Input("UA_cab", "Cabin heat loss", "conductance", spread="20 %",
                                      limits=("0 W/K", "2000 W/K"), usual=("40 W/K", "150 W/K"), level=DetailLevel.DETAIL)]
    target: Annotated[Array, Input("T_cab", "Cabin temperature wanted", "temperature", "22 degC",
                                   limits=("-20 degC", "40 degC"), usual=("18 degC", "24 degC"))]


@dataclass(frozen=True, eq=False)
class Sections:
    """All inputs of a case."""

    job: Job
    vehicle: Vehicle
    engine: Engine
    coolant: Coolant
    thermostat: Thermostat
    limits: Limits
    radiator: Radiator
    airflow: Airflow
    circuit: Circuit
    heater: Heater
    cabin: Cabin
    refill: Refilling
    base_rates: BaseRateInputs
    duties: tuple[Duty, ...]
    evidence: Evidence
    rig: tuple[RigPoint, ...]


SECTION_LABELS: Mapping[str, str] = {
    "job": "The job", "vehicle": "Vehicle", "engine": "Engine", "coolant": "Coolant", "thermostat": "Thermostat",
    "limits": "Limits", "radiator": "Radiator", "airflow": "Air flow", "circuit": "Coolant circuit",
    "heater": "Heater", "cabin": "Cabin", "refill": "Refill and bleed", "base_rates": "Base rates of causes",
    "duties": "Duties", "evidence": "Readings", "rig": "Bench rig"}
