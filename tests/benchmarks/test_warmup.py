"""The warm-up against scipy's LSODA on the same equations calling CoolProp, and against the same steps in C.

LSODA (rtol 1e-6) integrates the right-hand side of ``warmup_equations``: every flow and film solved anew, coolant from
CoolProp's AEG. It shares the component formulas with the product, on arrays of one element, whose overhead is most of
its time: a rival written in scalar Python would be some ten times faster, and the ratio that much smaller. A log's rows
change every second, so that it is held to steps of 2 s.

The C (``warmup_steps``) gets what a run of the product renewed as tables: renewals are not timed in C, and their share
of our time stands beside. Rounds of both take turns, in processor time, so that a busy machine slows both alike.

Run once for correctness with every test run; for numbers
``python -m pytest --benchmark-enable -n 0 tests/benchmarks/test_warmup.py``.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import CoolProp
import numpy as np
import pytest
from scipy.integrate import solve_ivp
from warmup_equations import SENSOR, right_hand_side
from warmup_equations import start as start_of
from warmup_steps import Arguments, StepsInC, clocked, compiled, record

from engcalc.case.case import Case, with_values
from engcalc.case.conditions import only_given
from engcalc.case.resolve import resolve
from engcalc.case.text import FORMAT, CaseText
from engcalc.properties.fluid import Fluid
from engcalc.studies.spread.uncertainty import consistent
from engcalc.system.in_time.drive import Drive, coarser, recorded_drive
from engcalc.system.in_time.warmed import Warmup
from engcalc.system.in_time.warmup import FINE, SERIES, warm_up
from engcalc.system.plant import Plant, prepare

pytestmark = pytest.mark.fresh

SECONDS, MEMBERS, COARSE = 1800, 4000, 2
ROUNDS, EVERY = 7, 5.0  # rounds of ours and of C in turn; s between samples
ERROR = 0.1  # K; the budget
# The same steps in another order of adding, with another library's exp: rounding alone, some 1e-10 K
SAME = 1e-6  # K


PLAIN = {"thermostat": {"hysteresis": "0 K", "rating": "105 degC"}}


def case_of(sections: dict[str, Any] | None = None) -> Case:
    found = resolve(CaseText({"format": FORMAT, **(sections or PLAIN)}))
    assert isinstance(found, Case), found
    return found


def log(seconds: int = SECONDS) -> Drive:
    """An invented half hour at 1 Hz; the fan held off, as the right-hand side knows no switching."""
    rng = np.random.default_rng(7)

    def wander(width: int, scale: float) -> np.ndarray:
        return np.convolve(rng.normal(size=seconds), np.ones(width) / scale, "same")

    n = 13.0 + 20.0 * np.clip(wander(20, 8.0), 0.0, 1.5)
    v = np.clip(15.0 * wander(60, 8.0) + 8.0, 0.0, 35.0)
    fuel = 3e-4 + 5e-4 * np.clip(wander(10, 4.0), 0.0, 3.0)
    T = np.full(1, 268.15)
    first = only_given(ambient=T, heater_air_share=np.full(1, 1.0 / 3.0), fan_mode=np.full(1, -1.0))
    return recorded_drive(first, T, 1.0, engine_speed=n, vehicle_speed=v, fuel_flow=fuel)


def first_rows(drive: Drive, rows: int) -> Drive:
    """The start of a log."""
    logged = ("engine_speed", "vehicle_speed", "fuel_flow")
    some = {name: getattr(drive.conditions, name)[:rows] for name in logged}
    return replace(drive.asking(**some), which=drive.which[:rows])


def ensemble(count: int, sections: dict[str, Any] | None = None) -> Plant:
    """Unlike members."""
    rng = np.random.default_rng(1)
    case = case_of(sections)

    def about(value: np.ndarray, share: float) -> np.ndarray:
        return value * rng.uniform(1.0 - share, 1.0 + share, count)

    return prepare(
        consistent(
            with_values(
                case,
                {
                    "engine.metal_mass": about(case.engine.metal_mass, 0.3),
                    "heater.blower_flow": about(case.heater.blower_flow, 0.3),
                    "engine.coolant_share_rated": about(case.engine.coolant_share_rated, 0.2),
                    "circuit.pump_flow": about(case.circuit.pump_flow, 0.2),
                    "thermostat.closed_leak": rng.uniform(0.0, 0.05, count),
                },
            )
        )
    )


def timed(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def by_lsoda(plant: Plant, drive: Drive, times: np.ndarray) -> np.ndarray:
    """The sensor of one member at ``times``, properties from CoolProp."""
    glycol = CoolProp.AbstractState("INCOMP", "AEG")
    glycol.set_volu_fractions([float(plant.coolant.volume_fraction[0])])

    def fluid(T: float) -> Fluid:
        glycol.update(CoolProp.PT_INPUTS, 2.0e5, min(T, 373.14))  # its tables end at 100 degC
        made = (glycol.rhomass(), glycol.cpmass(), glycol.conductivity(), glycol.viscosity())
        return Fluid(*(np.array([x]) for x in made))

    found = solve_ivp(
        right_hand_side(plant, drive, fluid),
        (0.0, drive.duration),
        start_of(drive),
        method="LSODA",
        rtol=1e-6,
        atol=1e-4,
        t_eval=times,
        max_step=2.0,
    )
    assert found.success, found.message
    return np.asarray(found.y[SENSOR])


def test_one_half_hour_on_a_log(benchmark) -> None:
    """Budget: 60 ms, and within 0.1 K of LSODA."""
    plant, drive = prepare(case_of()), log()
    w = benchmark(warm_up, plant, drive)
    short = replace(drive, which=drive.which[: None if benchmark.enabled else 200])
    times = w.time[w.time <= short.duration]
    answer: list[np.ndarray] = []
    seconds = timed(lambda: answer.append(by_lsoda(plant, short, times)))
    assert np.abs(answer[0] - w.sensor[: times.size, 0]).max() < ERROR
    if benchmark.enabled:
        benchmark.extra_info.update(lsoda_seconds=seconds, times_faster=seconds / benchmark.stats.stats.min)


def test_four_thousand_of_them_against_lsoda_in_a_loop(benchmark) -> None:
    """Budget: 1.5 s in steps of 2 s, 150 times faster than LSODA in a loop (one of them run, scaled up)."""
    count = MEMBERS if benchmark.enabled else 20
    plant, drive = ensemble(count), log()
    if not benchmark.enabled:
        drive = first_rows(drive, 200)
    w: Warmup = benchmark.pedantic(warm_up, args=(plant, coarser(drive, COARSE)), rounds=3 if benchmark.enabled else 1)
    assert np.isfinite(w.sensor).all()
    assert np.abs(w.energy_error).max() < 1e-10
    if benchmark.enabled:
        one = prepare(case_of())
        seconds = timed(lambda: by_lsoda(one, drive, w.time)) * count
        benchmark.extra_info.update(lsoda_seconds_scaled=seconds, times_faster=seconds / benchmark.stats.stats.min)
        assert seconds / benchmark.stats.stats.min > 150.0


@pytest.fixture(scope="module")
def run_steps(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Arguments], None]:
    return compiled(tmp_path_factory.mktemp("steps_in_c"))


def recorded(plant: Plant, drive: Drive, members: int, run_steps: Callable[[Arguments], None]) -> StepsInC:
    return StepsInC(record(plant, drive, members), run_steps, EVERY)


def differ_most(w: Warmup, steps: StepsInC) -> float:
    """The largest difference of any series [K; the opening -]; NaN where C left a sample out."""
    return max(float(np.abs(steps.series(name) - getattr(w, name)[1:]).max()) for name in SERIES)


HOT = {
    "outlet": {
        "thermostat": {"rating": "82 degC", "side": "outlet", "hysteresis": "3 K", "closed_leak": "2 %"},
        "airflow": {"fan_drive": "electric", "fan_on": "88 degC", "fan_off": "85 degC"},
    },
    "inlet": {
        "thermostat": {"rating": "82 degC", "side": "inlet", "bypass": "fixed"},
        "airflow": {"fan_drive": "viscous clutch", "upstream": [{"heat": "6 kW"}]},
    },
}


@pytest.mark.parametrize("members", [1, 5])
@pytest.mark.parametrize("side", HOT)
def test_the_steps_in_c_are_the_steps(side: str, members: int, run_steps: Callable[[Arguments], None]) -> None:
    """With valve, fan and heat ahead of the core at work, for one member on floats and for five on arrays.

    In steps so short that ours take none of them in parts, which the C knows nothing of.
    """
    plant, part = ensemble(members, HOT[side]), first_rows(log(), 900)
    asked = part.asking(fan_mode=np.zeros(1), fuel_flow=3.0 * part.conditions.fuel_flow, ambient=np.full(1, 313.15))
    drive = replace(asked, start=np.full(1, 345.15))
    assert drive.step <= FINE
    w = warm_up(plant, drive, EVERY)
    steps = recorded(plant, drive, members, run_steps)
    steps.seconds()
    assert np.ptp(w.opening, axis=0).min() > 0.2
    assert np.ptp(steps.engagement, axis=0).min() > 0.2
    assert differ_most(w, steps) < SAME
    np.testing.assert_allclose(steps.state["lost"], w.heat_lost, rtol=1e-9)
    np.testing.assert_allclose(steps.state["released"], w.heat_released, rtol=1e-9)


@pytest.mark.parametrize("members", [1, 5])
def test_the_steps_in_c_are_those_of_a_cold_idle(members: int, run_steps: Callable[[Arguments], None]) -> None:
    """A petrol engine started in frost: it idles fast, its catalyst is heated, then it drives off."""
    plant = ensemble(members, {"engine": {"fuel": "petrol"}})
    idles = first_rows(log(), 400)
    standing = np.where(np.arange(400)[:, None] < 300, 0.0, idles.conditions.vehicle_speed)
    drive = idles.asking(
        vehicle_speed=standing, engine_speed=np.full((400, 1), np.nan), fuel_flow=np.full((400, 1), np.nan)
    )
    w = warm_up(plant, drive, EVERY)
    steps = recorded(plant, drive, members, run_steps)
    steps.seconds()
    shares = steps.tables["renewed"]["quick_share"]
    assert shares.max() > 1.2
    assert np.ptp(shares, axis=0).min() > 0.2
    assert differ_most(w, steps) < SAME
    np.testing.assert_allclose(steps.state["released"], w.heat_released, rtol=1e-9)


def test_four_thousand_of_them_against_the_same_steps_in_c(benchmark, run_steps, capsys, monkeypatch) -> None:
    """Budget: our steps within three times of C's."""
    count = MEMBERS if benchmark.enabled else 20
    plant, drive = ensemble(count), coarser(log() if benchmark.enabled else first_rows(log(), 200), COARSE)
    steps = recorded(plant, drive, count, run_steps)
    in_c, ours, stepping = [], [], []
    answer: list[Warmup] = []

    def round_of_ours() -> None:
        w, whole, alone = clocked(plant, drive, count, EVERY, monkeypatch)
        answer[:] = [w]
        ours.append(whole)
        stepping.append(alone)

    benchmark.pedantic(round_of_ours, setup=lambda: in_c.append(steps.seconds()), rounds=ROUNDS)
    assert differ_most(answer[0], steps) < SAME
    if benchmark.enabled:
        said = {
            name: f"least {min(x):.3f} s, median {np.median(x):.3f} s"
            for name, x in {"ours, whole": ours, "ours, steps alone": stepping, "C, the same steps": in_c}.items()
        }
        said |= {
            f"{name} over C": f"least {min(x) / min(in_c):.2f}, median {np.median(np.divide(x, in_c)):.2f}"
            for name, x in {"whole": ours, "steps alone": stepping}.items()
        }
        said["not in C: share of renewals and preparation"] = f"{1.0 - sum(stepping) / sum(ours):.0%} of our time"
        benchmark.extra_info.update(said)
        with capsys.disabled():
            print("", *(f"{name}: {what}" for name, what in said.items()), sep="\n")  # noqa: T201 - a person asked
        assert min(stepping) / min(in_c) < 3.0
