"""The single changes that sizing tries: what each is, which side of the system it helps, and the inputs that it sets.

Each makes a part about a fifth to a quarter better, or removes what stands in the way altogether, so that the gains of
unlike changes can be laid side by side. How large a step is worth its price is not known here: the gains are what is
computed, the choice is the person's.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from engcalc.case.case import Case
from engcalc.case.declare import Basis
from engcalc.case.whole import TUBE_GAP
from engcalc.studies.tables import CataloguePart
from engcalc.units import Array

BIGGER = 1.2  # -; dimensions of the core
STRONGER = 1.25  # -; flow of a fan or pump, areas of the openings
LESS_GLYCOL = 0.35  # -; by volume: the least glycol that still protects from about -20 degC; common practice, no source
WORTH_THINNING = 0.4  # -; from here on a thinner mixture is tried
COOLER_VALVE = 10.0  # K
HIGHER_CAP = 3.0e4  # Pa; one step of the trade's cap pressures; common practice, no source
LESS_POWER = 0.9  # -
SLOWER = 0.9  # -
LIGHTER_TRAILER = 0.75  # -
IN_THE_WAY = (
    "In this duty the fans drive no air, they stand in its way: what helps is the wider way through. Flaps in the "
    "shroud open one too."
)
PASSES_MOST = 3.0  # -; more are not tried


class SystemSide(StrEnum):
    """The side of the system that a change helps; the words of the command line."""

    AIR = "air side"
    COOLANT = "coolant side"
    AIRFLOW = "airflow"
    PUMP = "pump flow"
    HEAT = "heat load"
    CAP = "cap"
    VALVE = "valve"


@dataclass(frozen=True)
class DesignChange:
    """One change: a name in words, the side that it helps, the inputs that it sets, a caution that goes with it.

    ``driving``: the driver's doing, no part is changed. ``from_table``: it comes from the user's own table.
    """

    name: str
    side: SystemSide
    values: Mapping[str, Any]
    caution: str = ""
    driving: bool = False
    from_table: bool = False


def changes_for(
    case: Case, duty_index: int, core_side: SystemSide, valve_holds: bool, *, fans_help: bool = True
) -> tuple[DesignChange, ...]:
    """The generic changes that make sense for a case and the duty to be mended, whether or not they can be built.

    ``core_side`` is the side on which the core's films hold the heat back: a bigger core is counted there.
    ``valve_holds`` says that the valve is not fully open in this duty: only then a cooler one is tried. ``fans_help``
    says that the fans drive air in this duty; at speed they stand in its way, and what more of them gain says so. Where
    a flow is given nothing that only moves it is tried, and on a bench nothing of a vehicle.
    """
    duty = case.duties[duty_index]
    sources = [_core(case, core_side), _cleaning(case)]
    if duty.air_velocity is None:
        sources += [_fan(case, duty_index, fans_help), _airway(case), _ahead(case)]
    if duty.coolant_flow is None:
        sources.append(_pump(case))
    sources.append(_coolant(case))
    if case.vehicle.class_ != "bench rig":
        sources += [_heat(case, duty_index), _cap_and_valve(case, valve_holds)]
    return tuple(change for source in sources for change in source)


def table_changes(case: Case, parts: tuple[CataloguePart, ...]) -> tuple[DesignChange, ...]:
    """The parts of the user's tables as changes; a part counts for the side of most of its inputs."""
    each = ((part.name, part.values_in(case)) for part in parts)
    return tuple(DesignChange(name, _side_of(values), values, from_table=True) for name, values in each)


_SIDES = {
    "radiator": SystemSide.AIR,
    "airflow": SystemSide.AIRFLOW,
    "circuit": SystemSide.PUMP,
    "coolant": SystemSide.COOLANT,
    "thermostat": SystemSide.VALVE,
    "heater": SystemSide.COOLANT,
    "engine": SystemSide.HEAT,
}


def _side_of(values: Mapping[str, Any]) -> SystemSide:
    sections = [path.partition(".")[0] for path in values]
    return _SIDES[max(sections, key=sections.count)]


def _typed(case: Case, path: str) -> bool:
    return path in case.given and case.given[path].basis is not Basis.DERIVED


def _core(case: Case, side: SystemSide) -> Iterator[DesignChange]:
    r = case.radiator
    own_width = _typed(case, "radiator.tube_width")
    row = {"radiator.tube_rows": r.tube_rows + 1.0, "radiator.core_depth": r.core_depth + r.tube_width + TUBE_GAP}
    yield DesignChange("one more row of tubes, the core that much deeper", side, row)
    deeper = {"radiator.core_depth": BIGGER * r.core_depth}
    if own_width:
        deeper["radiator.tube_width"] = BIGGER * r.tube_width
    yield DesignChange("a core 20 % deeper", side, deeper)
    yield DesignChange("a core 20 % higher", side, {"radiator.core_height": BIGGER * r.core_height})
    yield DesignChange("a core 20 % wider", side, {"radiator.core_width": BIGGER * r.core_width})
    yield DesignChange(
        "20 % more fins to the inch",
        side,
        {"radiator.fin_pitch": r.fin_pitch / BIGGER},
        "Closer fins clog sooner with dirt and insects.",
    )


def _cleaning(case: Case) -> Iterator[DesignChange]:
    r = case.radiator
    if _any(r.blocked_face > 0.0):
        yield DesignChange("the radiator's face cleaned", SystemSide.AIRFLOW, {"radiator.blocked_face": _zero()})
    if _any(r.blocked_tubes > 0.0):
        yield DesignChange(
            "the blocked tubes cleared, or a new core of the same size",
            SystemSide.COOLANT,
            {"radiator.blocked_tubes": _zero()},
        )
    if _any(r.fouling > 0.0):
        yield DesignChange("the deposits in the tubes flushed out", SystemSide.COOLANT, {"radiator.fouling": _zero()})


def _fan(case: Case, duty_index: int, fans_help: bool) -> Iterator[DesignChange]:
    a = case.airflow
    if case.duties[duty_index].fan == "off":
        yield DesignChange("the fan running", SystemSide.AIRFLOW, {f"duties[{duty_index}].fan": "on"})
    if a.fan_drive == "none" or not _any(a.fan_count >= 1.0):
        yield DesignChange(
            "an electric fan of the usual size",
            SystemSide.AIRFLOW,
            {"airflow.fan_drive": "electric", "airflow.fan_count": np.maximum(a.fan_count, 1.0)},
        )
        return
    yield DesignChange(
        "one more fan of the same kind",
        SystemSide.AIRFLOW,
        {"airflow.fan_count": a.fan_count + 1.0},
        "" if fans_help else IN_THE_WAY,
    )
    yield DesignChange(
        "a fan of 25 % more flow",
        SystemSide.AIRFLOW,
        {
            "airflow.fan_free_flow": STRONGER * a.fan_free_flow,
            "airflow.fan_stall_pressure": STRONGER**2 * a.fan_stall_pressure,
        },
        "The same fan turned 25 % faster asks for twice the power." if fans_help else IN_THE_WAY,
    )


def _airway(case: Case) -> Iterator[DesignChange]:
    a = case.airflow
    if _any(a.shroud_coverage < 1.0):
        yield DesignChange("a shroud over the whole face", SystemSide.AIRFLOW, {"airflow.shroud_coverage": np.ones(1)})
    if a.seals == "missing":
        yield DesignChange(
            "the seals between grille and core put back", SystemSide.AIRFLOW, {"airflow.seals": "fitted"}
        )
    yield DesignChange(
        "a grille opening 25 % larger", SystemSide.AIRFLOW, {"airflow.opening_area": STRONGER * a.opening_area}
    )
    yield DesignChange(
        "25 % more room for the air to leave behind the core",
        SystemSide.AIRFLOW,
        {"airflow.exit_area": STRONGER * a.exit_area},
    )
    if _any(a.recirculation > 0.0):
        yield DesignChange(
            "half the hot air coming round again", SystemSide.AIRFLOW, {"airflow.recirculation": 0.5 * a.recirculation}
        )
    if _any(a.shutter < 1.0):
        yield DesignChange("the grille shutter open", SystemSide.AIRFLOW, {"airflow.shutter": np.ones(1)})


def _ahead(case: Case) -> Iterator[DesignChange]:
    for i, cooler in enumerate(case.airflow.upstream):
        yield DesignChange(
            f"{cooler.name or f'cooler {i + 1} ahead'} moved out of the radiator's air",
            SystemSide.AIRFLOW,
            {f"airflow.upstream[{i}].heat": _zero(), f"airflow.upstream[{i}].flow_resistance": _zero()},
        )


def _pump(case: Case) -> Iterator[DesignChange]:
    k = case.circuit
    if k.pump_drive == "belt":
        yield DesignChange(
            "the pump turning 25 % faster",
            SystemSide.PUMP,
            {"circuit.pump_ratio": STRONGER * k.pump_ratio},
            "Faster pumps cavitate sooner at high engine speed: check the new speed for it.",
        )
    yield DesignChange(
        "a pump of 25 % more flow",
        SystemSide.PUMP,
        {
            "circuit.pump_flow": STRONGER * k.pump_flow,
            "circuit.heater_flow": STRONGER * k.heater_flow,
            "circuit.bypass_flow": STRONGER * k.bypass_flow,
            "circuit.pump_shutoff_pressure": STRONGER**2 * k.pump_shutoff_pressure,
        },
    )
    if _any(k.aeration > 0.0):
        yield DesignChange("the coolant free of air", SystemSide.PUMP, {"circuit.aeration": _zero()})


def _coolant(case: Case) -> Iterator[DesignChange]:
    passes = case.radiator.passes + 1.0
    if _any(passes <= PASSES_MOST):
        yield DesignChange("one more pass through the same core", SystemSide.COOLANT, {"radiator.passes": passes})
    mix = case.coolant
    if mix.base != "water" and _any(mix.concentration >= WORTH_THINNING):
        yield DesignChange(
            f"a mixture of {LESS_GLYCOL:.0%} glycol".replace("%", " %"),
            SystemSide.COOLANT,
            {"coolant.concentration": np.full(1, LESS_GLYCOL)},
            "Protects from frost less far, and from corrosion less; mind the coldest day.",
        )


def _heat(case: Case, duty_index: int) -> Iterator[DesignChange]:
    duty, at = case.duties[duty_index], f"duties[{duty_index}]"
    if duty.fuel_flow is not None:
        yield DesignChange(
            "10 % less fuel in this duty",
            SystemSide.HEAT,
            {f"{at}.fuel_flow": LESS_POWER * duty.fuel_flow},
            driving=True,
        )
    elif duty.brake_power is not None:
        yield DesignChange(
            "10 % less power in this duty",
            SystemSide.HEAT,
            {f"{at}.brake_power": LESS_POWER * duty.brake_power},
            driving=True,
        )
    elif _any(duty.vehicle_speed > 0.0):
        yield DesignChange(
            "10 % slower in this duty",
            SystemSide.HEAT,
            {f"{at}.vehicle_speed": SLOWER * duty.vehicle_speed},
            driving=True,
        )
    if _any(duty.trailer_mass > 0.0) and duty.brake_power is None and duty.fuel_flow is None:
        yield DesignChange(
            "a trailer lighter by a quarter",
            SystemSide.HEAT,
            {f"{at}.trailer_mass": LIGHTER_TRAILER * duty.trailer_mass},
            driving=True,
        )
    for i, source in enumerate(case.circuit.extra):
        keys = [k for k in ("heat", "at_idle", "at_rated") if getattr(source, k) is not None]
        if keys:
            yield DesignChange(
                f"{source.name or f'extra heat source {i + 1}'} given a cooler of its own",
                SystemSide.HEAT,
                {f"circuit.extra[{i}].{k}": _zero() for k in keys},
            )


def _cap_and_valve(case: Case, valve_holds: bool) -> Iterator[DesignChange]:
    c, t = case.coolant, case.thermostat
    if c.tank != "none":
        yield DesignChange(
            "a cap of 0.3 bar more",
            SystemSide.CAP,
            {"coolant.cap_pressure": c.cap_pressure + HIGHER_CAP},
            "Only where the maker allows it: hoses, tank and heater core bear the pressure too.",
        )
    if t.kind == "none":
        return
    if _any(t.maximum_opening < 1.0):
        yield DesignChange(
            "a thermostat that opens fully", SystemSide.VALVE, {"thermostat.maximum_opening": np.ones(1)}
        )
    if not valve_holds:
        return
    cooler: dict[str, Array] = {"thermostat.rating": t.rating - COOLER_VALVE}
    for key in ("start_to_open", "full_open"):
        if _typed(case, f"thermostat.{key}"):
            cooler[f"thermostat.{key}"] = getattr(t, key) - COOLER_VALVE
    yield DesignChange(
        "a thermostat rated 10 K lower",
        SystemSide.VALVE,
        cooler,
        "It changes warm-up and the heater; it adds no cooling once it stands fully open.",
    )


def _any(mask: Any) -> bool:
    return bool(np.any(mask))


def _zero() -> Array:
    return np.zeros(1)
