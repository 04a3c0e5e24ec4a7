"""What every point and problem of a bench is worked with: both fluids, and how the streams pass each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from engcalc.case.case import Case
from engcalc.case.sections.bench import BY_NAME, BY_PROPERTIES, Stream
from engcalc.components.two_streams import Passing, SizeFound, passed_share, size_for
from engcalc.properties.any_fluid import StatedFluid, StateOf, dry_air, mixture, named, oil
from engcalc.properties.coolant import Base
from engcalc.units import Array

MOST_FLUIDS = 32  # kept, so that a fluid stated alike is one and the same


@dataclass(frozen=True)
class BenchSetup:
    """Both fluids by their properties over temperature [K], the arrangement, and how many are in series.

    Two that are stated alike are equal, so that an answer can be kept by its setup.
    """

    hot: StateOf
    cold: StateOf
    passing: Passing
    passes: int

    def effectiveness(self, UA: Array, C_hot: Array, C_cold: Array) -> Array:
        """Effectiveness [-] at a conductance and two capacity rates [W/K]."""
        C_min = np.minimum(C_hot, C_cold)
        C_max = np.maximum(C_hot, C_cold)
        return passed_share(UA / C_min, C_min / C_max, self.passing, C_hot <= C_cold, self.passes)

    def size(self, eps: Array, C_hot: Array, C_cold: Array) -> SizeFound:
        """NTU [-] that an effectiveness [-] asks for."""
        C_min = np.minimum(C_hot, C_cold)
        C_max = np.maximum(C_hot, C_cold)
        return size_for(eps, C_min / C_max, self.passing, C_hot <= C_cold, self.passes)


def setup_of_bench(case: Case) -> BenchSetup:
    """The setup that a case states; fluids and arrangement must be there (:mod:`engcalc.case.bench_rules`)."""
    return BenchSetup(
        _state_of(case.hot_stream),
        _state_of(case.cold_stream),
        Passing(str(case.exchanger.arrangement)),
        max(1, round(float(case.exchanger.passes[0]))),
    )


def _state_of(stream: Stream) -> StateOf:
    rho = stream.density
    cp = stream.specific_heat
    return _fluid(
        str(stream.fluid),
        str(stream.substance),
        float(stream.pressure[0]),
        float(stream.concentration[0]),
        0.0 if rho is None else float(rho[0]),
        0.0 if cp is None else float(cp[0]),
    )


@lru_cache(maxsize=MOST_FLUIDS)
def _fluid(fluid: str, substance: str, pressure: float, concentration: float, rho: float, cp: float) -> StateOf:
    """Properties of a fluid as it is stated: Pa, glycol by volume [-], kg/m3, J/(kg K)."""
    if fluid == BY_NAME:
        return named(substance, pressure)
    if fluid == BY_PROPERTIES:
        return StatedFluid(rho, cp)
    if fluid == "air":
        return dry_air(pressure)
    if fluid == "engine oil":
        return oil
    return mixture(Base(fluid), concentration)


def stated_by_volume(case: Case, path: str) -> set[str]:
    """Which flows of a point or problem were given by volume; they count as they enter."""
    kinds: Mapping[str, str | None] = {
        name: case.given[f"{path}.{name}"].kind if f"{path}.{name}" in case.given else None
        for name in ("hot_flow", "cold_flow")
    }
    return {name for name, kind in kinds.items() if kind not in (None, "mass flow")}
