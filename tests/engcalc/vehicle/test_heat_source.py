"""Fuel power from a log: published idle flows, hand-worked air, identities between sources, and who is passed over."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.components.accessories import PreparedAccessories
from engcalc.components.cold_mixture import richness
from engcalc.components.engine import PreparedEngine, prepare_engine
from engcalc.logs.log import read_log
from engcalc.logs.record import LogRecord
from engcalc.properties.fuel import FUELS, Fuel
from engcalc.vehicle.heat_source import CUT_SPEED, FuelPower, HeatSource, fuel_power

GALLON = 3.785411784  # L; US liquid gallon, exact


def engine_of(**sections: dict[str, object]) -> PreparedEngine:
    case = resolve(CaseText({"format": "heatdocket-case/1", **sections}))
    assert isinstance(case, Case), case
    return prepare_engine(case)


ENGINE = engine_of(engine={"displacement": "2.0 L"})


def log(seconds: int = 120, **columns: Callable[[int], float] | float) -> LogRecord:
    names = {
        "rate": "Engine fuel rate [L/h]",
        "mass": "Engine fuel rate [g/s]",
        "maf": "MAF [g/s]",
        "rpm": "RPM [rpm]",
        "map": "MAP [kPa]",
        "iat": "IAT [°C]",
        "abs": "Absolute load [%]",
        "load": "Calculated load [%]",
        "speed": "Speed [km/h]",
        "ratio": "Commanded equivalence ratio",
        "pedal": "Accelerator pedal position D [%]",
        "ect": "Coolant [°C]",
    }
    lines = [",".join(["Time [s]", *(names[c] for c in columns)])]
    for t in range(seconds):
        row = [f"{x(t) if callable(x) else x:.6f}" for x in columns.values()]
        lines.append(",".join([str(t), *row]))
    return read_log("\n".join(lines).encode())


def power(record: LogRecord, fuel: Fuel = Fuel.PETROL, engine: PreparedEngine = ENGINE, **options: object) -> FuelPower:
    found = fuel_power(record, engine, fuel, **options)
    assert found is not None
    return found


# Idle fuel flow [US gal/h] and fuel power [kW] at the Alternative Fuels Data Center's lower heating values (E10 112,114
# to 116,090 Btu/gal, low-sulphur diesel 128,488): US DOE, Vehicle Technologies Office, Fact of the Week #861 (2015)
IDLE = [(Fuel.PETROL_E10, 0.16, 5.26, 5.44), (Fuel.PETROL_E10, 0.39, 12.8, 13.3), (Fuel.DIESEL, 0.17, 6.40, 6.40)]


@pytest.mark.parametrize(("fuel", "gallons", "low", "high"), IDLE)
def test_published_idle_flows(fuel: Fuel, gallons: float, low: float, high: float) -> None:
    found = power(log(rate=gallons * GALLON, rpm=700, maf=9.0), fuel)
    assert found.source is HeatSource.FUEL_RATE
    # 1 % for density and heating value of the fuel's own table, which is not that of the Fact of the Week
    assert low * 0.99 <= found.power[60, 0] / 1e3 <= high * 1.01


def test_a_fuel_rate_by_mass() -> None:
    assert power(log(mass=0.2, rpm=800)).power[10, 0] == pytest.approx(0.2e-3 * 43.438e6)  # W, by hand


def test_air_over_the_stoichiometric_ratio() -> None:
    found = power(log(maf=3.0, rpm=800, map=40, iat=20))
    assert found.source is HeatSource.AIR_FLOW
    assert found.power[10, 0] == pytest.approx(3.0e-3 / 14.7 * 43.438e6)  # 8865 W, by hand


def test_of_a_rich_command_burns_what_the_air_allows() -> None:
    """One kilogram of petrol needs 14.7 of air, however much more is injected."""
    plain, rich, lean = (power(log(maf=3.0, rpm=800, ratio=ratio)) for ratio in (1.0, 0.8, 1.2))
    assert rich.power[10, 0] == pytest.approx(plain.power[10, 0])
    assert rich.richness[10, 0] == pytest.approx(1.25)
    assert lean.power[10, 0] == pytest.approx(plain.power[10, 0] / 1.2)
    assert lean.richness[10, 0] == 1.0


def test_a_measured_fuel_rate_loses_what_a_rich_command_leaves_unburnt() -> None:
    injected = 0.5e-3 * 43.438e6  # W
    found = power(log(mass=0.5, rpm=800, ratio=0.8, ect=-10.0))  # the logged mixture counts, not the cold engine's
    assert found.power[60, 0] == pytest.approx(0.8 * injected)
    assert found.power * found.richness == pytest.approx(np.full((120, 1), injected))


@pytest.mark.parametrize(("degC", "seconds"), [(-20.0, 10), (20.0, 0), (20.0, 60), (70.0, 10)])
def test_a_cold_engine_without_a_logged_mixture_counts_as_rich_as_it_is_known_to_be(degC: float, seconds: int) -> None:
    rich = float(richness(Fuel.PETROL, np.full(1, degC + 273.15), float(seconds))[0])
    by_rate = power(log(mass=0.5, rpm=900, ect=degC))
    assert by_rate.power[seconds, 0] == pytest.approx(0.5e-3 * 43.438e6 / rich)
    assert by_rate.richness[seconds, 0] == pytest.approx(rich)
    by_air = power(log(maf=3.0, rpm=900, ect=degC))  # burns what its air allows, cold and warm alike
    assert by_air.power[seconds, 0] == pytest.approx(3.0e-3 / 14.7 * 43.438e6)
    assert by_air.richness[seconds, 0] == pytest.approx(rich)


def test_no_cold_mixture_of_a_diesel_or_where_nobody_logged_the_coolant() -> None:
    record = log(mass=0.5, rpm=900, ect=-20.0)
    commanded = log(mass=0.5, rpm=900, ect=-20.0, ratio=0.5)  # a diesel has air to spare, whatever its control says
    for found, fuel in (
        (power(record, Fuel.DIESEL), Fuel.DIESEL),
        (power(commanded, Fuel.DIESEL), Fuel.DIESEL),
        (power(log(mass=0.5, rpm=900)), Fuel.PETROL),
    ):
        assert found.power == pytest.approx(np.full((120, 1), 0.5e-3 * FUELS[fuel].lower_heating_value))
        assert np.all(found.richness == 1.0)


def test_speed_density_by_hand() -> None:
    """2 L at 1500 rpm draw 25 L/s; at 50 kPa and 20 degC that is 14.9 g/s of air, of which 85 % come in."""
    found = power(log(map=50, iat=20, rpm=1500))
    assert found.source is HeatSource.SPEED_DENSITY
    air = 0.85 * 50e3 / (287.042 * 293.15) * 0.025
    assert found.power[10, 0] == pytest.approx(air / 14.7 * 43.438e6, rel=1e-9)


def test_absolute_load_agrees_with_the_air_that_defines_it() -> None:
    """SAE J1979, identifier 43: air per stroke over 1.184 g/L times the cylinder's volume."""
    per_stroke = 0.2  # g in a cylinder of 0.5 L; four strokes in two turns, 1200 rpm: 40 strokes/s, 8 g/s
    load = 100.0 * per_stroke / (1.184 * 0.5)
    found = power(log(abs=load, rpm=1200))
    assert found.source is HeatSource.ABSOLUTE_LOAD
    assert found.power[10, 0] == pytest.approx(power(log(maf=8.0, rpm=1200)).power[10, 0], rel=1e-6)


def test_road_load_at_a_steady_speed_and_while_gaining_speed() -> None:
    steady = power(log(speed=72.0, rpm=2000, ect=90, load=30))
    assert steady.source is HeatSource.ROAD_LOAD
    gaining = power(log(speed=lambda t: 36.0 + 0.6 * t, rpm=2000, ect=90, load=30))  # 72 km/h at 60 s, 1/6 m/s2
    more = gaining.power[60, 0] - steady.power[60, 0]
    work = 1.05 * ENGINE.mass[0] * (0.6 / 3.6) * 20.0 / ENGINE.driveline_efficiency[0]
    assert more == pytest.approx(work / ENGINE.indicated_efficiency[0], rel=1e-6)


def test_heat_that_nobody_measured_is_less_sure_than_fuel_and_least_at_a_stand() -> None:
    """A tenth on the road, a fifth of what an engine burns at a stand; both common practice, no source."""
    steady, still = (power(log(speed=v, rpm=1500, ect=90)) for v in (72.0, 0.0))
    assert steady.source is still.source is HeatSource.ROAD_LOAD
    assert steady.relative_uncertainty == pytest.approx(0.10)
    assert still.relative_uncertainty == pytest.approx(np.hypot(0.10, 0.20))
    half = power(log(speed=lambda t: 0.0 if t < 60 else 72.0, rpm=1500, ect=90))
    at_a_stand = half.power[:60].sum() / half.power.sum()
    assert half.relative_uncertainty == pytest.approx(np.hypot(0.10, 0.20 * at_a_stand), rel=1e-9)
    measured = power(log(rate=4.0, speed=0.0, rpm=800))
    assert measured.relative_uncertainty == pytest.approx(0.06)


def test_calculated_load_is_the_last_resort_and_the_widest() -> None:
    last = power(log(load=20.0, rpm=1500))
    assert last.source is HeatSource.CALCULATED_LOAD
    assert last.relative_uncertainty == max(
        power(log(**{k: 1000 if k == "rpm" else 20 for k in ("rpm", name)})).relative_uncertainty
        for name in ("rate", "maf", "map", "abs", "speed", "load")
    )
    assert last.power[10, 0] == pytest.approx(0.2 * ENGINE.fuel_rated[0] * 25.0 / ENGINE.rated_speed[0])


def test_a_diesel_s_air_is_passed_over_and_the_reason_told() -> None:
    found = power(log(maf=10.0, map=100, rpm=800, iat=20, speed=0.0, ect=50), Fuel.DIESEL)
    assert found.source is HeatSource.ROAD_LOAD
    assert "compression-ignition" in found.passed_over[HeatSource.AIR_FLOW]
    assert "compression-ignition" in found.passed_over[HeatSource.SPEED_DENSITY]
    assert "fuel rate" in found.passed_over[HeatSource.FUEL_RATE]


def climbs(t: int) -> bool:
    return 30 <= t < 60


HILL = {"speed": 60.0, "rpm": 1500, "ect": 90.0}


def test_the_charge_of_a_diesel_tells_when_a_level_road_s_work_was_done() -> None:
    """Half of it goes by the charge over half of that without boost: here 1.5 against 0.5 while it pulls at all."""
    level = power(log(**HILL), Fuel.DIESEL)
    hill = power(log(**HILL, map=lambda t: 200.0 if climbs(t) else 100.0), Fuel.DIESEL)
    pedal = power(
        log(**HILL, map=lambda t: 200.0 if climbs(t) else 100.0, pedal=lambda t: 30.0 if t else 14.0), Fuel.DIESEL
    )
    assert "manifold pressure" in hill.reason
    assert "manifold pressure" not in level.reason
    eta, flat = float(ENGINE.indicated_efficiency[0]), level.power[10, 0]
    for found, up, down in ((hill, 4.0, 0.0), (pedal, 1.5 / 0.75, 0.5 / 0.75)):
        rest = found.power[10, 0] - flat  # of the work alone: what idling takes is in both
        more = found.power[45, 0] - flat
        work = 2.0 * rest * eta / (down - 1.0)
        assert more * eta == pytest.approx(0.5 * (up - 1.0) * work, rel=0.02)
        # the work as a whole stays; the first second, in which the pedal is closed, is one of 120
        assert found.power.sum() == pytest.approx(level.power.sum(), rel=0.01)
        assert found.relative_uncertainty == level.relative_uncertainty


def test_the_charge_tells_nothing_of_a_petrol_engine_or_where_nothing_pulls() -> None:
    charged = log(**HILL, map=lambda t: 200.0 if climbs(t) else 100.0)
    petrol = [power(r, Fuel.PETROL, source=HeatSource.ROAD_LOAD).power for r in (log(**HILL), charged)]
    assert petrol[0] == pytest.approx(petrol[1])
    still = [power(r, Fuel.DIESEL).power for r in (log(**HILL), log(**HILL, map=100.0))]
    assert still[0] == pytest.approx(still[1])


def test_a_channel_that_is_there_for_a_moment_only_is_passed_over() -> None:
    text = "Time,MAF [g/s],RPM,Speed\n" + "\n".join(f"{t},{3.0 if t < 10 else ''},900,50" for t in range(300))
    found = power(read_log(text.encode()))
    assert found.source is HeatSource.ROAD_LOAD
    assert "too little" in found.passed_over[HeatSource.AIR_FLOW]


def overrun(t: int) -> bool:
    return 40 <= t < 60


def test_the_fuel_is_cut_on_overrun() -> None:
    record = log(
        maf=4.0,
        speed=60.0,
        rpm=2000,
        pedal=lambda t: 14.0 if overrun(t) else 25.0,
        map=lambda t: 28.0 if overrun(t) else 60.0,
    )
    found = power(record)
    assert np.flatnonzero(found.fuel_cut).tolist() == list(range(40, 60))
    assert np.all(found.power[40:60] == 0.0)
    assert np.all(found.power[:40] > 0.0)


def test_without_manifold_pressure_a_falling_road_speed_tells_overrun() -> None:
    record = log(
        maf=4.0,
        rpm=2000,
        pedal=lambda t: 14.0 if overrun(t) else 25.0,
        speed=lambda t: 90.0 - 2.0 * min(max(t - 40, 0), 20),
    )
    cut = np.flatnonzero(power(record).fuel_cut)
    assert set(range(43, 58)) <= set(cut.tolist()) <= set(range(40, 60))  # two seconds of smoothing at both ends


@pytest.mark.parametrize("more", [{}, {"map": 60.0}])
def test_cruise_control_closes_the_pedal_and_cuts_nothing(more: dict[str, float]) -> None:
    columns = {"maf": 12.0, "speed": 90.0, "rpm": 2000, "pedal": 14.0, **more}
    assert not power(log(**columns)).fuel_cut.any()


@pytest.mark.parametrize("changes", [{"speed": 0.0}, {"rpm": CUT_SPEED * 60 - 100}])
def test_a_closed_pedal_at_standstill_or_low_speed_cuts_nothing(changes: dict[str, float]) -> None:
    columns = {
        "maf": 4.0,
        "speed": 60.0,
        "rpm": 2000,
        "map": lambda t: 28.0 if overrun(t) else 60.0,
        "pedal": lambda t: 14.0 if overrun(t) else 25.0,
        **changes,
    }
    assert not power(log(**columns)).fuel_cut.any()


def test_a_lean_command_tells_the_cut_too() -> None:
    found = power(log(maf=4.0, rpm=2000, ratio=lambda t: 1.99 if overrun(t) else 1.0))
    assert np.flatnonzero(found.fuel_cut).tolist() == list(range(40, 60))


def test_road_load_downhill_of_speed_gives_no_negative_fuel() -> None:
    found = power(log(speed=lambda t: max(100.0 - 2 * t, 0.0), rpm=2000, ect=90))
    assert np.all(found.power >= 0.0)
    assert found.power[20, 0] == 0.0


def test_an_engine_at_rest_burns_nothing() -> None:
    found = power(log(speed=0.0, rpm=lambda t: 0.0 if 30 <= t < 80 else 800.0, ect=60))
    assert np.all(found.power[32:78] == 0.0)
    assert np.all(found.power[:28] > 0.0)


def test_no_channel_gives_no_answer() -> None:
    assert fuel_power(log(ect=80), ENGINE, Fuel.PETROL) is None
    assert fuel_power(log(ect=80, maf=3), ENGINE, Fuel.PETROL, source=HeatSource.FUEL_RATE) is None


def test_three_members_equal_three_single_runs() -> None:
    record = log(speed=lambda t: 30.0 + t % 40, rpm=1500, ect=70, map=50, iat=20)
    cases = [
        {"vehicle": {"mass": m}, "engine": {"displacement": d}}
        for m, d in (("1000 kg", "1.2 L"), ("1600 kg", "2.0 L"), ("2400 kg", "4.5 L"))
    ]
    engines = [engine_of(**case) for case in cases]
    together = _joined(engines)
    for source in (HeatSource.ROAD_LOAD, HeatSource.SPEED_DENSITY):
        joint = power(record, engine=together, source=source).power
        assert joint.shape == (120, 3)
        for i, engine in enumerate(engines):
            np.testing.assert_allclose(joint[:, i], power(record, engine=engine, source=source).power[:, 0], rtol=1e-12)


def _joined(engines: list[PreparedEngine]) -> PreparedEngine:
    values = {}
    for name, first in vars(engines[0]).items():
        parts = [vars(e)[name] for e in engines]
        values[name] = np.concatenate(parts) if isinstance(first, np.ndarray) else first
    fitted = [vars(engine.accessories) for engine in engines]
    each = {name: [of[name] for of in fitted] for name in fitted[0]}
    values["accessories"] = PreparedAccessories(
        **{name: np.concatenate(x) if isinstance(x[0], np.ndarray) else x[0] for name, x in each.items()}
    )
    return PreparedEngine(**values)


def test_heating_values_are_those_of_the_fuel_table() -> None:
    assert FUELS[Fuel.PETROL].lower_heating_value == 43.438e6
    assert FUELS[Fuel.PETROL].stoichiometric_ratio == 14.7
