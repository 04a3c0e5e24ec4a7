"""What the evidence can tell at most of the vehicles here: a judge that has seen thousands of them, faults told.

    python tests/foreign/knowing_judge.py --vehicles 24000 --rows tests/foreign/rows_fresh_heaters.csv

The generator runs vehicles by the thousand, and a small network learns from them the odds of each cause by a log alone,
by a log with four hand readings, by six entries. It knows this generator's laws, spreads and rates, which no program
can know of real vehicles. On vehicles that it has not seen its score is a floor of what a perfect judge would reach: a
larger network, or more vehicles, may still gain a little. With ``--rows`` the program's own scores stand beside it, on
the same vehicles, by cause.
"""

from __future__ import annotations

import argparse
import csv
import sys
from collections.abc import Sequence
from dataclasses import dataclass, fields
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from drawn import CAUSES, KNOWN_HEATER, KNOWN_WAY, SIZES, WAYS, Set, hands, last_second, set_out
from vehicle import AIR, CELLS, DT, WATER, Array, Body, Broken, ran

STAGES = ("log", "hands", "six")
SETTINGS = ("off", "low", "high", "unknown")
MINUTES = np.concatenate((np.arange(0.5, 8.0, 0.5), np.arange(8.0, 18.0)))  # at which a net reads the gauge
WINDOW = 180  # s; means of speed and fuel
KEYS = list(CAUSES)
RATES = np.array([weight for weight, _ in CAUSES.values()]) / sum(weight for weight, _ in CAUSES.values())
PLACES = ("upper_hose", "lower_hose", "heater_inlet_hose", "heater_outlet_hose", "vent")
KEPT = ("coolant", "shown", *PLACES, "fuel")
SIZE = 1500  # vehicles that run together
HIDDEN, ROUNDS, RATE, BATCH, NETS = 96, 40, 2e-3, 256, 4
DECAY, LEFT_OUT = 1e-2, 0.15  # of the weights in a step; share of the units that a step leaves out


def ran_together(sets: Sequence[Set], rng: np.random.Generator) -> dict[str, Array]:  # noqa: PLR0915  as in vehicle.py
    """The same as ``vehicle.ran``, for many vehicles at once: (seconds, vehicles); each stands after its trip's end."""
    n, many = max(len(v.trip.speed) for v in sets), len(sets)
    b: Any = _columns([v.body for v in sets], Body)
    x: Any = _columns([v.broken for v in sets], Broken)
    speed, grade = (_padded([getattr(v.trip, name) for v in sets], n) for name in ("speed", "grade"))
    accel = _padded([np.gradient(v.trip.speed) for v in sets], n)
    T_air = np.array([v.trip.ambient for v in sets])
    heater = np.array([float(v.trip.heater) for v in sets])
    start = np.array([v.trip.start for v in sets])
    wind = np.array([v.trip.wind for v in sets])
    liners, block, coolant, upper, lower, heater_in, heater_out, wax = (start.copy() for _ in range(8))
    plug = np.tile(start, (CELLS, 1))
    lift, moved, jumping, offset = (np.zeros(many) for _ in range(4))
    fan = np.zeros(many, bool)
    kept = {name: np.empty((n, many)) for name in KEPT}
    volume = b.inside * (1.0 - 0.8 * x.missing)
    cell = b.radiator * (1.0 - 0.5 * x.missing) / CELLS
    thin = np.where(x.missing > 0.12, 1.0 - 0.75 * np.minimum(x.missing / 0.6, 1.0), 1.0)
    starved = np.where(x.missing > 0.3, 0.25, 1.0)
    stuck = ~np.isnan(x.lift)
    opens = b.opens + x.opens_by
    air_h = b.heater_air * heater * x.blower
    C_a = AIR * air_h * x.warm_air
    for second in range(n):
        v = speed[second]
        rev, fuel, heat = _engines(b, x, v, grade[second], accel[second], wind, block, second)
        flow = b.pump * x.pump * thin * (rev / 50.0) ** 0.9
        air_speed = np.where(v > 1.0, np.maximum(v + wind, 0.0), 0.0)
        wind_loss = b.surface * x.surface * (1.0 + 0.06 * air_speed)
        q_h = b.heater_part * flow * x.heater * starved
        C_w = WATER * q_h
        least, most = np.minimum(C_w, C_a), np.maximum(C_w, C_a)
        blows = (C_w > 1.0) & (C_a > 1.0)
        ntu = b.heater_UA * (0.35 + 0.65 * heater) / np.where(blows, least, 1.0)
        g_heater = np.where(blows, -least * np.expm1(-ntu * (1.0 - 0.35 * least / np.where(blows, most, 1.0))), 0.0)
        for _ in range(int(1.0 / DT)):
            aim = np.clip((wax - opens) / b.over, 0.0, 1.0) * x.most_lift
            moves = np.abs(aim - lift) > 0.5 * b.play / b.over
            lift = np.where(moves, aim - np.sign(aim - lift) * 0.5 * b.play / b.over, lift)
            lift = np.where(wax < opens - b.play, 0.0, lift)
            stands = np.where(stuck, x.lift, np.maximum(lift, 0.0))
            open_ = np.where(x.no_valve, 1.0, np.maximum(stands, b.leak))
            wanted = open_ * np.where(x.no_valve, 1.15, 1.0) * x.rows
            rest = 0.35 * x.bypass * (1.0 - 0.7 * np.minimum(stands, 1.0)) + 1e-9
            q_r = np.minimum((flow - q_h) * wanted / (wanted + rest), flow - q_h)
            q_r = np.where(open_ > b.leak, q_r, b.leak * flow)
            through = (b.ram * air_speed + np.where(fan, b.fan_air, 0.01)) * x.face
            UA = b.front * x.UA * np.minimum(1.0, (through / 1.6) ** 0.55)
            give = -AIR * through * np.expm1(-UA / (AIR * through + 1e-9))
            plug -= (T_air - plug) * np.expm1(-give / CELLS * DT / (cell * WATER))
            moved = moved + q_r * DT / cell
            while (full := moved >= 1.0).any():
                lower = np.where(full, lower + (plug[-1] - lower) * np.minimum(1.0, cell / 4e-4), lower)
                plug[1:] = np.where(full, plug[:-1], plug[1:])
                plug[0] = np.where(full, upper, plug[0])
                moved = moved - full
            pull = DT * q_r / 4e-4
            upper = upper + (coolant - upper) * np.minimum(pull + 0.0008 * DT, 1.0) + (T_air - upper) * 0.0009 * DT
            lower = lower + (T_air - lower) * 0.0009 * DT
            take = g_heater * (heater_in - T_air)
            to = np.where(C_w > 1.0, 0.0, heater_out)
            heater_in = heater_in + (
                (coolant - heater_in) * np.minimum(DT * q_h / 1.5e-4, 1.0) + (T_air - heater_in) * 0.0012 * DT
            )
            to = np.where(C_w > 1.0, heater_in - take / np.where(C_w > 1.0, C_w, 1.0), to)
            heater_out = heater_out + (
                (to - heater_out) * np.minimum(DT * q_h / 2.5e-4, 1.0) + (T_air - heater_out) * 0.0012 * DT
            )
            into = heat - 900.0 * (liners - coolant) - 60.0 * (liners - block)
            liners = liners + DT * into / b.liners
            gain = 60.0 * (liners - block) + 40.0 * (coolant - block) - wind_loss * (block - T_air)
            block = block + DT * gain / b.block
            back = q_r * lower + q_h * heater_out + (flow - q_r - q_h) * coolant  # bypass and engine alike
            brought = WATER * (back - flow * coolant) + 900.0 * (liners - coolant) - 40.0 * (coolant - block)
            coolant = coolant + DT * brought / (WATER * volume + 6e3)
            mix = np.where(b.inlet & (flow > 1e-9), back / np.maximum(flow, 1e-9), coolant)
            wax = wax + DT * (mix - wax) / (b.lag * x.lag)
            fan = (coolant > np.where(fan, b.fan_off, b.fan_on)) & (x.fan != "never") | (x.fan == "always")
            coolant = np.minimum(coolant, 122.0)
        begins = x.jumps & (jumping <= 0) & (rng.random(many) < 0.004)
        jumping = np.where(begins, np.floor(rng.uniform(2.0, 90.0, many)), jumping) - 1
        offset = np.where(begins, rng.choice([-1.0, 1.0], many) * rng.uniform(12.0, 40.0, many), offset)
        shown = coolant + b.sensor_off + x.sensor_shift - x.sensor_part * (coolant - T_air)
        vent = np.where(heater > 0.0, T_air + take / np.maximum(AIR * air_h, 1.0) * 0.95, T_air)
        places = (upper, lower, heater_in, heater_out, vent)
        values = (coolant, shown + np.where(jumping > 0, offset, 0.0), *places, fuel)
        for name, value in zip(kept, values, strict=True):
            kept[name][second] = value
    return kept


@dataclass
class _Columns:
    """Numbers of many vehicles under the names of one."""

    numbers: dict[str, Any]

    def __getattr__(self, name: str) -> Any:
        return self.numbers[name]


def _columns(each: Sequence[Any], kind: Any) -> _Columns:
    names = [f.name for f in fields(kind) if f.name != "visible"]
    columns = {name: np.array([getattr(one, name) for one in each]) for name in names}
    if "lift" in columns:
        columns["lift"] = columns["lift"].astype(float)
    return _Columns(columns)


def _padded(series: Sequence[Array], n: int) -> Array:
    """(seconds, vehicles), zeros after each one's end."""
    found = np.zeros((n, len(series)))
    for i, one in enumerate(series):
        found[: len(one), i] = one
    return found


def _engines(
    b: Any, x: Any, v: Array, grade: Array, a: Array, wind: Array, block: Array, since: float
) -> tuple[Array, Array, Array]:
    """As ``vehicle._engine``."""
    cold = np.minimum(np.maximum(0.0, (70.0 - block) / 60.0), 1.0)
    stands = v < 0.5
    at_idle = b.idle * (1.0 + 0.3 * cold + 0.8 * cold * np.exp(-since / 25.0))
    rev = v * b.top_gear
    for ratio in (1.35, 1.9, 2.8, 5.0):
        rev = np.where(rev < 26.0, v * b.top_gear * ratio, rev)
    rev = np.where(stands, at_idle, np.maximum(rev, b.idle))
    efficiency = np.where(stands, 0.41 - 0.13 * cold * np.exp(-since / 120.0), 0.41)
    force = b.mass * (9.81 * (0.0105 + grade) + 1.04 * a) + 0.6 * b.drag * (v + wind) * np.abs(v + wind) + x.drag
    work = np.where(stands, 900.0, force * v / 0.9 + 600.0)
    rubbing = (1.3 + 1.5 * np.exp(-(block + 12.0) / 24.0)) * 1e5 * b.litres * 1e-3 * rev / 2.0 * (1.0 + 0.006 * rev)
    burnt = np.maximum(work + rubbing, 0.0) / efficiency
    burnt = np.where((work + rubbing < 0.0) & (rev > 18.0), 0.0, burnt)
    load = np.minimum(np.maximum(work, 0.0) / (b.litres * 1.2e4), 1.0)
    return rev, burnt / 43.2e3, burnt * (b.to_coolant + b.extra_idle * (1.0 - load)) + 0.55 * rubbing


def told(v: Set, found: dict[str, Array], rng: np.random.Generator) -> dict[str, Array]:
    """What a technician enters, as a net reads it, by stage; drawn in the order of ``drawn._entered``."""
    end = last_second(found["coolant"])
    gauge = np.round(found["shown"] + rng.normal(0.0, 0.3, len(v.trip.speed)))
    fuel_told = bool(rng.random() < 0.5)
    spots = hands(rng, found | {"shown": found["shown"]}, end, v.setting, v.body.inlet)
    setting = v.setting if rng.random() < KNOWN_HEATER else "unknown"
    way = v.way if rng.random() < KNOWN_WAY else "unknown"
    air = round(v.noted_ambient)
    vehicle = [*_one_of(v.size, list(SIZES)), float(v.body.inlet), air / 10.0, (gauge[0] - air) / 3.0]
    six = [*vehicle, *_one_of(setting, SETTINGS), *_one_of(way, [*WAYS, "unknown"]), end / 600.0, _scaled(gauge[end])]
    log = [*vehicle, *_one_of(v.setting, SETTINGS), end / 600.0, *_of_log(v, found, gauge[: end + 1], fuel_told)]
    return {"log": np.array(log), "hands": np.array(log + _of_spots(spots, gauge, air)), "six": np.array(six)}


def _one_of(word: str, words: Sequence[str]) -> list[float]:
    return [float(word == each) for each in words]


def _scaled(T: Any) -> Any:
    return (T - 70.0) / 20.0


def _of_log(v: Set, found: dict[str, Array], gauge: Array, fuel_told: bool) -> list[float]:
    """The curve minute by minute, how it scatters, what was asked of the vehicle."""
    end = len(gauge) - 1
    at = np.minimum((60.0 * MINUTES).astype(int), end)
    speed = v.trip.speed[: end + 1]
    warm = np.arange(end + 1) > 0.6 * end
    stands, runs = warm & (speed < 0.5), warm & (speed > 15.0)
    middle = float(np.median(gauge[warm]))
    by_speed = [float(gauge[which].mean() - middle) / 5.0 if which.any() else 0.0 for which in (stands, runs)]
    steps = np.abs(np.diff(gauge[::2]))
    shape = [gauge.max(), gauge[warm].max(), gauge[warm].min(), middle, gauge[-1]]
    passed = [float(np.argmax(gauge >= T)) / 300.0 if gauge.max() >= T else 5.0 for T in (50, 60, 70, 80)]
    scatter = [float(gauge[warm].std()) / 3.0, float(np.log1p(steps.max())), float((steps > 8).sum())]
    parts = [slice(i, i + WINDOW) for i in range(0, 6 * WINDOW, WINDOW)]
    driven = [float(speed[part].mean()) / 15.0 if len(speed[part]) else 0.0 for part in parts]
    fuel = found["fuel"][: end + 1]
    burnt = [float(fuel[part].mean()) * fuel_told if len(fuel[part]) else 0.0 for part in parts]
    return [
        *_scaled(gauge[at]),
        *_scaled(np.array(shape)),
        *by_speed,
        *passed,
        *scatter,
        *driven,
        float(fuel_told),
        *burnt,
    ]


def _of_spots(spots: Sequence[dict[str, str]], gauge: Array, air: float) -> list[float]:
    """Each place read: over the air, below the gauge, and as a share of both."""
    read = {spot["what"]: spot for spot in spots}
    found: list[float] = [float(spots[0]["at"].split()[0]) / 5.0]
    for place in PLACES:
        if place not in read:
            found += [0.0, 0.0, 0.0]
            continue
        T = float(read[place]["value"].split()[0])
        there = float(gauge[min(round(60.0 * float(read[place]["at"].split()[0])), len(gauge) - 1)])
        found += [(T - air) / 40.0, (there - T) / 20.0, (T - air) / max(there - air, 10.0)]
    inlet, outlet = (float(read[f"heater_{end}_hose"]["value"].split()[0]) for end in ("inlet", "outlet"))
    return [*found, (inlet - outlet) / 20.0, (inlet - outlet) / max(inlet - air, 10.0)]


def many_told(vehicles: int, seed: int) -> tuple[dict[str, Array], Array]:
    """What is told of so many vehicles by stage, (vehicles, numbers), and the numbers of their causes."""
    rng = np.random.default_rng([seed, 97])
    rows: dict[str, list[Array]] = {stage: [] for stage in STAGES}
    truths = []
    while len(truths) < vehicles:
        sets = [set_out(rng) for _ in range(min(SIZE, vehicles - len(truths)))]
        found = ran_together(sets, rng)
        for i, v in enumerate(sets):
            own = {name: series[: len(v.trip.speed), i] for name, series in found.items()}
            for stage, numbers in told(v, own, rng).items():
                rows[stage].append(numbers)
            truths.append(KEYS.index(v.truth))
        sys.stderr.write(f"{len(truths)} vehicles\n")
    return {stage: np.array(rows[stage]) for stage in STAGES}, np.array(truths)


class Net:
    """Two hidden layers, log odds out; the mean of a few of them is the judge."""

    def __init__(self, X: Array, y: Array, seed: int, rounds: int = ROUNDS) -> None:
        rng = np.random.default_rng([seed, 11])
        self.mean, self.scale = X.mean(0), X.std(0) + 1e-6
        sizes = (X.shape[1], HIDDEN, HIDDEN, len(KEYS))
        self.W = [rng.normal(0.0, np.sqrt(2.0 / a), (a, b)) for a, b in pairwise(sizes)]
        self.c = [np.zeros(b) for b in sizes[1:]]
        self.c[-1] = np.log(RATES)
        self.W[-1] *= 0.1
        self._fit((X - self.mean) / self.scale, y, rng, rounds)

    def _fit(self, X: Array, y: Array, rng: np.random.Generator, rounds: int) -> None:
        """Adam on the log score, its step falling to nothing, with a little decay of the weights."""
        all_of = [*self.W, *self.c]
        m, s = [np.zeros_like(p) for p in all_of], [np.zeros_like(p) for p in all_of]
        step, steps = 0, rounds * (len(X) // BATCH)
        for _ in range(rounds):
            order = rng.permutation(len(X))
            for i in range(0, len(X) - BATCH + 1, BATCH):
                step += 1
                which = order[i : i + BATCH]
                grads = self._slopes(X[which], y[which], rng)
                rate = RATE * 0.5 * (1.0 + np.cos(np.pi * step / steps))
                for p, g, mean, square in zip(all_of, grads, m, s, strict=True):
                    mean += 0.1 * (g - mean)  # noqa: PLW2901  each in its place
                    square += 0.001 * (g * g - square)  # noqa: PLW2901
                    along = mean / (1.0 - 0.9**step) / (np.sqrt(square / (1.0 - 0.999**step)) + 1e-8)
                    p -= rate * (along + DECAY * p)  # noqa: PLW2901

    def _slopes(self, X: Array, y: Array, rng: np.random.Generator) -> list[Array]:
        kept = [X]
        masks = []
        for W, c in zip(self.W[:-1], self.c[:-1], strict=True):
            drop = (rng.random((len(X), W.shape[1])) > LEFT_OUT) / (1.0 - LEFT_OUT)
            before = kept[-1] @ W + c
            masks.append(drop * (before > 0.0))
            kept.append(before * masks[-1])
        back = _softmax(kept[-1] @ self.W[-1] + self.c[-1])
        back[np.arange(len(y)), y] -= 1.0
        back /= len(y)
        of_W, of_c = [], []
        for k in range(len(self.W) - 1, -1, -1):
            of_W.append(kept[k].T @ back)
            of_c.append(back.sum(0))
            if k:
                back = (back @ self.W[k].T) * masks[k - 1]
        return [*of_W[::-1], *of_c[::-1]]

    def odds(self, X: Array) -> Array:
        """(vehicles, causes)"""
        y = (X - self.mean) / self.scale
        for W, c in zip(self.W[:-1], self.c[:-1], strict=True):
            y = np.maximum(y @ W + c, 0.0)
        return _softmax(y @ self.W[-1] + self.c[-1])


def _softmax(z: Array) -> Array:
    e = np.exp(z - z.max(1, keepdims=True))
    return np.asarray(e / e.sum(1, keepdims=True))


def learned(X: Array, y: Array, nets: int = NETS) -> list[Net]:
    """Some nets that differ by where they began."""
    return [Net(X, y, seed) for seed in range(nets)]


def judged(nets: Sequence[Net], X: Array) -> Array:
    """The mean odds of some nets."""
    return np.asarray(np.mean([net.odds(X) for net in nets], axis=0))


def bits(p: Array, y: Array) -> Array:
    """Bits by which the true cause's odds rose over its rate."""
    return np.asarray(np.log2(np.maximum(p[np.arange(len(y)), y], 1e-6) / RATES[y]))


def told_of_seed(seed: int) -> tuple[dict[str, Array], int]:
    """What is told of the vehicle of a seed: the very one that ``study.py`` judges."""
    rng = np.random.default_rng([seed, 83])
    v = set_out(rng)
    return told(v, ran(v.body, v.broken, v.trip, rng), rng), KEYS.index(v.truth)


def beside_the_program(nets: dict[str, list[Net]], path: Path) -> list[str]:
    """Table by stage and cause: bits gained by the program and by this judge on the same vehicles."""
    rows = list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))
    seeds = sorted({int(r["seed"]) for r in rows})
    seen = [told_of_seed(seed) for seed in seeds]
    y = np.array([truth for _, truth in seen])
    theirs = {s: bits(judged(nets[s], np.array([x[s] for x, _ in seen])), y) for s in STAGES}
    ours = {}
    for s in STAGES:
        of = {
            int(r["seed"]): np.log2(max(float(r["p_true"]), 1e-6) / float(r["rate"])) for r in rows if r["stage"] == s
        }
        ours[s] = np.array([of[seed] for seed in seeds])
    lines = ["| cause | vehicles | " + " | ".join(f"{s}: program, knowing judge, difference" for s in STAGES) + " |"]
    lines.append("| --- | --- | --- | --- | --- |")
    for i, key in [(None, "all"), *enumerate(KEYS)]:
        which = np.full(len(y), True) if i is None else y == i
        if which.any():
            cells = [_beside(ours[s][which], theirs[s][which]) for s in STAGES]
            lines.append(f"| {key} | {int(which.sum())} | " + " | ".join(cells) + " |")
    return lines


def _beside(a: Array, b: Array) -> str:
    less = b - a
    error = f" ± {less.std(ddof=1) / np.sqrt(len(less)):.2f}" if len(less) > 1 else ""
    return f"{a.mean():.2f}, {b.mean():.2f}, {less.mean():+.2f}{error}"


def _say(*lines: str) -> None:
    sys.stdout.write("\n".join(lines) + "\n")
    sys.stdout.flush()


def main() -> None:
    """Learn, and print what a knowing judge gains."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--vehicles", type=int, default=24000)
    parser.add_argument("--rows", type=Path)
    o = parser.parse_args()
    X, y = many_told(o.vehicles, 1)
    fresh, truth = many_told(max(o.vehicles // 6, 300), 2)
    nets = {}
    _say("| evidence | vehicles learned from | bits gained on fresh vehicles | promised |", "| --- | --- | --- | --- |")
    for stage in STAGES:
        for share in (4, 2, 1):
            some = len(y) // share
            nets[stage] = learned(X[stage][:some], y[:some])
            p = judged(nets[stage], fresh[stage])
            gained = bits(p, truth)
            promised = (p * np.log2(np.maximum(p, 1e-12) / RATES)).sum(1).mean()
            error = gained.std(ddof=1) / np.sqrt(len(gained))
            _say(f"| {stage} | {some} | {gained.mean():.3f} ± {error:.3f} | {promised:.3f} |")
        by = [f"{key} {bits(p, truth)[truth == i].mean():+.2f}" for i, key in enumerate(KEYS) if (truth == i).any()]
        _say(f"{stage}, by cause: " + ", ".join(by))
    if o.rows is not None:
        _say(*beside_the_program(nets, o.rows))


if __name__ == "__main__":
    main()
