"""Charts that teach: machines against their ways, temperatures through the radiator, a lump that warms."""

from __future__ import annotations

import numpy as np

from engcalc.studies.teaching import MeetingCurves, TaughtDuty, along_core, fan_and_way, lumped_warmup, pump_and_circuit
from engcalc.units import UnitSystem, plain_number, show
from engcalc.words.lesson.class_symbols import symbols_for
from engcalc.words.lesson.teaching_words import duration_words
from engcalc.words.page.picture_words import (
    AIR_WAY_CAPTION,
    ALONG_TUBES_CAPTION,
    ALONG_TUBES_TOLD,
    CIRCUIT_CAPTION,
    CURVES_MEET,
    LUMP_CAPTION,
)
from engcalc.words.terms.numbers import temperature
from engcalc.words.texts import plot_texts
from reports.plots.balance import heat_balance
from reports.plots.describe import Axis, Chart, Flow, LabelledPoint, Line, Rows, Series, Tone, Words
from reports.plots.exchanger import duty_effectiveness, resistances
from reports.plots.scale import axis, round_ticks, shown, shown_one

MINUTE = 60.0  # s


def taught_effectiveness(found: TaughtDuty, _system: UnitSystem) -> Chart | None:
    """The duty's point on the effectiveness-NTU chart."""
    return duty_effectiveness(found.duty, found.plant.arrangement, symbols_for(found.case))


def taught_resistances(found: TaughtDuty, system: UnitSystem) -> Rows | None:
    """The chain of resistances between coolant and air."""
    return resistances(found.duty, system)


def taught_heat(found: TaughtDuty, system: UnitSystem) -> Flow | None:
    """Where the heat goes."""
    return heat_balance(found.duty, system)


def fan_chart(found: TaughtDuty, system: UnitSystem) -> Chart | None:
    """The fan's curve against the curve of the air's way."""
    curves = fan_and_way(found)
    if curves is None:
        return None
    caption = AIR_WAY_CAPTION
    return _meeting_chart(
        curves,
        system,
        plot_texts.FAN_AND_THE_AIRS_WAY.format(name=found.duty.name),
        caption,
        ("air flow", "pressure difference", "fan"),
    )


def pump_chart(found: TaughtDuty, system: UnitSystem) -> Chart | None:
    """The pump's curve against the circuit's."""
    curves = pump_and_circuit(found)
    if curves is None:
        return None
    caption = CIRCUIT_CAPTION
    return _meeting_chart(
        curves,
        system,
        plot_texts.PUMP_AND_CIRCUIT.format(name=found.duty.name),
        caption,
        ("coolant flow", "pump pressure", "pump"),
    )


def _meeting_chart(
    curves: MeetingCurves, system: UnitSystem, title: str, caption: str, kinds: tuple[str, str, str]
) -> Chart:
    """A machine's curve and its way's, flow across and pressure up, with the point where they meet."""
    flow_kind, pressure_kind, machine = kinds
    x, y = shown(curves.flow, flow_kind, system), shown(curves.machine, pressure_kind, system)
    way_x, way_y = shown(curves.way_flow, flow_kind, system), shown(curves.way, pressure_kind, system)
    at = (shown_one(curves.point[0], flow_kind, system), shown_one(curves.point[1], pressure_kind, system))
    told = f"{show(curves.point[0], flow_kind, system)}, {show(curves.point[1], pressure_kind, system)}"
    up = axis("Pressure", pressure_kind, system, [0.0, *y[y > 0.0], *y[x <= 1.3 * at[0]], at[1]])
    low, high = up.limits
    visible = (way_y >= low) & (way_y <= high)
    turning = (y >= low) & (y <= high)
    return Chart(
        Words(title, caption, CURVES_MEET.format(at=told)),
        axis("Flow", flow_kind, system, x, zero=True),
        up,
        (
            Series(machine, x[turning], y[turning], Tone.COOLANT),
            Series("its way", way_x[visible], way_y[visible], Tone.AIR, Line.DASHED),
        ),
        spots=(LabelledPoint(*at, told, Tone.INK),),
    )


def radiator_profiles(found: TaughtDuty, system: UnitSystem) -> Chart | None:
    """Temperatures of both streams through the radiator."""
    along = along_core(found)
    if along is None:
        return None
    coolant, leaving = shown(along.coolant, "temperature", system), shown(along.air_out, "temperature", system)
    entering = np.full_like(coolant, shown_one(along.air_in, "temperature", system))

    def told(kelvin: float) -> str:
        return temperature(float(kelvin), system)

    words = Words(
        plot_texts.TEMPERATURES_THROUGH_THE_RADIATOR.format(name=found.duty.name),
        ALONG_TUBES_CAPTION,
        ALONG_TUBES_TOLD.format(
            hot=told(along.coolant[0]),
            cooled=told(along.coolant[-1]),
            fresh=told(along.air_in),
            one_end=told(along.air_out[0]),
            other_end=told(along.air_out[-1]),
        ),
    )
    return Chart(
        words,
        Axis(plot_texts.SHARE_OF_THE_COOLANTS_WAY, "number", "", (0.0, 1.0), (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)),
        axis("Temperature", "temperature", system, [*coolant, *leaving, *entering]),
        (
            Series("coolant", along.share, coolant, Tone.COOLANT),
            Series("air leaving", along.share, leaving, Tone.HEATER, Line.DASHED),
            Series("air coming", along.share, entering, Tone.AIR),
        ),
    )


def lumped_chart(found: TaughtDuty, system: UnitSystem) -> Chart | None:
    """A lump of metal and coolant that warms in the duty."""
    warm = lumped_warmup(found)
    if warm is None:
        return None
    T = shown(warm.T, "temperature", system)
    ticks = round_ticks(0.0, float(warm.seconds[-1]) / MINUTE)
    opens = np.flatnonzero(warm.opening > warm.opening[0] + 1e-6)
    first = int(opens[0]) if opens.size else None
    spots = (
        ()
        if first is None
        else (LabelledPoint(warm.seconds[first] / MINUTE, float(T[first]), "valve opens", Tone.VALVE),)
    )
    constant = duration_words(warm.time_constant)
    words = Words(
        plot_texts.LUMP_THAT_WARMS.format(name=found.duty.name),
        LUMP_CAPTION.format(capacity=plain_number(warm.capacity / 1000.0), constant=constant),
        plot_texts.FROM_TO_IN.format(
            temperature=temperature(float(warm.T[0]), system),
            temperature_2=temperature(float(warm.T[-1]), system),
            duration_words=duration_words(float(warm.seconds[-1])),
        ),
    )
    return Chart(
        words,
        Axis("Time, min", "number", "", (ticks[0], ticks[-1]), ticks),
        axis("Temperature", "temperature", system, T),
        (Series("lump", warm.seconds / MINUTE, T, Tone.COOLANT),),
        spots=spots,
    )
