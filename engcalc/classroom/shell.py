"""An exchanger of one shell pass and two tube passes, by the temperatures along its tubes.

No core of a vehicle is built so, hence the engine has none. Here it is worked from the heat balances of shell and tube
passes, so that the formula on the board has another road beside it.
"""

from __future__ import annotations

import math


def shell_effectiveness(NTU: float, C_r: float) -> float:
    """Effectiveness [-] at NTU > 0 and C_r in 0..1, the shell being the larger stream.

    z runs along the shell from its inlet, temperatures are shares of the difference of the inlets: shell S, tubes
    with it a, tubes against it b, each with half of the conductance:

        a' = N/2 (S - a),   b' = -N/2 (S - b),   S' = -C_r N theta,   theta = S - (a + b)/2,   D = a - b

    so that D' = N theta and theta'' + N C_r theta' - (N/2)^2 theta = 0. The tubes turn at z = 1, where D = 0.
    """
    rate = NTU * C_r
    root = math.sqrt(rate**2 + NTU**2)
    first, second = (
        (-rate + root) / 2.0,
        (-rate - root) / 2.0,
    )  # theta = e^(first z) + share e^(second z), but for scale
    share = -(first + rate) / (second + rate) * math.exp(first - second)  # theta' = -rate theta where D = 0
    gain = NTU * (math.expm1(first) / first + share * math.expm1(second) / second)  # of the tubes: N integral of theta
    start = 1.0 + share  # theta at z = 0, which is 1 - gain/2 in shares of the inlet difference
    return gain / (start + gain / 2.0)


def shell_size(effectiveness: float, C_r: float) -> float:
    """NTU [-] that an effectiveness asks for, by halving in ln NTU; NTU up to 50."""
    low = math.log(1e-4)
    high = math.log(50.0)
    for _ in range(80):
        middle = (low + high) / 2.0
        if shell_effectiveness(math.exp(middle), C_r) < effectiveness:
            low = middle
        else:
            high = middle
    return math.exp((low + high) / 2.0)
