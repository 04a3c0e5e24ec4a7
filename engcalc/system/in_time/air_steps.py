"""The air in a step of the warm-up: what the fan and an active shutter do, and how much air passes as warm as it is."""

from __future__ import annotations

from itertools import pairwise
from typing import Any, NamedTuple

from engcalc.components.fan import AVERAGED_SHARE, CLUTCH_LEAST, FanDrive
from engcalc.system.airflow import SHUTTER_NODES
from engcalc.system.arithmetic import Arithmetic, Value
from engcalc.system.in_time.step_fixed import FixedForRun
from engcalc.system.in_time.step_state import State
from engcalc.units import Array

_TINY = 1e-9
_LEAST_UA = 1e-9  # W/K, of air that stands


class AirNow(NamedTuple):
    """The air through the core in a step."""

    C: Value  # W/K
    UA: Value  # W/K, air film and fins
    recirculation: Value  # -
    drawn: Value  # -, share of its flow that only its warmth makes


def air_now(fixed: FixedForRun, state: State, k: int) -> AirNow:
    """The air in step k at the engagement, and as warm behind the core, as of now."""
    f = fixed.f
    air = fixed.air
    thin = state.thin
    engagement = state.engagement
    r: Value
    if air.steps is not None:
        C_nodes, UA_nodes, r = air.steps[k]
    else:
        both, r = _in_step(fixed, k)
        C_nodes, UA_nodes = both
    if fixed.fan.shutter is not None:
        shares = _shares(f, engagement, len(C_nodes[0][0]))
        C_cold, C_hot = _shuttered(fixed, state, C_nodes, shares)
        UA_cold, UA_hot = _shuttered(fixed, state, UA_nodes, shares)
    elif air.steps is not None:
        shares = _shares(f, engagement, len(C_nodes[0]))
        C_cold, C_hot = _flowing(C_nodes, shares)
        UA_cold, UA_hot = _flowing(UA_nodes, shares)
    else:  # all four at once: of few members each call costs more than its numbers
        by_engagement = both.transpose(2, 0, 1, 3)
        (C_cold, C_hot), (UA_cold, UA_hot) = _engaged(by_engagement, _shares(f, engagement, len(by_engagement)))
    drawn = f.most(1.0 - C_cold / (C_hot + _TINY), 0.0)
    # a fan turned round against the ram leaves so little air that the line runs below none of it
    C = f.most(C_cold + thin * (C_hot - C_cold), 0.0)
    UA = f.most(UA_cold + thin * (UA_hot - UA_cold), _LEAST_UA)
    return AirNow(C, UA, r, drawn)


def _in_step(fixed: FixedForRun, k: int) -> tuple[Array, Array]:
    """C and UA [W/K] below one another, by warmth and engagement, and recirculation [-], in step k."""
    now = fixed.run.joined([way.at(k) for way in fixed.air.ways])
    return now[:-1].reshape(2, *fixed.air.shape, -1), now[-1]


def _shares(f: Arithmetic, engagement: Value, count: int) -> list[Value]:
    """How far an engagement has come from each of so many nodes to the next, 0 to 1."""
    if count == 2:
        return [engagement]
    return [f.least(f.most(engagement * (count - 1) - j, 0.0), 1.0) for j in range(count - 1)]


def _engaged(nodes: Any, shares: list[Value]) -> Value:
    """Nodes of engagement as one, by straight lines between them."""
    total = below = nodes[0]
    for share, above in zip(shares, nodes[1:], strict=True):
        total = total + share * (above - below)
        below = above
    return total


def _flowing(nodes: Any, shares: list[Value]) -> tuple[Value, Value]:
    """The air at an engagement: not warmed and warmed."""
    return _engaged(nodes[0], shares), _engaged(nodes[1], shares)


def _shuttered(fixed: FixedForRun, state: State, table: Any, shares: list[Value]) -> tuple[Value, Value]:
    """The same behind an active shutter, which stands open by the coolant; the table has its openings first."""
    f = fixed.f
    shutter = fixed.fan.shutter
    assert shutter is not None
    begins, per_span, least = shutter
    opened = f.most(f.least(f.most((state.T - begins) * per_span, 0.0), 1.0), least)
    found: list[Value] = []
    for warmth in (0, 1):
        rows = [_engaged(node[warmth], shares) for node in table]
        total = rows[0]
        for (a, b), (below, above) in zip(pairwise(SHUTTER_NODES), pairwise(rows), strict=True):
            total = total + _along(f, opened, a, b - a) * (above - below)
        found.append(total)
    return found[0], found[1]


def move_fan(fixed: FixedForRun, state: State) -> None:
    """Set the fan's engagement by the temperature that it follows; one that is held stays."""
    f = fixed.f
    numbers = fixed.fan
    fan = fixed.run.plant.airway.fan
    if fixed.run.drive.fan_mode != 0.0 or fan.drive in (FanDrive.FIXED, FanDrive.NONE):
        return
    if fan.drive.switches and not fan.averaged:
        state.engagement = f.most(_switched(fixed, state), numbers.least)
        return
    band = f.most(numbers.on - numbers.off, 1.0)
    if fan.drive is FanDrive.VISCOUS:
        T = state.behind_felt if fan.senses_air else state.T
        state.engagement = CLUTCH_LEAST + (1.0 - CLUTCH_LEAST) * _along(f, T, numbers.off, band)
    elif fan.drive is FanDrive.PWM:
        state.engagement = f.most(_along(f, state.T, numbers.off, band), numbers.least)
    else:
        state.engagement = f.most(_averaged(fixed, state), numbers.least)


def _switched(fixed: FixedForRun, state: State) -> Value:
    """Engagement of a fan that switches: on over the one temperature, off under the other, between as it was."""
    f = fixed.f
    fan = fixed.fan
    T = state.T
    before = state.engagement
    runs_on = f.choose(fan.off >= T, 0.0, f.choose(before > 0.0, 1.0, 0.0))
    runs = f.choose(fan.on <= T, 1.0, runs_on)
    if fixed.run.plant.airway.fan.drive is not FanDrive.TWO_STAGE:
        return runs
    stays = f.choose(fan.high_off >= T, 0.0, f.choose(before > fan.low_speed, 1.0, 0.0))
    high = f.choose(fan.high_on <= T, 1.0, stays)
    return f.most(high, fan.low_speed * runs)


def _averaged(fixed: FixedForRun, state: State) -> Value:
    """Engagement in place of switching: each stage comes on by shares just over the middle of its band."""
    f = fixed.f
    fan = fixed.fan
    share = _over_middle(f, state.T, fan.on, fan.off)
    if fixed.run.plant.airway.fan.drive is FanDrive.ELECTRIC:
        return share
    more = _over_middle(f, state.T, fan.high_on, fan.high_off)
    return fan.low_speed * share + (1.0 - fan.low_speed) * more


def _over_middle(f: Arithmetic, T: Value, on: Value, off: Value) -> Value:
    return _along(f, T, 0.5 * (on + off), AVERAGED_SHARE * f.most(on - off, 1.0))


def _along(f: Arithmetic, T: Value, begins: Value, span: Value) -> Value:
    """How far a temperature has come from where something begins over a span, 0 to 1."""
    return f.least(f.most((T - begins) / span, 0.0), 1.0)
