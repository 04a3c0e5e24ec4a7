"""Fluids of a bench: engine oil by its table, a substance by name against published values, stated properties."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from engcalc.errors import RangeError
from engcalc.properties.any_fluid import StatedFluid, dry_air, mixture, named, oil
from engcalc.properties.coolant import Base

# Incropera et al., Table A.5, Prandtl numbers of engine oil as printed, from memory; to their digits
PRANDTL_OF_OIL = {300.0: 6400.0, 330.0: 1205.0, 350.0: 546.0, 380.0: 233.0, 400.0: 152.0}


@pytest.mark.parametrize(("T", "printed"), PRANDTL_OF_OIL.items())
def test_prandtl_number_of_oil(T, printed):
    assert oil(np.array([T])).Pr[0] == pytest.approx(printed, rel=0.01)


def test_oil_between_two_rows_lies_between_them():
    low, middle, high = (oil(np.array([T])) for T in (320.0, 326.0, 330.0))
    assert high.mu[0] < middle.mu[0] < low.mu[0]
    assert middle.cp[0] == pytest.approx(1993.0 + 0.6 * 42.0)


def test_a_named_substance_against_the_standard():
    """Water by name: IAPWS R7-97, Table 5: at 300 K and 3 MPa v = 0.100215168e-2 m3/kg, cp = 4.17301218 kJ/(kg K)."""
    water = named("Water", 3.0e6)(np.array([300.0]))
    assert water.rho[0] == pytest.approx(1.0 / 0.100215168e-2, rel=1e-4)
    assert water.cp[0] == pytest.approx(4173.01218, rel=1e-3)


@pytest.mark.parametrize("name", ["Nosuchfluid", "Water/Nonsense"])
def test_a_name_that_nobody_knows_is_refused(name):
    with pytest.raises(RangeError, match=name):
        named(name, 101325.0)(np.array([300.0]))


def test_coolprop_is_imported_only_when_asked_for():
    code = (
        "import sys; import engcalc.studies.bench.check; from engcalc.properties.any_fluid import oil, dry_air;"
        "import numpy as np; oil(np.array([320.0])); dry_air(1e5)(np.array([300.0]));"
        "sys.exit('CoolProp' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_stated_properties_are_the_same_at_every_temperature():
    stated = StatedFluid(870.0, 2100.0)(np.array([300.0, 350.0]))
    assert stated.cp.tolist() == [2100.0, 2100.0]
    assert stated.rho.tolist() == [870.0, 870.0]


def test_air_follows_its_pressure_and_glycol_its_share():
    T = np.array([300.0])
    assert dry_air(2.0e5)(T).rho[0] == pytest.approx(2.0 * dry_air(1.0e5)(T).rho[0])
    assert mixture(Base.ETHYLENE, 0.5)(T).cp[0] < mixture(Base.WATER, 0.0)(T).cp[0]
