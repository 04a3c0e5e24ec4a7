"""Names and units of channels, as tools of several languages write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engcalc.logs.channels import SPELLINGS, Channel, ColumnRole, channel_of, role_of, scale, split_header

C = Channel
NAMES = [
    (
        C.COOLANT,
        [
            "Engine Coolant Temperature [°C]",
            "ECT",
            "Coolant Temp (°F)",
            "COOLANT_TEMP",
            "coolant_temp_c",
            "CLT",
            "Kühlmitteltemperatur (°C)",
            "Kuehlmitteltemperatur",
            "0105 Engine Coolant Temperature",
            "Température du liquide de refroidissement",
            "Temperatura del refrigerante",
            "engineCoolantTemp",
            "Water temp",
        ],
    ),
    (C.COOLANT_2, ["Engine Coolant Temperature 2", "Engine coolant temperature sensor 2", "ECT 2"]),
    (C.INTAKE_AIR, ["Intake Air Temperature [°C]", "IAT", "Inlet air temp", "Ansauglufttemperatur", "INTAKE_TEMP"]),
    (C.AMBIENT, ["Ambient Air Temperature [°C]", "AAT", "Outside temp", "Außentemperatur (°C)", "Umgebungstemperatur"]),
    (C.OIL, ["Engine oil temperature", "Öltemperatur", "EOT", "Oil temp [°C]"]),
    (
        C.ENGINE_SPEED,
        [
            "Engine RPM [RPM]",
            "RPM",
            "Engine speed (1/min)",
            "Motordrehzahl [U/min]",
            "Régime moteur (tr/min)",
            "ENGINE_RPM ()",
        ],
    ),
    (
        C.VEHICLE_SPEED,
        [
            "Vehicle Speed Sensor [km/h]",
            "SPEED",
            "VSS",
            "Geschwindigkeit",
            "vehicle speed mph",
            "Vitesse",
            "Speed (GPS)(km/h)",
        ],
    ),
    (C.CALCULATED_LOAD, ["Calculated load value (%)", "Engine load", "Motorlast", "LOAD_PCT", "CALC LOAD"]),
    (C.ABSOLUTE_LOAD, ["Absolute load value", "Engine Load(Absolute)(%)", "LOAD_ABS"]),
    (C.AIR_FLOW, ["Air Flow Rate from Mass Flow Sensor [g/s]", "MAF", "Mass air flow rate (g/s)", "Luftmasse (kg/h)"]),
    (C.MANIFOLD_PRESSURE, ["Intake Manifold Absolute Pressure [kPa]", "MAP", "Saugrohrdruck [hPa]"]),
    (C.BAROMETRIC_PRESSURE, ["Barometric pressure (kPa)", "BARO", "Luftdruck"]),
    (C.FUEL_RATE, ["Engine fuel rate (L/h)", "Fuel rate", "Kraftstoffverbrauch (l/h)", "Fuel flow rate/hour(l/hr)"]),
    (C.FUEL_MASS_RATE, ["Engine fuel rate [g/s]", "Fuel mass flow (kg/h)"]),
    (C.RUN_TIME, ["Run time since engine start", "RUN_TIME", "RUNTM", "Laufzeit"]),
    (C.THROTTLE, ["Absolute Throttle Position [%]", "TPS", "Drosselklappe (%)"]),
    (C.PEDAL, ["Accelerator Pedal Position D [%]", "Fahrpedal"]),
    (C.EQUIVALENCE_RATIO, ["Commanded equivalence ratio", "Fuel/Air commanded equivalence ratio", "EQ_RAT"]),
    (C.VOLTAGE, ["Control module voltage (V)", "Battery voltage", "Bordspannung (V)", "VPWR"]),
]
NOT_CHANNELS = [
    "Transmission oil temp",
    "Charge air temp",
    "Catalyst Temperature (Bank 1 Sensor 1)",
    "Fan speed",
    "Relative throttle position (%)",
    "O2 Sensor Voltage",
    "Fuel Rail Pressure",
    "Coolant level",
    "Oil pressure",
    "Fuel level",
    "Turbo speed",
    "Accelerator Pedal Position E [%]",
    "Latitude",
    "Altitude",
    "Idle speed target",
    "Coolant pump speed",
    "Ambient light",
    "Short term fuel trim",
]


@pytest.mark.parametrize(("channel", "name"), [(c, n) for c, names in NAMES for n in names])
def test_names_are_recognised(channel: Channel, name: str) -> None:
    found = channel_of(name)
    assert found is not None
    assert found[0] is channel


def test_every_channel_has_names_here() -> None:
    assert {c for c, _ in NAMES} == set(Channel) == set(SPELLINGS)


@pytest.mark.parametrize("name", NOT_CHANNELS)
def test_names_of_other_things_are_not_mistaken(name: str) -> None:
    assert channel_of(name) is None


def test_a_unit_of_another_kind_rules_a_name_out() -> None:
    assert channel_of("Speed (rpm)") is None
    assert channel_of("MAF (V)") is None


@pytest.mark.parametrize(
    ("role", "name"),
    [
        (ColumnRole.TIME, "Time"),
        (ColumnRole.TIME, "Time (s)"),
        (ColumnRole.TIME, "Zeitstempel"),
        (ColumnRole.TIME, "Elapsed Time [ms]"),
        (ColumnRole.TIME, "time_s"),
        (ColumnRole.TIME, "Horodatage"),
        (ColumnRole.TIME, "GPS Time"),
        (ColumnRole.DATE, "Date"),
        (ColumnRole.DATE, "Datum"),
        (ColumnRole.NAME, "PID"),
        (ColumnRole.NAME, "Parameter name"),
        (ColumnRole.NAME, "Signal"),
        (ColumnRole.VALUE, "VALUE"),
        (ColumnRole.VALUE, "Wert"),
        (ColumnRole.UNIT, "Einheit"),
        (ColumnRole.RAW, "Response"),
        (None, "Gear"),
        (None, ""),
    ],
)
def test_roles(role: ColumnRole | None, name: str) -> None:
    assert role_of(name) is role


# One of each unit in SI, by definition of the unit
UNITS = [
    ("°C", "temperature", 274.15),
    ("Grad C", "temperature", 274.15),
    ("?C", "temperature", 274.15),
    ("°F", "temperature", 273.15 + (1 - 32) / 1.8),
    ("U/min", "rotation", 1 / 60),
    ("rpm", "rotation", 1 / 60),
    ("tr/min", "rotation", 1 / 60),
    ("mph", "vehicle speed", 0.44704),
    ("km/h", "vehicle speed", 1 / 3.6),
    ("grams/sec", "mass flow", 1e-3),
    ("lb/min", "mass flow", 0.45359237 / 60),
    ("l/hr", "coolant flow", 1e-3 / 3600),
    ("gal/h", "coolant flow", 3.785411784e-3 / 3600),
    ("psi", "absolute pressure", 6894.757),
    ("ms", "short time", 1e-3),
    ("inHg", "absolute pressure", 3386.389),
    ("pct", "fraction", 0.01),
    ("mV", "voltage", 1e-3),
]


@pytest.mark.parametrize(("unit", "kind", "si"), UNITS)
def test_units_of_logs(unit: str, kind: str, si: float) -> None:
    found = scale(unit, kind)
    assert found is not None
    assert found.slope + found.intercept == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize("unit", ["furlong", "", "5 V", "9**9", "kPa/s"])
def test_what_is_no_unit(unit: str) -> None:
    assert scale(unit, "temperature") is None


@given(st.text(max_size=250))
def test_any_header_is_answered(name: str) -> None:
    channel_of(name)
    role_of(name)
    bare, unit = split_header(name)
    assert len(bare) + len(unit) <= len(name)
