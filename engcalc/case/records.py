"""The list sections of a case: duties and evidence. Those of a bench stand in ``bench_records``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated

from engcalc.case.declare import DetailLevel, FileShape, Input, choice, text
from engcalc.units import Array

AMBIENT = ("-60 degC", "70 degC")
COOLANT_RANGE = ("-60 degC", "200 degC")

STARTS = {
    "warm": "warm, from light running",
    "above": "where the duty above it ends",
    "round": "first of a lap or work cycle: where the last of it ends",
}

HEATER_SETTINGS = {
    "off": "blower off or blend full cold",
    "low": "about a third of the air",
    "high": "full hot, blower high",
    "unknown": "not noted",
}

WAYS = {
    "idling": "standing still, engine running",
    "town": "town traffic",
    "country road": "country road",
    "motorway": "motorway",
}
HEATER_SET = {word: meaning for word, meaning in HEATER_SETTINGS.items() if word != "unknown"}
DRIVING = {**WAYS, "mixed": "some of each", "unknown": "not noted"}

AIR_CONDITIONING = {
    "weather": "on in warm weather, where a condenser stands ahead of the radiator",
    "on": "on",
    "off": "off",
}

AUXILIARY_HEATERS = {
    "none": "none",
    "electric": "electric",
    "fuel-fired": "fuel-fired",
    "both": "electric and fuel-fired",
    "unknown": "not noted",
}

SPOT_PLACES = {
    "coolant": "coolant temperature",
    "upper_hose": "upper radiator hose",
    "lower_hose": "lower radiator hose",
    "heater_inlet_hose": "heater hose, inlet",
    "heater_outlet_hose": "heater hose, outlet",
    "vent": "air from the centre vent",
    "cabin": "air in the cabin",
    "ambient": "air outside",
    "oil": "engine oil",
    "intake_air": "intake air",
    "pressure": "pressure in the system",
    "freezing_point": "freezing point by refractometer",
    "concentration": "share of glycol by refractometer",
    "cap_opens": "pressure at which the cap opens on the tester",
    "valve_starts": "thermostat in a pot of water: starts to open at",
    "valve_open": "thermostat in a pot of water: fully open at",
}
MIXTURE_SPOTS = ("freezing_point", "concentration")
TIMELESS = (*MIXTURE_SPOTS, "cap_opens", "valve_starts", "valve_open")  # read of a part, at any time
SPOT_KINDS = {"pressure": "gauge pressure", "cap_opens": "gauge pressure", "concentration": "fraction"}
SPOT_LIMITS = {"gauge pressure": ("-1 bar", "10 bar"), "fraction": ("0 %", "100 %")}
SPOT_DOUBT = {"gauge pressure": ("0 bar", "1 bar"), "fraction": ("0 %", "20 %")}

INSTRUMENTS = {
    "immersed": "probe in the coolant",
    "clamp": "clamp-on probe",
    "infrared": "infrared thermometer",
    "scan_tool": "scan tool",
    "dash_gauge": "dash gauge",
    "vent_probe": "probe in the vent",
    "hand": "by hand",
    "pressure_gauge": "pressure gauge",
    "ethylene_scale": "refractometer, scale for ethylene glycol",
    "propylene_scale": "refractometer, scale for propylene glycol",
}

GLYCOL_SCALES = ("ethylene_scale", "propylene_scale")

SURFACES = {"rubber": "rubber hose", "painted": "painted or taped", "bare_metal": "bare metal", "none": "not a surface"}

SEEN_FACTS = {
    "upper_hose_warms_early": "the upper radiator hose warms while the engine is still cold",
    "lower_hose_cold_when_hot": "the lower radiator hose stays cold with the engine warm",
    "thermostat_open_when_cold": "the thermostat is open when taken out cold",
    "thermostat_missing": "no thermostat in the housing",
    "fan_runs_when_hot": "the radiator fan runs when the engine is hot",
    "fan_runs_always": "the radiator fan runs from a cold start on",
    "level_low": "the coolant level is low",
    "coolant_leak": "coolant leaks somewhere",
    "bubbles_when_running": "bubbles rise in the tank with the engine running",
    "belt_drives_pump": "the belt drives the coolant pump",
    "heater_hoses_both_hot": "both heater hoses are hot",
    "vent_cold": "the vents blow cold on full hot",
    "face_dirty": "the radiator's face is dirty or covered",
    "shutter_closed": "the grille shutter is closed",
    "lower_hose_collapses": "the lower hose collapses at engine speed",
    "combustion_gas_found": "the test finds combustion gas in the coolant",
    "cap_holds_pressure": "the cap holds its pressure on the tester",
    "pressure_held_cold": "the cold system holds the tester's pressure",
    "thermostat_opens_hot": "the thermostat opens fully in boiling water",
    "seals_missing": "seals or ducts in front of the radiator are missing",
    "fan_blows_backward": "the radiator fan blows the wrong way",
    "fan_fuse_good": "the fan's fuse is good",
    "fan_relay_works": "the fan's relay works",
    "fan_motor_runs": "the fan's motor runs when fed from the battery",
    "heater_hoses_swapped": "the heater hoses are on each other's connections",
}


@dataclass(frozen=True, eq=False)
class Duty:
    """One running condition to be checked."""

    name: Annotated[str | None, text("Name", level=DetailLevel.FIRST)]
    brake_power: Annotated[
        Array | None,
        Input(
            "P",
            "Brake power",
            "power",
            limits=("0 kW", "3000 kW"),
            usual=("0 kW", "400 kW"),
            help="At the crankshaft. Or give the power at the wheels, or speed and grade instead.",
        ),
    ]
    wheel_power: Annotated[
        Array | None,
        Input(
            "P_w",
            "Power at the wheels",
            "power",
            limits=("0 kW", "3000 kW"),
            usual=("0 kW", "350 kW"),
            help="As a rolling road shows it. Over the driveline's efficiency it gives the brake power.",
        ),
    ]
    vehicle_speed: Annotated[
        Array,
        Input(
            "v", "Vehicle speed", "vehicle speed", "0 km/h", limits=("0 km/h", "450 km/h"), usual=("0 km/h", "250 km/h")
        ),
    ]
    headwind: Annotated[
        Array,
        Input(
            "v_w",
            "Headwind",
            "vehicle speed",
            "0 km/h",
            limits=("-100 km/h", "150 km/h"),
            usual=("-30 km/h", "50 km/h"),
            level=DetailLevel.DETAIL,
            help="Adds to the vehicle's speed for air drag and for the air in front of the radiator. "
            "Wind from behind is negative; where it is faster than the vehicle, none of it reaches the radiator.",
        ),
    ]
    grade: Annotated[Array, Input("g", "Grade", "grade", "0 %", limits=("-30 %", "60 %"), usual=("0 %", "12 %"))]
    trailer_mass: Annotated[
        Array, Input("m_t", "Trailer mass", "mass", "0 kg", limits=("0 kg", "80 t"), usual=("0 kg", "3500 kg"))
    ]
    trailer_frontal_area: Annotated[
        Array,
        Input(
            "A_f,t",
            "Trailer's frontal area",
            "area",
            "4.5 m2",
            spread="20 %",
            limits=("0 m2", "15 m2"),
            usual=("1.5 m2", "9 m2"),
            level=DetailLevel.DETAIL,
            help="Counts with a trailer mass. A caravan has 4 to 5.5 m2, a low open trailer 1.5 m2.",
        ),
    ]
    trailer_drag_coefficient: Annotated[
        Array,
        Input(
            "c_d,t",
            "Trailer's drag coefficient",
            default="0.45",
            spread="20 %",
            limits=("0", "2"),
            usual=("0.15", "0.7"),
            level=DetailLevel.DETAIL,
            help="What it adds behind the vehicle: less where a high vehicle shelters it.",
        ),
    ]
    engine_speed: Annotated[
        Array | None,
        Input(
            "n",
            "Engine speed",
            "rotation",
            limits=("0 rpm", "25000 rpm"),
            usual=("650 rpm", "7000 rpm"),
            help="Absent: idle at standstill, else from speed and load.",
        ),
    ]
    fuel_flow: Annotated[
        Array | None,
        Input(
            "m_f",
            "Fuel flow",
            "mass flow",
            limits=("0 kg/h", "800 kg/h"),
            usual=("0.3 kg/h", "100 kg/h"),
            level=DetailLevel.DETAIL,
            help="Measured: takes the place of the efficiency.",
        ),
    ]
    log_time: Annotated[
        Array | None,
        Input(
            "t_log",
            "As logged at",
            "time",
            limits=("0 s", "100 h"),
            usual=("1 min", "60 min"),
            level=DetailLevel.DETAIL,
            help="Since the engine's start, in the log of the first visit. Speeds, "
            "fuel and outside temperature that are not typed here come from there.",
        ),
    ]
    ambient: Annotated[
        Array,
        Input(
            "T_amb",
            "Ambient temperature",
            "temperature",
            "20 degC",
            limits=AMBIENT,
            usual=("-30 degC", "45 degC"),
            level=DetailLevel.FIRST,
        ),
    ]
    altitude: Annotated[
        Array, Input("z", "Altitude", "altitude", "0 m", limits=("-430 m", "6000 m"), usual=("0 m", "3000 m"))
    ]
    relative_humidity: Annotated[
        Array,
        Input(
            "RH",
            "Relative humidity",
            "fraction",
            "50 %",
            limits=("0 %", "100 %"),
            usual=("20 %", "90 %"),
            level=DetailLevel.DETAIL,
        ),
    ]
    fan: Annotated[str, choice("Fan", {"auto": "as its control wants", "on": "held on", "off": "held off"}, "auto")]
    heater: Annotated[str, choice("Heater", HEATER_SETTINGS, "off", level=DetailLevel.FIRST)]
    air_conditioning: Annotated[str, choice("Air conditioning", AIR_CONDITIONING, "weather")]
    duration: Annotated[
        Array | None,
        Input(
            "t_d",
            "Duration",
            "time",
            limits=("0.01 min", "100 h"),
            usual=("5 s", "60 min"),
            help="Absent: for as long as it takes.",
        ),
    ]
    start: Annotated[
        str,
        choice(
            "Begins",
            STARTS,
            "warm",
            help="Counts with a duration. The duties below a first of "
            "a round that begin where the one above ends go round with it.",
        ),
    ]
    limit: Annotated[
        Array | None,
        Input(
            "T_lim",
            "Limit of this duty",
            "temperature",
            limits=("30 degC", "160 degC"),
            usual=("105 degC", "122 degC"),
            help="Absent: the case's limit.",
        ),
    ]
    coolant_flow: Annotated[
        Array | None,
        Input(
            "V_cf",
            "Coolant flow through the radiator, given",
            "coolant flow",
            limits=("0 L/min", "5000 L/min"),
            usual=("5 L/min", "250 L/min"),
            help="Takes the place of the pump and its branches.",
        ),
    ]
    air_velocity: Annotated[
        Array | None,
        Input(
            "v_a",
            "Air velocity at the core, given",
            "air speed",
            limits=("0 m/s", "60 m/s"),
            usual=("1 m/s", "12 m/s"),
            help="Takes the place of fan and ram.",
        ),
    ]


@dataclass(frozen=True, eq=False)
class ScheduleStep:
    """One stretch of a running schedule."""

    engine_speed: Annotated[
        Array | None,
        Input("n", "Engine speed", "rotation", limits=("0 rpm", "25000 rpm"), usual=("650 rpm", "4000 rpm")),
    ]
    vehicle_speed: Annotated[
        Array,
        Input(
            "v", "Vehicle speed", "vehicle speed", "0 km/h", limits=("0 km/h", "450 km/h"), usual=("0 km/h", "130 km/h")
        ),
    ]
    driving: Annotated[
        str | None,
        choice(
            "Driven",
            WAYS,
            help="As traffic goes, with stops and accelerations. Absent: at the steady speed given here.",
        ),
    ]
    heater: Annotated[str, choice("Heater", HEATER_SETTINGS, "unknown")]
    duration: Annotated[
        Array, Input("t_d", "Duration", "time", "10 min", limits=("0.01 min", "100 h"), usual=("1 min", "60 min"))
    ]


@dataclass(frozen=True, eq=False)
class Spot:
    """One reading taken by hand. ``word``: the value was read in words, and is only what the word stands for."""

    what: Annotated[str, choice("What was read", SPOT_PLACES, "coolant", level=DetailLevel.FIRST)]
    at: Annotated[
        Array | None,
        Input(
            "t", "Time since start", "time", limits=("0 s", "100 h"), usual=("0 min", "40 min"), level=DetailLevel.FIRST
        ),
    ]
    value: Annotated[
        Array,
        Input(
            "T",
            "Reading",
            "temperature",
            limits=COOLANT_RANGE,
            usual=("-30 degC", "120 degC"),
            kind_by=("what", SPOT_KINDS),
            limits_by=SPOT_LIMITS,
            said_with="instrument",
            level=DetailLevel.FIRST,
        ),
    ]
    uncertainty: Annotated[
        Array | None,
        Input(
            "u",
            "Uncertainty of the reading",
            "temperature difference",
            limits=("0 K", "50 K"),
            usual=("1 K", "5 K"),
            level=DetailLevel.DETAIL,
            kind_by=("what", SPOT_KINDS),
            limits_by=SPOT_DOUBT,
        ),
    ]
    instrument: Annotated[str, choice("Instrument", INSTRUMENTS, "scan_tool")]
    surface: Annotated[str, choice("Surface", SURFACES, "none", level=DetailLevel.DETAIL)]
    note: Annotated[str | None, text("Note")]
    word: str | None = field(default=None, metadata={"word_of": "value"})


@dataclass(frozen=True, eq=False)
class HeaterChange:
    """The heater set anew during a run."""

    at: Annotated[
        Array,
        Input("t", "Time since start", "time", "10 min", limits=("0 s", "100 h"), usual=("0 min", "40 min")),
    ]
    setting: Annotated[str, choice("Heater from then on", HEATER_SET, "high")]


@dataclass(frozen=True, eq=False)
class Log:
    """A recorded log: its file beside the case, and which column is which channel."""

    file: str
    columns: Mapping[str, str]


@dataclass(frozen=True, eq=False)
class Record:
    """One visit's readings: before or after the repair."""

    ambient: Annotated[
        Array | None,
        Input(
            "T_amb",
            "Outside temperature",
            "temperature",
            limits=AMBIENT,
            usual=("-30 degC", "45 degC"),
            level=DetailLevel.FIRST,
        ),
    ]
    start_temperature: Annotated[
        Array | None,
        Input("T_0", "Coolant at the start", "temperature", limits=COOLANT_RANGE, usual=("-30 degC", "90 degC")),
    ]
    soak: Annotated[
        Array | None,
        Input("t_s", "Stood before the start for", "time", limits=("0 min", "1000 h"), usual=("10 min", "24 h")),
    ]
    heater_setting: Annotated[str, choice("Heater setting", HEATER_SETTINGS, "unknown", level=DetailLevel.FIRST)]
    heater_changes: tuple[HeaterChange, ...]
    driving: Annotated[
        str,
        choice(
            "How it ran",
            DRIVING,
            "unknown",
            level=DetailLevel.FIRST,
            help="From the start up to the readings. A schedule or a log says it better.",
        ),
    ]
    engine_off_phases: Annotated[
        str,
        choice(
            "Engine stops by itself at halts",
            {"yes": "start-stop or hybrid", "no": "no", "unknown": "not noted"},
            "unknown",
        ),
    ]
    block_heater: Annotated[
        str, choice("Block heater used", {"yes": "yes", "no": "no", "unknown": "not noted"}, "unknown")
    ]
    block_heater_time: Annotated[
        Array | None,
        Input(
            "t_bh",
            "It was plugged in for",
            "time",
            limits=("0 min", "1000 h"),
            usual=("1 h", "12 h"),
            help="Absent: three hours, or as long as the vehicle stood.",
        ),
    ]
    block_heater_unplugged: Annotated[
        Array,
        Input(
            "t_un",
            "and unplugged before the start by",
            "time",
            "0 min",
            limits=("0 min", "1000 h"),
            usual=("0 min", "60 min"),
            level=DetailLevel.DETAIL,
        ),
    ]
    auxiliary_heater: Annotated[str, choice("Auxiliary heater ran", AUXILIARY_HEATERS, "unknown")]
    coolant_heater_time: Annotated[
        Array | None,
        Input(
            "t_ch",
            "Coolant heater ran before the start for",
            "time",
            limits=("0 min", "100 h"),
            usual=("10 min", "60 min"),
            help="Burns fuel: never in a garage or a closed room, its exhaust kills.",
        ),
    ]
    schedule: tuple[ScheduleStep, ...]
    spots: tuple[Spot, ...]
    curve: Annotated[
        tuple[tuple[float, float], ...],
        Input(
            "",
            "Minutes and coolant temperature",
            "temperature",
            shape=FileShape.PAIRS,
            help="One pair for each reading: minutes since the start, temperature with its unit.",
        ),
    ]
    log: Annotated[Log | None, Input("", "Log", "text", shape=FileShape.LOG)]
    codes: Annotated[tuple[str, ...], Input("", "Trouble codes", "text", shape=FileShape.TEXTS, help="Such as P0128.")]
    seen: Annotated[
        Mapping[str, bool],
        Input("", "Seen or not seen", "text", shape=FileShape.FLAGS, options=SEEN_FACTS, level=DetailLevel.FIRST),
    ]


def heater_settings(record: Record) -> tuple[tuple[float, str], ...]:
    """How the heater was set in a run: from when on [s], and the word; the first from the start."""
    changes = [(float(change.at[0]), change.setting) for change in record.heater_changes]
    later = sorted(changes, key=lambda x: x[0])
    return ((0.0, record.heater_setting), *later)


def heater_at(record: Record, at: Array | None) -> str:
    """How the heater was set at a time [s]; where nobody noted the time, and it was set anew, that is unknown."""
    settings = heater_settings(record)
    if at is None:
        return settings[0][1] if len(settings) == 1 else "unknown"
    return [word for begins, word in settings if begins <= float(at[0])][-1]


@dataclass(frozen=True, eq=False)
class Evidence:
    """What was found before the repair and after it."""

    before: Record | None
    after: Record | None
