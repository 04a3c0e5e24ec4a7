"""The air in a step of the warm-up: what the fan and an active shutter do, and how much air passes as warm as it is."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import numpy as np

from engcalc.components.fan import AVERAGED_SHARE, CLUTCH_LEAST, FanDrive
from engcalc.system.airflow import SHUTTER_NODES
from engcalc.system.arithmetic import Arithmetic, Value
from engcalc.system.drive import Drive
from engcalc.system.lumps import AirTable
from engcalc.system.plant import Plant
from engcalc.units import Array

_TINY = 1e-9
_LEAST_UA = 1e-9  # W/K, of air that stands


class AirSteps:
    """The part of a run of the warm-up that moves the air; its numbers and state are set there (see ``warmup``)."""

    plant: Plant
    drive: Drive
    members: int
    f: Arithmetic
    air: AirTable
    C_air: Any  # W/K, by node of speed, warmth and engagement
    UA_air: Any  # W/K
    recirculation: Any  # -
    air_steps: list[tuple[list[list[float]], list[list[float]], float]] | None  # of one member
    T: Value
    on: Value  # K
    off: Value
    high_on: Value
    high_off: Value
    low_speed: Value  # -
    fan_least: Value  # -
    shutter: tuple[Value, Value, Value] | None
    engagement: Value
    behind_felt: Value  # K, air behind the core as a clutch feels it
    thin: Value  # -, where the air stands between not warmed and warmed
    drawn: Value  # -, share of its flow that only its warmth makes

    def _air(self, table: Array) -> Any:
        return table[..., 0].tolist() if self.members == 1 else table

    def _air_steps(self) -> list[tuple[list[list[float]], list[list[float]], float]]:
        """C and UA, not warmed and warmed at each engagement, and recirculation of every step, for one member."""
        i, w = self.air.index, self.air.weight
        above = np.minimum(i + 1, len(self.air.C) - 1)
        tables = (self.air.C[..., 0], self.air.UA[..., 0], self.air.recirculation[..., 0])
        C, UA, r = (t[i] + w.reshape(-1, *(1,) * (t.ndim - 1)) * (t[above] - t[i]) for t in tables)
        return list(zip(C.tolist(), UA.tolist(), r.tolist(), strict=True))

    def _air_now(self, k: int) -> tuple[Value, Value, Value]:
        """C, UA and recirculation of the air in step k at the engagement, and as warm behind the core, as of now."""
        if self.air_steps is not None:
            C, UA, r = self.air_steps[k]
            return self._air_of(C, UA, r)
        i, w = int(self.air.index[k]), float(self.air.weight[k])

        def here(table: Any) -> Any:
            return table[i] if w == 0.0 else table[i] + w * (table[i + 1] - table[i])

        return self._air_of(here(self.C_air), here(self.UA_air), here(self.recirculation))

    def _air_of(self, C: Any, UA: Any, r: Value) -> tuple[Value, Value, Value]:
        cold, hot = self._flowing(C)
        UA_cold, UA_hot = self._flowing(UA)
        self.drawn = self.f.most(1.0 - cold / (hot + _TINY), 0.0)
        # a fan turned round against the ram leaves so little air that the line runs below none of it
        return (
            self.f.most(cold + self.thin * (hot - cold), 0.0),
            self.f.most(UA_cold + self.thin * (UA_hot - UA_cold), _LEAST_UA),
            r,
        )

    def _flowing(self, table: Any) -> tuple[Value, Value]:
        """A table of the air at the engagement, and the opening of an active shutter, of now: not warmed and warmed."""
        if self.shutter is None:
            return self._engaged(table[0], self.engagement), self._engaged(table[1], self.engagement)
        begins, per_span, least = self.shutter
        opened = self.f.most(self.f.least(self.f.most((self.T - begins) * per_span, 0.0), 1.0), least)
        found: list[Value] = []
        for warmth in (0, 1):
            rows = [self._engaged(node[warmth], self.engagement) for node in table]
            total = rows[0]
            for (a, b), (below, above) in zip(pairwise(SHUTTER_NODES), pairwise(rows), strict=True):
                total = total + self._along(opened, a, b - a) * (above - below)
            found.append(total)
        return found[0], found[1]

    def _engaged(self, nodes: Any, e: Value) -> Value:
        count = len(nodes)
        if count == 1:
            return nodes[0]
        if count == 2:
            return nodes[0] + e * (nodes[1] - nodes[0])
        total = nodes[0]
        for j in range(count - 1):
            share = self.f.least(self.f.most(e * (count - 1) - j, 0.0), 1.0)
            total = total + share * (nodes[j + 1] - nodes[j])
        return total

    def _fan(self) -> None:
        fan, f = self.plant.airway.fan, self.f
        if self.drive.fan_mode != 0.0 or fan.drive in (FanDrive.FIXED, FanDrive.NONE):
            return
        if fan.drive.switches and not fan.averaged:
            runs_on = f.choose(self.off >= self.T, 0.0, f.choose(self.engagement > 0.0, 1.0, 0.0))
            runs = f.choose(self.on <= self.T, 1.0, runs_on)
            if fan.drive is FanDrive.TWO_STAGE:
                stays = f.choose(self.high_off >= self.T, 0.0, f.choose(self.engagement > self.low_speed, 1.0, 0.0))
                high = f.choose(self.high_on <= self.T, 1.0, stays)
                runs = f.most(high, self.low_speed * runs)
            self.engagement = f.most(runs, self.fan_least)
            return
        least = self.fan_least
        if fan.drive is FanDrive.VISCOUS:
            T = self.behind_felt if fan.senses_air else self.T
            share = self._along(T, self.off, f.most(self.on - self.off, 1.0))
            self.engagement = CLUTCH_LEAST + (1.0 - CLUTCH_LEAST) * share
        elif fan.drive is FanDrive.PWM:
            self.engagement = f.most(self._along(self.T, self.off, f.most(self.on - self.off, 1.0)), least)
        else:
            self.engagement = f.most(self._averaged(), least)

    def _along(self, T: Value, begins: Value, span: Value) -> Value:
        """How far a temperature has come from where something begins over a span, 0 to 1."""
        return self.f.least(self.f.most((T - begins) / span, 0.0), 1.0)

    def _averaged(self) -> Value:
        """Engagement in place of switching: each stage comes on by shares just over the middle of its band."""
        share = self._along(self.T, 0.5 * (self.on + self.off), AVERAGED_SHARE * self.f.most(self.on - self.off, 1.0))
        if self.plant.airway.fan.drive is FanDrive.ELECTRIC:
            return share
        more = self._along(
            self.T,
            0.5 * (self.high_on + self.high_off),
            AVERAGED_SHARE * self.f.most(self.high_on - self.high_off, 1.0),
        )
        return self.low_speed * share + (1.0 - self.low_speed) * more
