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
from engcalc.studies.choice.tables import CataloguePart
from engcalc.units import Array
from engcalc.words.texts import study_texts

BIGGER = 1.2  # -; dimensions of the core
STRONGER = 1.25  # -; flow of a fan or pump, areas of the openings
LESS_GLYCOL = 0.35  # -; by volume: the least glycol that still protects from about -20 degC; common practice, no source
WORTH_THINNING = 0.4  # -; from here on a thinner mixture is tried
COOLER_VALVE = 10.0  # K
HIGHER_CAP = 3.0e4  # Pa; one step of the trade's cap pressures; common practice, no source
LESS_POWER = 0.9  # -
SLOWER = 0.9  # -
LIGHTER_TRAILER = 0.75  # -
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
    yield DesignChange(study_texts.ONE_MORE_ROW_OF_TUBES, side, row)
    deeper = {"radiator.core_depth": BIGGER * r.core_depth}
    if own_width:
        deeper["radiator.tube_width"] = BIGGER * r.tube_width
    yield DesignChange("a core 20 % deeper", side, deeper)
    yield DesignChange("a core 20 % higher", side, {"radiator.core_height": BIGGER * r.core_height})
    yield DesignChange("a core 20 % wider", side, {"radiator.core_width": BIGGER * r.core_width})
    yield DesignChange(
        study_texts.MORE_FINS_TO_THE_INCH,
        side,
        {"radiator.fin_pitch": r.fin_pitch / BIGGER},
        study_texts.CLOSER_FINS_CLOG_SOONER_WITH_DIRT,
    )


def _cleaning(case: Case) -> Iterator[DesignChange]:
    r = case.radiator
    if _any(r.blocked_face > 0.0):
        yield DesignChange(study_texts.RADIATORS_FACE_CLEANED, SystemSide.AIRFLOW, {"radiator.blocked_face": _zero()})
    if _any(r.blocked_tubes > 0.0):
        yield DesignChange(
            study_texts.BLOCKED_TUBES_CLEARED,
            SystemSide.COOLANT,
            {"radiator.blocked_tubes": _zero()},
        )
    if _any(r.fouling > 0.0):
        yield DesignChange(
            study_texts.DEPOSITS_IN_THE_TUBES_FLUSHED_OUT, SystemSide.COOLANT, {"radiator.fouling": _zero()}
        )


def _fan(case: Case, duty_index: int, fans_help: bool) -> Iterator[DesignChange]:
    a = case.airflow
    if case.duties[duty_index].fan == "off":
        yield DesignChange("the fan running", SystemSide.AIRFLOW, {f"duties[{duty_index}].fan": "on"})
    if a.fan_drive == "none" or not _any(a.fan_count >= 1.0):
        yield DesignChange(
            study_texts.ELECTRIC_FAN_OF_THE_USUAL_SIZE,
            SystemSide.AIRFLOW,
            {"airflow.fan_drive": "electric", "airflow.fan_count": np.maximum(a.fan_count, 1.0)},
        )
        return
    yield DesignChange(
        study_texts.ONE_MORE_FAN_OF_THE_SAME_KIND,
        SystemSide.AIRFLOW,
        {"airflow.fan_count": a.fan_count + 1.0},
        "" if fans_help else study_texts.IN_THE_WAY,
    )
    yield DesignChange(
        study_texts.FAN_OF_25_MORE_FLOW,
        SystemSide.AIRFLOW,
        {
            "airflow.fan_free_flow": STRONGER * a.fan_free_flow,
            "airflow.fan_stall_pressure": STRONGER**2 * a.fan_stall_pressure,
        },
        study_texts.SAME_FAN_TURNED_25_FASTER_ASKS if fans_help else study_texts.IN_THE_WAY,
    )


def _airway(case: Case) -> Iterator[DesignChange]:
    a = case.airflow
    if _any(a.shroud_coverage < 1.0):
        yield DesignChange(
            study_texts.SHROUD_OVER_THE_WHOLE_FACE, SystemSide.AIRFLOW, {"airflow.shroud_coverage": np.ones(1)}
        )
    if a.seals == "missing":
        yield DesignChange(
            study_texts.SEALS_BETWEEN_GRILLE_AND_CORE_PUT_BACK, SystemSide.AIRFLOW, {"airflow.seals": "fitted"}
        )
    yield DesignChange(
        study_texts.GRILLE_OPENING_25_LARGER, SystemSide.AIRFLOW, {"airflow.opening_area": STRONGER * a.opening_area}
    )
    yield DesignChange(
        study_texts.MORE_ROOM_FOR_THE_AIR_TO_LEAVE_BEHIND,
        SystemSide.AIRFLOW,
        {"airflow.exit_area": STRONGER * a.exit_area},
    )
    if _any(a.recirculation > 0.0):
        yield DesignChange(
            study_texts.HALF_THE_HOT_AIR_COMING_ROUND_AGAIN,
            SystemSide.AIRFLOW,
            {"airflow.recirculation": 0.5 * a.recirculation},
        )
    if _any(a.shutter < 1.0):
        yield DesignChange(study_texts.GRILLE_SHUTTER_OPEN, SystemSide.AIRFLOW, {"airflow.shutter": np.ones(1)})


def _ahead(case: Case) -> Iterator[DesignChange]:
    for i, cooler in enumerate(case.airflow.upstream):
        yield DesignChange(
            study_texts.MOVED_OUT_OF_THE_RADIATORS_AIR.format(name=cooler.name or f"cooler {i + 1} ahead"),
            SystemSide.AIRFLOW,
            {f"airflow.upstream[{i}].heat": _zero(), f"airflow.upstream[{i}].flow_resistance": _zero()},
        )


def _pump(case: Case) -> Iterator[DesignChange]:
    k = case.circuit
    if k.pump_drive == "belt":
        yield DesignChange(
            study_texts.PUMP_TURNING_25_FASTER,
            SystemSide.PUMP,
            {"circuit.pump_ratio": STRONGER * k.pump_ratio},
            study_texts.FASTER_PUMPS_CAVITATE_SOONER_AT_HIGH,
        )
    yield DesignChange(
        study_texts.PUMP_OF_25_MORE_FLOW,
        SystemSide.PUMP,
        {
            "circuit.pump_flow": STRONGER * k.pump_flow,
            "circuit.heater_flow": STRONGER * k.heater_flow,
            "circuit.bypass_flow": STRONGER * k.bypass_flow,
            "circuit.pump_shutoff_pressure": STRONGER**2 * k.pump_shutoff_pressure,
        },
    )
    if _any(k.aeration > 0.0):
        yield DesignChange(study_texts.COOLANT_FREE_OF_AIR, SystemSide.PUMP, {"circuit.aeration": _zero()})


def _coolant(case: Case) -> Iterator[DesignChange]:
    passes = case.radiator.passes + 1.0
    if _any(passes <= PASSES_MOST):
        yield DesignChange(
            study_texts.ONE_MORE_PASS_THROUGH_THE_SAME_CORE, SystemSide.COOLANT, {"radiator.passes": passes}
        )
    mix = case.coolant
    if mix.base != "water" and _any(mix.concentration >= WORTH_THINNING):
        yield DesignChange(
            study_texts.MIXTURE_OF_GLYCOL.format(less_glycol=LESS_GLYCOL).replace("%", " %"),
            SystemSide.COOLANT,
            {"coolant.concentration": np.full(1, LESS_GLYCOL)},
            study_texts.PROTECTS_FROM_FROST_LESS_FAR,
        )


def _heat(case: Case, duty_index: int) -> Iterator[DesignChange]:
    duty = case.duties[duty_index]
    at = f"duties[{duty_index}]"
    if duty.fuel_flow is not None:
        yield DesignChange(
            study_texts.LESS_FUEL_IN_THIS_DUTY,
            SystemSide.HEAT,
            {f"{at}.fuel_flow": LESS_POWER * duty.fuel_flow},
            driving=True,
        )
    elif duty.brake_power is not None:
        yield DesignChange(
            study_texts.LESS_POWER_IN_THIS_DUTY,
            SystemSide.HEAT,
            {f"{at}.brake_power": LESS_POWER * duty.brake_power},
            driving=True,
        )
    elif _any(duty.vehicle_speed > 0.0):
        yield DesignChange(
            study_texts.SLOWER_IN_THIS_DUTY,
            SystemSide.HEAT,
            {f"{at}.vehicle_speed": SLOWER * duty.vehicle_speed},
            driving=True,
        )
    if _any(duty.trailer_mass > 0.0) and duty.brake_power is None and duty.fuel_flow is None:
        yield DesignChange(
            study_texts.TRAILER_LIGHTER_BY_A_QUARTER,
            SystemSide.HEAT,
            {f"{at}.trailer_mass": LIGHTER_TRAILER * duty.trailer_mass},
            driving=True,
        )
    for i, source in enumerate(case.circuit.extra):
        keys = [k for k in ("heat", "at_idle", "at_rated") if getattr(source, k) is not None]
        if keys:
            yield DesignChange(
                study_texts.GIVEN_A_COOLER_OF_ITS_OWN.format(
                    name=source.name or study_texts.EXTRA_HEAT_SOURCE.format(i=i + 1)
                ),
                SystemSide.HEAT,
                {f"circuit.extra[{i}].{k}": _zero() for k in keys},
            )


def _cap_and_valve(case: Case, valve_holds: bool) -> Iterator[DesignChange]:
    c = case.coolant
    t = case.thermostat
    if c.tank != "none":
        yield DesignChange(
            study_texts.CAP_OF_0_3_BAR_MORE,
            SystemSide.CAP,
            {"coolant.cap_pressure": c.cap_pressure + HIGHER_CAP},
            study_texts.ONLY_WHERE_THE_MAKER_ALLOWS_IT,
        )
    if t.kind == "none":
        return
    if _any(t.maximum_opening < 1.0):
        yield DesignChange(
            study_texts.THERMOSTAT_THAT_OPENS_FULLY, SystemSide.VALVE, {"thermostat.maximum_opening": np.ones(1)}
        )
    if not valve_holds:
        return
    cooler: dict[str, Array] = {"thermostat.rating": t.rating - COOLER_VALVE}
    for key in ("start_to_open", "full_open"):
        if _typed(case, f"thermostat.{key}"):
            cooler[f"thermostat.{key}"] = getattr(t, key) - COOLER_VALVE
    yield DesignChange(
        study_texts.THERMOSTAT_RATED_10_K_LOWER,
        SystemSide.VALVE,
        cooler,
        study_texts.IT_CHANGES_WARM_UP_AND_THE_HEATER,
    )


def _any(mask: Any) -> bool:
    return bool(np.any(mask))


def _zero() -> Array:
    return np.zeros(1)
