"""Engine oil, unused: density, specific heat, viscosity and conductivity between 300 and 400 K at 1 atm.

Incropera et al., Fundamentals of Heat and Mass Transfer, Table A.5, from memory; each row's own Prandtl number,
mu cp/k, agrees with the one printed in the table within 1 %. Between the rows density, specific heat and conductivity
run straight, the logarithm of viscosity too.
"""

from __future__ import annotations

import numpy as np

from engcalc.properties.fluid import Fluid
from engcalc.units import Array

T_RANGE = (300.0, 400.0)  # K; ends of the table
_ROWS = np.array(  # K, kg/m3, J/(kg K), Pa s, W/(m K); Incropera et al., Table A.5, from memory
    [
        (300.0, 884.1, 1909.0, 48.6e-2, 0.145),
        (310.0, 877.9, 1951.0, 25.3e-2, 0.145),
        (320.0, 871.8, 1993.0, 14.1e-2, 0.143),
        (330.0, 865.8, 2035.0, 8.36e-2, 0.141),
        (340.0, 859.9, 2076.0, 5.31e-2, 0.139),
        (350.0, 853.9, 2118.0, 3.56e-2, 0.138),
        (360.0, 847.8, 2161.0, 2.52e-2, 0.138),
        (370.0, 841.8, 2206.0, 1.86e-2, 0.137),
        (380.0, 836.0, 2250.0, 1.41e-2, 0.136),
        (390.0, 830.6, 2294.0, 1.10e-2, 0.135),
        (400.0, 825.1, 2337.0, 0.874e-2, 0.134),
    ]
)


def oil_state(T: Array) -> Fluid:
    """The four properties at ``T`` [K]; beyond the table as at its end."""
    at = _ROWS[:, 0]
    columns = _ROWS[:, 1:].T
    rho, cp, k = (np.interp(T, at, columns[i]) for i in (0, 1, 3))
    return Fluid(rho, cp, k, np.exp(np.interp(T, at, np.log(columns[2]))))
