"""Heat loss of the engine's surface in the wind of driving."""

from __future__ import annotations

import ht
import numpy as np
import pytest

from engcalc.components.surface import surface_growth


def test_standing_still_nothing_is_added() -> None:
    assert surface_growth(np.zeros(1)).tolist() == [1.0]


@pytest.mark.parametrize("speed", [5.0, 20.0, 36.0])
def test_in_the_wind_the_cubes_of_free_and_forced_convection_add(speed: float) -> None:
    """Issue 10, 5 m. Incropera et al., 7th ed., eq. 9.64 with n = 3; the plate by ht's Schlichting correlation.

    ht's is Nu = 0.037 Re^0.8 Pr/(1 + 2.443 Re^-0.1 (Pr^(2/3) - 1)), within 15 % of eq. 7.38 in air at these Re.
    """
    Re = 0.10 * speed * 0.4 / 19.0e-6
    plate = ht.Nu_external_horizontal_plate(Re=Re, Pr=0.70, Method="Schlichting") * 0.0285 / 0.4
    growth = float(surface_growth(np.full(1, speed))[0])
    forced = 9.0 * (growth**3 - 1.0) ** (1.0 / 3.0)
    assert forced == pytest.approx(plate, rel=0.15)


def test_numbers_of_the_docstring() -> None:
    assert surface_growth(np.array([50.0, 100.0]) / 3.6) == pytest.approx([1.2, 1.8], abs=0.05)
    assert np.all(np.diff(surface_growth(np.linspace(0.0, 60.0, 50))) > 0.0)
