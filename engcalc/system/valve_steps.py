"""The valve in a step of the warm-up: its lift half a step ahead, and how its wax warms.

The wax of a valve at the pump's inlet feels what the valve itself mixes. With the wax as it was, such a valve hunts
wherever the radiator's return is icy: a lift of one per cent cools what it feels by several kelvins. So lift and wax
half a step ahead are found together, and what the wax has felt in the step counts with how fast that follows the wax.
One at the outlet feels the engine's coolant, which follows the lift more slowly: there a lift that is foreseen from how
the coolant warms, and moves by so much less as its own move would cool the coolant within the step, hunts no more.
"""

from __future__ import annotations

from engcalc.system.arithmetic import Arithmetic, Value

_STILL = 1e-15  # m3/s; of the engine's coolant, that a wax feels where nothing flows
_TINY = 1e-9


class ValveSteps:
    """The part of a run of the warm-up that moves the valve; its numbers and state are set there (see ``warmup``)."""

    f: Arithmetic
    h: float  # s, half a step
    has_valve: bool
    feels_return: bool  # the wax sits at the pump's inlet
    closes: bool  # the bypass, as the valve opens
    lag: Value  # s, time constant of the wax and half a step
    pull: Value  # -, half a step over the time constant
    settled: Value  # -, 1/(1 + pull)
    start_open: Value  # K
    per_span: Value  # 1/K
    play: Value  # -
    leak: Value
    leak_rest: Value  # -, 1 - leak
    low: Value  # -, least lift
    high: Value
    rho: Value
    valve: Value  # Pa s2/m6, four times the open valve's inertial resistance
    viscous: list[Value]  # Pa s/m3: radiator, heater, bypass
    inertial: list[Value]  # four times, as the valve
    squares: list[Value]
    pressure: Value
    head_before: Value
    flow_h: Value
    T: Value
    T_core: Value
    T_feed: Value  # K, what the wax felt in the last step
    T_return: Value  # K, out of the lower hose
    wax: Value
    wax_ahead: Value  # K, half a step ahead
    opening: Value
    states_flow: bool  # some member's flow is given in place of pump and network
    is_stated: Value  # whether it is this member's
    stated: Value  # m3/s, that flow: through the radiator with the valve open; 0 where none is given
    stated_heater: Value  # m3/s
    valve_share: Value  # -, of the open valve in the resistance of its branch
    follows: Value  # 1/K, lift by wax where the valve moves
    answers: Value  # -, by how much less the wax asks for as the lift moves by 1, for a wax at the outlet

    def moved_valve(self, head: Value) -> tuple[Value, Value]:
        """Lift half a step ahead by the play operator; passages of valve and bypass."""
        f = self.f
        if self.feels_return:
            self.opening = self._lift_at_return(head)
        elif self.has_valve:
            self.opening = self._lift_at_outlet()
        passage = f.most(self.leak + self.leak_rest * self.opening, 1e-6)
        return passage, f.most(1.0 - self.opening, 1e-6) if self.closes else 1.0

    def _lift_at_outlet(self) -> Value:
        """Lift half a step ahead where the wax feels the engine's coolant.

        The wax asks for ``warming`` on the branch that opens and for as much as the play more at most.
        """
        f, before = self.f, self.opening
        warming = (self.wax_ahead - self.start_open) * self.per_span
        moved = before + (f.least(f.most(before, warming), warming + self.play) - before) / (1.0 + self.answers)
        return f.least(f.most(moved, self.low), self.high)

    def _lift_at_return(self, head: Value) -> Value:
        """Lift half a step ahead where the wax feels what its own valve mixes.

        The temperatures of the streams are those of the step before: with V_r = k passage of the radiator and a bypass
        that shuts by the lift x,

            w = (wax + h/lag (n0 + n1 x)/(d0 + d1 x))/(1 + h/lag),   w = start + span x on the branch that opens

        which is a quadratic for x. The k hardly depends on x and is taken twice.
        """
        f, before = self.f, self.opening
        P = self.pressure * (head * self.rho + 1e-12) / self.head_before
        V_b = 2.0 * P / (self.viscous[2] + f.sqrt(self.squares[2] + self.inertial[2] * P))
        k = self._per_passage(P, before)
        rest_flow, rest_heat, shuts = self._beside(V_b, k)
        V_r, shut = k * (self.leak + self.leak_rest * before), shuts * before
        feed = (V_r * self.T_return + rest_heat - shut * self.T) / (V_r + rest_flow - shut)
        warming = ((self.wax + self.pull * feed) * self.settled - self.start_open) * self.per_span
        opens = warming > before
        sticks = f.choose(opens, -1.0, warming + self.play) >= before
        start = f.choose(opens, self.start_open, self.start_open - self.play / self.per_span)
        c, slope = start / self.settled - self.wax, 1.0 / (self.settled * self.per_span)
        x = moved = before
        for _ in range(2):
            leak, rest = k * self.leak, k * self.leak_rest
            d0, d1 = leak + rest_flow, rest - shuts
            n0, n1 = leak * self.T_return + rest_heat, rest * self.T_return - shuts * self.T
            q0, q1, q2 = c * d0 - self.pull * n0, slope * d0 + c * d1 - self.pull * n1, slope * d1
            x = -2.0 * q0 / (q1 + f.sqrt(f.most(q1 * q1 - 4.0 * q2 * q0, 0.0)))
            moved = f.least(f.most(x, self.low), self.high)
            k = self._per_passage(P, moved)
            if self.states_flow:
                rest_flow, rest_heat, shuts = self._beside(V_b, k)
        self.wax_ahead = start + moved / self.per_span
        self.follows = f.choose(sticks, 0.0, f.choose(x == moved, self.per_span, 0.0))
        return f.choose(sticks, before, moved)

    def _beside(self, V_b: Value, k: Value) -> tuple[Value, Value, Value]:
        """What comes to the wax beside the radiator's stream while the valve is shut, and how it falls with the lift.

        Flow [m3/s], flow times temperature [m3 K/s], fall of the bypass [m3/s] by a lift of 1. Of a stated flow the
        bypass takes what the valve holds back; ``k`` [m3/s] is the radiator's flow over the valve's passage.
        """
        V_h, shuts = self.flow_h, V_b if self.closes else 0.0
        if self.states_flow:
            V_b = self.f.choose(self.is_stated, self.stated - k * self.leak, V_b)
            shuts = self.f.choose(self.is_stated, k * self.leak_rest, shuts)
        return V_h + V_b + _STILL, V_h * self.T_core + (V_b + _STILL) * self.T, shuts

    def _per_passage(self, P: Value, opening: Value) -> Value:
        """Flow through the radiator's branch [m3/s] over the valve's passage, at a branch pressure [Pa]."""
        f, passage = self.f, self.f.most(self.leak + self.leak_rest * opening, 1e-6)
        B = self.inertial[0] * passage * passage + self.valve
        A = self.viscous[0] * passage
        by_network = 2.0 * P / (A + f.sqrt(A * A + B * P))
        if not self.states_flow:
            return by_network
        share = self.valve_share
        return f.choose(self.is_stated, self.stated / f.sqrt((1.0 - share) * passage * passage + share), by_network)

    def stated_flows(self, passage: Value, network: tuple[Value, Value, Value]) -> tuple[Value, Value, Value]:
        """Flows of radiator, heater and bypass [m3/s] as a duty states them; the network's where none is stated."""
        f, share = self.f, self.valve_share
        through = self.stated / f.sqrt(1.0 - share + share / (passage * passage))
        stated = through, self.stated_heater, self.stated - through
        r, h, b = (f.choose(self.is_stated, own, other) for own, other in zip(stated, network, strict=True))
        return r, h, b

    def follow(self, V_r: Value, C_r: Value, C_b: Value, passage: Value, other: Value) -> None:
        """Rates [W/K2] at which the streams of radiator and bypass follow the wax, at the branch pressure of now."""
        self.opens = self.follows * self.by_lift(V_r, C_r, passage)
        self.shuts = self.follows * C_b / other if self.closes else self.follows * 0.0
        if self.states_flow:  # what the radiator gains the bypass loses
            self.shuts = self.f.choose(self.is_stated, self.opens, self.shuts)

    def by_lift(self, V_r: Value, C_r: Value, passage: Value) -> Value:
        """How fast the radiator's stream [W/K] grows with the lift, at the branch pressure of now.

        A V + B V^2 = P in its branch, B of the valve as 1/passage^2: dV/dpassage = V^2 b/passage^3/(A + 2 B V).
        A stated flow F gives V = F/sqrt(1 - s + s/passage^2) at the valve's share s: dV/dpassage = V^3/F^2 s/passage^3.
        """
        B = self.inertial[0] + self.valve / (passage * passage)  # four times the B above, as in the flows
        bend = passage * passage * passage * (self.viscous[0] + 0.5 * B * V_r) + _TINY
        by_network = self.leak_rest * C_r * V_r * (0.5 * self.valve) / bend
        if not self.states_flow:
            return by_network
        part = V_r / (self.stated + _TINY * _TINY)
        stated = self.leak_rest * C_r * part * part * self.valve_share / (passage * passage * passage)
        return self.f.choose(self.is_stated, stated, by_network)

    def warm_wax(self, feed: Value, cools: Value) -> None:
        """Warm the wax by the engine's coolant in the step [K]; ``cools`` [K]: that by a lift of 1 within the step.

        It is foreseen to go on warming as it did in the last half of the step.
        """
        self.wax = self.wax + 2.0 * self.h * (feed - self.wax) / self.lag
        self.wax_ahead = (self.wax + self.pull * (2.0 * self.T - feed)) * self.settled
        self.answers = self.pull * self.settled * self.per_span * self.f.most(cools, 0.0)

    def look_ahead(self, longer: Value) -> None:
        """Half a step ahead anew, as steps of another length follow: ``longer`` [-] times the ones before."""
        self.wax_ahead = (self.wax + self.pull * (self.T + longer * (self.T - self.T_feed))) * self.settled

    def warm_wax_at_return(self, T: Value, feed: Value, C_r: Value, C_h: Value, C_b: Value) -> None:
        """The same for a mixture ``feed`` [K], as far as that follows the wax."""
        back = self.opens * (self.T_return - feed) - self.shuts * (T - feed)
        slope = self.f.least(back / (C_r + C_h + C_b + _TINY), 0.0)
        felt = feed - self.wax - slope * (self.wax_ahead - self.wax)
        self.wax = self.wax + 2.0 * self.h * felt / (self.lag - self.h * slope)
