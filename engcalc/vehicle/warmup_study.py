"""What the temperature should do after a cold start, what it did, and where the two part.

For each record: the vehicle as it is described, the same with a healthy valve as a band over its unknowns, and the
record fitted by the vehicle's unknowns alone. What is compared with a log is the simulated sensor.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from engcalc.case.case import Case, with_values
from engcalc.errors import Cancelled
from engcalc.logs.channels import Channel
from engcalc.logs.record import LogRecord
from engcalc.properties.coolant import Base, freezing_point
from engcalc.studies.healthy_valve import has_valve, healthy_valve
from engcalc.studies.members import coolant_limit
from engcalc.system.in_time.fuel_use import FuelUse, fuel_use
from engcalc.system.in_time.valve_cycle import LEAST_SWING, Hunting
from engcalc.system.in_time.warmed import Warmup, crossing, felt_upper_hose
from engcalc.system.plant import Plant, averaged, prepare
from engcalc.units import Array
from engcalc.vehicle.criterion import (
    Criterion,
    WarmFacts,
    WarmVerdict,
    confounders,
    criterion_of,
    excuses,
    gauge_middle_by,
    judge_warm_up,
    target,
)
from engcalc.vehicle.discrepancy import DISCREPANCY
from engcalc.vehicle.fit import Fit, FittedReadings, at_times, fit, sight_of
from engcalc.vehicle.kept_runs import KEPT
from engcalc.vehicle.run import Run, duty_run, ensemble_run, records, run_of
from engcalc.vehicle.settling import RecordEnd, Settlement, settlement
from engcalc.vehicle.unknowns import Unknown, Vehicles, draw_z, unknowns_of, vehicles
from engcalc.words.texts import record_texts

TIMES_TO = (333.15, 343.15, 353.15)  # K; 60, 70 and 80 degC
EXTRA_TO = TIMES_TO[0]  # K, up to which what a cold engine takes more is told: by then it takes no more
MEMBERS = 200
BAND = (0.05, 0.5, 0.95)
RECORD_EVERY = 5.0  # s
LAST = 120.0  # s at the end over which what a healthy vehicle shows is averaged
_LAST = round(LAST / RECORD_EVERY)
HUNTS_FOR = 300.0  # s at the end in which a valve is watched for hunting: some five cycles
UP_DOWN_UP = 2  # turns at least
LIFTS = 1e-3  # -, that the lift moves between two samples
PARTED_FOR = 120.0  # s; a record that is out of the band for less has not parted from it

Progress = Callable[[float], None] | None
Stop = Callable[[], bool] | None


@dataclass(frozen=True, eq=False)
class HealthyBand:
    """The healthy vehicle's sensor over its unknowns: 5, 50 and 95 % at each time [K], every member's time [s] to each
    of ``TIMES_TO`` and to the temperature that counts as warm (infinite: not within the run)."""

    time: Array
    low: Array
    middle: Array
    high: Array
    times_to: Mapping[float, Array]


@dataclass(frozen=True, eq=False)
class Measured:
    """The record's own curve; times [s] from engine start, temperatures [K]. ``time_to`` None: never."""

    time: Array
    T: Array
    start: float
    end: float
    settled: Settlement
    time_to: Mapping[float, float | None]
    notes: tuple[str, ...]
    faults: tuple[str, ...]
    leaves_band: float | None  # s; from when on it lies outside the band of a healthy vehicle for a while
    leaves_below: bool
    ends_outside: str  # "below" or "above" it where its last value is so; empty within


@dataclass(frozen=True, eq=False)
class FitResult:
    """The record fitted by unknowns of the vehicle alone, with a healthy valve."""

    unknowns: tuple[Unknown, ...]
    fit: Fit
    warmup: Warmup
    sensor: Array  # K, at the times of ``warmup``, with the sensor's own error
    residual: Array  # K, measured less fitted, at the measured times from the start on
    residual_time: Array  # s
    rms: float  # K
    parts: float | None  # s, from when on the residual is larger than model and reading err together


@dataclass(frozen=True, eq=False)
class RecordStudy:
    """One record. ``nominal`` is the vehicle as described, ``healthy`` the same with a healthy valve.

    Each runs up to where it boils, if it does.
    """

    name: str
    run: Run
    nominal: Warmup
    healthy: Warmup
    settled: Settlement  # of the nominal vehicle
    healthy_settled: Settlement
    band: HealthyBand
    measured: Measured | None
    fitted: FitResult | None
    criterion: Criterion | None  # None on a bench
    verdict: WarmVerdict
    asks: tuple[str, ...]  # what nobody noted and what would change how a warm-up reads
    fuel: FuelUse  # of the nominal vehicle
    hunting: Hunting | None = None  # of the nominal vehicle's valve at the end of a run under one condition
    spot_ranges: tuple[tuple[float, float] | None, ...] = ()  # K, 5 and 95 % of healthy vehicles at each reading
    side: str = "outlet"  # where the thermostat sits, in the word of the case

    @property
    def warm_by(self) -> float:
        """When the nominal vehicle has ``EXTRA_TO`` [s]; the end of its run where it never has."""
        return min(float(self.nominal.time_to(EXTRA_TO)[0]), float(self.nominal.time[-1]))


@dataclass(frozen=True, eq=False)
class WarmupStudy:
    """Every record of a case; where it has none, its first duty from a cold start under the name ``duty``."""

    case: Case
    records: tuple[RecordStudy, ...]


def has_warmup(case: Case, logs: Mapping[str, LogRecord]) -> bool:
    """Whether a check of the case includes the warm-up: a schedule, a log or typed pairs are there."""
    return any(record.schedule or record.curve or name in logs for name, record in records(case).items())


def study(
    case: Case,
    logs: Mapping[str, LogRecord],
    *,
    members: int = MEMBERS,
    seed: int = 1,
    fits: bool = True,
    progress: Progress = None,
    cancelled: Stop = None,
) -> WarmupStudy:
    """Study every record. ``logs`` as of :func:`engcalc.vehicle.run.read_logs`; ``fits`` False leaves the fit out, for
    every key press. Raises Cancelled; RangeError for a core that cannot be built."""
    names = list(records(case)) or [""]
    found = []
    for i, name in enumerate(names):
        run = run_of(case, name, logs) if name else duty_run(case)
        found.append(_Study(case, run, members, seed, cancelled).record(fits))
        if progress is not None:
            progress((i + 1) / len(names))
    return WarmupStudy(case, tuple(found))


def with_curve(
    found: WarmupStudy, record: RecordStudy, curve: tuple[Array, Array], cancelled: Stop = None
) -> RecordStudy:
    """A record that has no curve of its own, studied with this one (times [s], temperatures [K]). Raises Cancelled."""
    return _Study(found.case, replace(record.run, curve=curve), MEMBERS, 1, cancelled).record(False)


def finite(time: float) -> float | None:
    """A time [s], None where it is infinite: never."""
    return time if np.isfinite(time) else None


def healthy_case(case: Case) -> Case:
    """The case with a healthy valve in its place; a bench has none."""
    return with_values(case, healthy_valve(case)) if has_valve(case) else case


@dataclass(frozen=True, eq=False)
class _Shown:
    """What is judged, measured or simulated, and what a healthy vehicle shows at its end [K]."""

    ends: float  # s
    time_to: Mapping[float, float | None]
    settled: float | None
    healthy_end: float
    healthy_low: float

    @classmethod
    def of(cls, nominal: Warmup, settled: Settlement, healthy: Warmup, asked: Iterable[float]) -> _Shown:
        end = float(healthy.sensor[-_LAST:, 0].mean())
        found = {T: finite(float(nominal.time_to(T)[0])) for T in asked}
        return cls(float(nominal.time[-1]), found, settled.temperature, end, end)

    @classmethod
    def measured(cls, measured: Measured, band: HealthyBand) -> _Shown:
        end = measured.time[-1]
        last = (band.time >= end - LAST) & (band.time <= end)
        last[0] = last[0] or not last.any()
        return cls(
            float(measured.time[-1]),
            measured.time_to,
            measured.settled.temperature,
            float(band.middle[last].mean()),
            float(band.low[last].mean()),
        )


def _range_at(time: Array, series: Array | None, at: Array | None) -> tuple[float, float] | None:
    """5 and 95 % of members [K] at the sample nearest to a reading; at the end where no time was noted."""
    if series is None:
        return None
    i = len(time) - 1
    if at is not None:
        i = int(np.argmin(np.abs(time - float(at[0]))))
    low, high = np.quantile(series[i], (BAND[0], BAND[-1]))
    return float(low), float(high)


@dataclass(frozen=True, eq=False)
class _Study:
    """What the parts of one record's study share."""

    case: Case
    run: Run
    members: int
    seed: int
    cancelled: Stop

    def record(self, fits: bool) -> RecordStudy:
        case = self.case
        run = self.run
        with_healthy_valve = healthy_case(case)
        unknowns = unknowns_of(with_healthy_valve, run)
        plant = prepare(case)
        nominal = self._single(case, plant)
        healthy = (
            self._single(with_healthy_valve, prepare(with_healthy_valve)) if with_healthy_valve is not case else nominal
        )
        band, spot_ranges = self._healthy_band(with_healthy_valve, unknowns)
        measured = self._what_was_measured(band)
        fitted = self._fitted(with_healthy_valve, unknowns) if fits and measured is not None else None
        settled, healthy_settled = (_settled(w) for w in (nominal, healthy))
        shown = (
            _Shown.of(nominal, settled, healthy, band.times_to) if measured is None else _Shown.measured(measured, band)
        )
        criterion = None
        if has_valve(case):
            goal = target(case)
            criterion = criterion_of(case, run, shown.time_to[goal], shown.ends, band.times_to[goal])
        facts = self._facts(shown, band, healthy, measured is not None)
        verdict = judge_warm_up(facts if measured is not None else self._heat_of(nominal, facts))
        return RecordStudy(
            run.name,
            run,
            nominal,
            healthy,
            settled,
            healthy_settled,
            band,
            measured,
            fitted,
            criterion,
            verdict,
            confounders(run),
            fuel_use(plant, run.drive, nominal),
            self._hunting(nominal),
            spot_ranges,
            case.thermostat.side,
        )

    def _facts(self, shown: _Shown, band: HealthyBand, healthy: Warmup, is_measured: bool) -> WarmFacts:
        """What the verdict on a warm-up is made of, of the measured curve, else the simulated one."""
        warm, within = (float(x[0]) for x in (self.case.limits.warm_up_temperature, self.case.limits.warm_up_time))
        times = band.times_to[warm] if is_measured else healthy.time_to(warm)
        coolant = self.run.coolant
        ambient = float(np.min(self.run.drive.conditions.ambient))
        ice = float(freezing_point(Base(coolant.base), coolant.concentration)[0])
        return WarmFacts(
            within,
            shown.time_to[warm],
            shown.ends,
            float(np.mean(times <= within)),
            shown.settled,
            shown.healthy_end,
            shown.healthy_low,
            excuses(self.run) if is_measured else (),
            freezing=ice if ambient < ice else None,
            middle_by=gauge_middle_by(band.time, band.low),
        )

    def _hunting(self, nominal: Warmup) -> Hunting | None:
        """Between what the valve lets the coolant swing at the end; None where it rests, or a fan switches too."""
        last = nominal.time > nominal.time[-1] - HUNTS_FOR
        T = nominal.coolant[last, 0]
        lift = nominal.opening[last, 0]
        found = Hunting(float(T.mean()), float(T.min()), float(T.max()))
        moves = np.sign(np.diff(lift)[np.abs(np.diff(lift)) > LIFTS])
        to_and_fro = int((moves[1:] != moves[:-1]).sum()) >= UP_DOWN_UP
        switches = self.case.airflow.fan_drive == "electric" and found.high >= float(self.case.airflow.fan_on[0])
        steady = len(self.run.drive.conditions.engine_speed) == 1
        hunts = steady and to_and_fro and not switches and found.high - found.low > LEAST_SWING
        return found if hunts else None

    def _heat_of(self, nominal: Warmup, facts: WarmFacts) -> WarmFacts:
        """With how hot the vehicle gets as described."""
        duty = self.case.duties[0]
        limit = self.case.limits.coolant_limit if self.run.record.schedule else coolant_limit(self.case, duty)
        return replace(
            facts, boils=finite(float(nominal.boiled[0])), peak=float(nominal.coolant.max()), limit=float(limit[0])
        )

    def _run(self, v: Vehicles, every: float = 2.0 * RECORD_EVERY) -> Warmup:
        w = KEPT.warm_up(v.plant, v.drive, every, self.cancelled)
        if self.cancelled is not None and self.cancelled():
            raise Cancelled(record_texts.WARM_UP_WAS_CANCELLED)
        return w

    def _single(self, case: Case, plant: Plant) -> Warmup:
        return self._run(Vehicles(case, plant, self.run.drive, np.zeros(1)), RECORD_EVERY).until_it_boils()

    def _healthy_band(
        self, healthy: Case, unknowns: Sequence[Unknown]
    ) -> tuple[HealthyBand, tuple[tuple[float, float] | None, ...]]:
        """What drawn healthy vehicles show in this run, and the bounds of each reading by hand (None where there are
        none)."""
        z = draw_z(unknowns, self.members, self.seed)
        v = vehicles(healthy, ensemble_run(self.run), unknowns, z)
        w = self._run(v)
        shown = w.sensor + v.sensor_bias
        low, middle, high = np.quantile(shown, BAND, axis=1)
        asked = (*TIMES_TO, float(self.case.limits.warm_up_temperature[0]), target(self.case))
        times = {T: np.array([crossing(w.time, column, T) for column in shown.T]) for T in dict.fromkeys(asked)}
        ambient = np.broadcast_to(v.drive.conditions.ambient, (w.sensor.shape[1],))
        places = {
            "coolant": shown,
            "upper_hose": felt_upper_hose(w, ambient, healthy.thermostat.side),
            "lower_hose": w.lower_hose,
            "heater_inlet_hose": w.heater_in,
            "heater_outlet_hose": w.heater_out,
            "vent": w.vent,
        }
        ranges = tuple(_range_at(w.time, places.get(s.what), s.at) for s in self.run.record.spots)
        return HealthyBand(w.time, low, middle, high, times), ranges

    def _what_was_measured(self, band: HealthyBand) -> Measured | None:
        """The coolant's curve from the start on, its times and what may be wrong with it; None below two readings."""
        after = self.run.curve[0] >= 0.0
        time = self.run.curve[0][after]
        T = self.run.curve[1][after]
        if time.size < 2:
            return None
        log = self.run.log
        start = float(T[0])
        notes: tuple[str, ...] = ()
        faults: tuple[str, ...] = ()
        if log is None:
            time_to = {x: finite(crossing(time, T, x)) for x in band.times_to}
        else:
            time_to = {x: log.time_to(x) for x in band.times_to}
            notes = tuple(n.words for n in log.notes if not n.is_sensor_fault)
            faults = tuple(n.words for n in log.faults)
            start = log.first(Channel.COOLANT) or start
        parted, below = leaves(time, T, band)
        ends = _where_it_ends(time, T, band)
        return Measured(time, T, start, float(T[-1]), settlement(time, T), time_to, notes, faults, parted, below, ends)

    def _fitted(self, healthy: Case, unknowns: tuple[Unknown, ...]) -> FitResult | None:
        sight = sight_of(*self.run.curve)
        if sight.time.size < 2:
            return None
        coarse = ensemble_run(self.run)

        def model(z: Array) -> list[Array]:
            v = vehicles(healthy, coarse, unknowns, z)
            w = self._run(replace(v, plant=averaged(v.plant)))  # where in a cycle a fan or valve stood is chance
            return [at_times(w.time, w.sensor + v.sensor_bias, sight.time)]

        found = fit(unknowns, model, [sight], self.seed, self.cancelled)
        return self._fit_result(healthy, unknowns, found, sight)

    def _fit_result(self, healthy: Case, unknowns: tuple[Unknown, ...], found: Fit, sight: FittedReadings) -> FitResult:
        v = vehicles(healthy, self.run, unknowns, found.z[None])
        w = self._run(v, RECORD_EVERY)
        sensor = w.sensor[:, 0] + v.sensor_bias
        after = self.run.curve[0] >= 0.0
        time = self.run.curve[0][after]
        T = self.run.curve[1][after]
        residual = T - np.interp(time, w.time, sensor)
        rms = float(np.sqrt((residual**2).mean()))
        return FitResult(unknowns, found, w, sensor, residual, time, rms, _parts(time, residual, sight))


def _settled(w: Warmup) -> Settlement:
    """Where a run of one member settles; what boils does not."""
    boils = bool(np.isfinite(w.boiled[0]))
    if boils:
        return Settlement(RecordEnd.BOILED, None, None)
    return settlement(w.time, w.sensor[:, 0])


def leaves(time: Array, T: Array, band: HealthyBand) -> tuple[float | None, bool]:
    """When a record leaves the band for a while by more than the model itself may err, and whether downwards."""
    over = T - np.interp(time, band.time, band.high) > DISCREPANCY
    under = np.interp(time, band.time, band.low) - T > DISCREPANCY
    found = [
        (first, below) for side, below in ((under, True), (over, False)) if (first := _lasting(time, side)) is not None
    ]
    return min(found, default=(None, False))


def _parts(time: Array, residual: Array, sight: FittedReadings) -> float | None:
    """When the residual grows beyond two standard deviations of what model and reading err together."""
    covariance = np.linalg.inv(sight.whiten.T @ sight.whiten)
    allowed = 2.0 * np.interp(time, sight.time, np.sqrt(np.diag(covariance)))
    return _lasting(time, np.abs(residual) > allowed)


def _lasting(time: Array, outside: np.ndarray[tuple[int, ...], np.dtype[np.bool_]]) -> float | None:
    """Start [s] of the first stretch in which it stays outside for ``PARTED_FOR`` or more.

    A sample stands for the time up to halfway to its neighbours: one of few that were typed for minutes, one of a log
    for a second.
    """
    halfway = 0.5 * (time[1:] + time[:-1])
    begins = np.concatenate((time[:1], halfway))
    ends = np.concatenate((halfway, time[-1:]))
    begun: int | None = None
    for i, out in enumerate(outside.tolist()):
        if not out:
            begun = None
            continue
        begun = i if begun is None else begun
        if ends[i] - begins[begun] >= PARTED_FOR:
            return float(time[begun])
    return None


def _where_it_ends(time: Array, T: Array, band: HealthyBand) -> str:
    """Whether the last reading lies "below" or "above" the healthy band; empty where it lies within."""
    low, high = (float(np.interp(time[-1], band.time, edge)) for edge in (band.low, band.high))
    if T[-1] < low:
        return "below"
    return "above" if T[-1] > high else ""
