"""Every symbol with its one meaning and its unit, wherever it is used.

A symbol is declared where its quantity is: of an input in :mod:`engcalc.case`, of a result in
:mod:`engcalc.words.answer.results`, of a term of the working in :mod:`engcalc.working.chain`. This table reads all three. A
symbol that is used at several places means the same quantity at each of them: ``SHARED`` lists these places.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from engcalc.case.catalogue import catalogue
from engcalc.classroom.symbols import in_letters
from engcalc.units import UnitSystem, raised, unit_for
from engcalc.words.answer.results import RESULTS
from engcalc.words.terms.numbers import capital
from engcalc.working.terms import TERMS

RECORDS = ("evidence.before.", "evidence.after.")
EITHER_RECORD = "evidence.*."  # the same input of either record


@dataclass(frozen=True)
class SymbolUse:
    """One place where a symbol is declared: the path of an input, the key of a result, or the path of a term of the
    working. ``unit`` is the one it is shown in by itself, empty for a plain number."""

    symbol: str
    place: str
    label: str
    unit: str


SHARED: Mapping[str, frozenset[str]] = {
    symbol: frozenset(places)
    for symbol, places in {
        "ATB": ("air_to_boil_degC", "duty.air_to_boil"),
        "C_r": ("capacity_ratio", "point.core.exchange.Cr"),
        "F_d": ("radiator.core_depth", "point.core.core.fin.fin.Fd"),
        "F_l": ("radiator.fin_height", "point.core.core.fin.fin.Fl"),
        "F_p": ("radiator.fin_pitch", "point.core.core.fin.fin.Fp"),
        "L_l": ("radiator.louver_length", "point.core.core.fin.fin.Ll"),
        "L_p": ("radiator.louver_pitch", "point.core.core.fin.fin.Lp"),
        "NTU": ("ntu", "point.core.exchange.NTU"),
        "N_p": ("radiator.passes", "point.core.exchange.passes"),
        "m_hot": ("rig[].hot_flow", "problems[].hot_flow"),
        "m_cold": ("rig[].cold_flow", "problems[].cold_flow"),
        "T_hot,in": ("rig[].hot_in", "problems[].hot_in"),
        "T_hot,out": ("rig[].hot_out", "problems[].hot_out"),
        "T_cold,in": ("rig[].cold_in", "problems[].cold_in"),
        "T_cold,out": ("rig[].cold_out", "problems[].cold_out"),
        **{
            symbol: (f"hot_stream.{name}", f"cold_stream.{name}")
            for symbol, name in (
                ("phi_s", "concentration"),
                ("p_s", "pressure"),
                ("rho_s", "density"),
                ("c_s", "specific_heat"),
                ("u_m", "flow_uncertainty"),
                ("u_T", "temperature_uncertainty"),
            )
        },
        "P": ("duties[].brake_power", "brake_power_W", "point.brake_power"),
        "P_fuel": ("fuel_power_W", "point.fuel_power"),
        "Q_c": ("heat_to_coolant_W", "point.heat_to_coolant"),
        "Q_ch": ("coolant_heater_heat_W", "point.coolant_heater_heat"),
        "Q_exh": ("heat_exhaust_W", "point.heat_exhaust"),
        "Q_heat": ("heater_heat_W", "point.heater_heat"),
        "Q_hose": ("hose_heat_W", "point.hose_heat"),
        "Q_metal": ("heat_to_metal_W", "point.heat_to_metal"),
        "Q_rest": ("heat_rest_W", "point.heat_rest"),
        "Q_rad": ("radiator_heat_W", "point.radiator_heat"),
        "Q_s": ("surface_heat_W", "point.surface_heat"),
        "Q_x": ("extra_heat_W", "point.extra_heat"),
        "T_0": ("evidence.*.start_temperature", "start_degC"),
        "T_ai": ("air_in_degC", "point.core.flows.T_air_in"),
        "T_amb": ("duties[].ambient", "evidence.*.ambient", "asked.ambient"),
        "T_ao": ("air_out_degC", "point.core.T_air_out"),
        "T_co": ("radiator_out_degC", "point.core.T_coolant_out"),
        "T_eo": ("coolant_out_degC", "point.coolant_out"),
        "T_hi": ("span_high_degC", "point.span_high"),
        "T_lim": ("duties[].limit", "limit_degC", "duty.limit"),
        "T_p": ("radiator.tube_pitch", "point.core.core.fin.fin.Tp"),
        "T_peak": ("peak_degC", "duty.peak"),
        "UA": ("ua_W_K", "point.core.UA"),
        "V_d": ("engine.displacement", "engine.displacement"),
        "dT_eng": ("coolant_rise_K", "point.coolant_rise"),
        "dT_m": ("margin_K", "duty.margin"),
        "delta_f": ("radiator.fin_thickness", "point.core.core.fin.fin.delta_f"),
        "eps": ("effectiveness", "point.core.exchange.effectiveness"),
        "fmep": ("engine.friction_mep", "engine.friction_mep"),
        "k_UA": ("radiator.ua_scale", "plant.known_scale"),
        "m_e": ("coolant_flow_kg_s", "point.coolant_mass_flow"),
        "m_f": ("duties[].fuel_flow", "asked.fuel_flow"),
        "m_rad": ("radiator_flow_kg_s", "point.core.flows.coolant_mass_flow"),
        "n": (
            "duties[].engine_speed",
            "evidence.*.schedule[].engine_speed",
            "engine_speed_rev_s",
            "point.engine_speed",
        ),
        "t": ("evidence.*.spots[].at", "evidence.*.heater_changes[].at"),
        "t_d": ("duties[].duration", "evidence.*.schedule[].duration"),
        "theta": ("radiator.louver_angle", "point.core.core.fin.fin.theta"),
        "v": ("duties[].vehicle_speed", "evidence.*.schedule[].vehicle_speed", "setting.conditions.vehicle_speed"),
        "v_a": ("duties[].air_velocity", "air_velocity_m_s", "point.core.flows.air_velocity"),
        "x_rated": ("engine.coolant_share_rated", "engine.share_rated"),
        "H": ("radiator.core_height", "point.core.core.geometry.core_height"),
        "P_acc": ("accessory_power_W", "point.accessory_power"),
        "P_w": ("duties[].wheel_power", "load.wheel_power"),
        "Q_u": ("upstream_heat_W", "point.upstream_heat"),
        "R_f": ("radiator.fouling", "point.core.core.geometry.fouling"),
        "T_boil": ("boiling_degC", "point.boiling"),
        "T_cab": ("cabin_degC", "point.cabin"),
        "V_fan": ("airflow.fan_free_flow", "plant.airway.fan.free_flow"),
        "W": ("radiator.core_width", "point.core.core.geometry.core_width"),
        "c_rr": ("vehicle.rolling_coefficient", "engine.rolling_coefficient"),
        "dp_fan": ("airflow.fan_stall_pressure", "plant.airway.fan.stall_pressure"),
        "dp_p": ("circuit.pump_shutoff_pressure", "plant.circuit.pump.shutoff_pressure"),
        "eta_dl": ("vehicle.driveline_efficiency", "engine.driveline_efficiency"),
        "g": ("duties[].grade", "setting.conditions.grade"),
        "h_t": ("radiator.tube_height", "point.core.core.tube.tube.height"),
        "c_out": ("airflow.exit_pressure", "plant.airway.exit_pressure"),
        "x_st": ("airflow.fan_stopped", "plant.airway.fan.windmill"),
        "x_un": ("airflow.uneven_air", "plant.uneven_air"),
        "k_ram": ("airflow.ram_recovery", "plant.airway.ram_recovery"),
        "m_h": ("heater_flow_kg_s", "point.heater_mass_flow"),
        "n_p": ("circuit.pump_flow_speed", "plant.circuit.pump.reference_speed"),
        "p_cap": ("coolant.cap_pressure", "plant.cap.gauge_pressure"),
        "t_w": ("radiator.tube_wall", "point.core.core.tube.tube.wall"),
        "w_t": ("radiator.tube_width", "point.core.core.tube.tube.width"),
        "x_air": ("circuit.aeration", "plant.circuit.pump.aeration"),
        "x_fresh": ("heater.fresh_air_share", "plant.heater.fresh_air_share"),
        "x_sh": ("airflow.shroud_coverage", "plant.airway.coverage"),
        "z": ("refill.altitude", "duties[].altitude"),
    }.items()
}
"""The places of each symbol that is used in more than one; it is the same quantity in all of them."""


def uses() -> Iterator[SymbolUse]:
    """Every declaration of a symbol: the inputs', the results' and the working's."""
    for entry in catalogue():
        if entry.input.symbol:
            unit = unit_for(entry.input.kind, UnitSystem.SI)
            yield SymbolUse(entry.input.symbol, _either_record(entry.path), entry.input.label, unit)
    for row in RESULTS:
        yield SymbolUse(row.symbol, row.key, row.label, unit_for(row.kind, UnitSystem.SI))
    for term in TERMS.values():
        yield SymbolUse(term.symbol, term.path, term.label, term.unit)


def _either_record(path: str) -> str:
    """The path of an input, the same for both records of a case."""
    for record in RECORDS:
        if path.startswith(record):
            return EITHER_RECORD + path.removeprefix(record)
    return path


@cache
def by_symbol() -> Mapping[str, tuple[SymbolUse, ...]]:
    """The declarations of each symbol, in the order inputs, results, working; one for each place."""
    found: dict[str, dict[str, SymbolUse]] = {}
    for use in uses():
        found.setdefault(use.symbol, {}).setdefault(use.place, use)
    return {symbol: tuple(places.values()) for symbol, places in found.items()}


def symbols_of_answers() -> tuple[tuple[str, str], ...]:
    """Each symbol of results and working, with its meaning and unit, by the alphabet; a result's label comes first."""
    answers = {
        term.symbol: (term.label, term.unit.replace("degC", "°C")) for term in TERMS.values() if not term.is_condition
    }
    answers |= {row.symbol: (row.label, unit_for(row.kind, UnitSystem.SI)) for row in RESULTS}
    told = {
        in_letters(symbol): ", ".join(part for part in (capital(label), raised(unit)) if part)
        for symbol, (label, unit) in answers.items()
    }
    return tuple(sorted(told.items(), key=lambda pair: pair[0].casefold()))
