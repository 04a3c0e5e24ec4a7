"""What is so by design and no fault, in plain sentences."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engcalc.studies.by_design import ByDesign
from engcalc.units import UnitSystem
from engcalc.vehicle.warmup_study import RecordStudy
from engcalc.verdict import Finding
from engcalc.words.terms.numbers import difference, heat, minutes, temperature

_LEAST_MEAN = 20.0  # W, of exhaust heat in the mean of a run, that is worth a sentence
_LEAST_STOOD = 5.0  # s


def _mapped(name: str, f: Finding, system: UnitSystem) -> str:
    return (
        f"{name}: under this load the thermostat is opened from {temperature(f.numbers['opens_at'], system)} on, "
        f"{difference(f.numbers['down'], system)} lower than in light running. That is by design: a lower "
        f"temperature under load is no fault."
    )


def _stands(name: str, f: Finding, system: UnitSystem) -> str:
    del f, system
    return (
        f"{name}: a hybrid's engine may stop here, by design. These numbers are those with the engine running; "
        f"while it is stopped it makes no heat, and heater and coolant cool down."
    )


def _pump(name: str, f: Finding, system: UnitSystem) -> str:
    del name
    return (
        f"The coolant pump does not turn until the engine's coolant has {temperature(f.numbers['starts'], system)}, by "
        f"design: until then no hose warms. A heater may call for the pump. Where things settle the pump turns."
    )


def _oil(name: str, f: Finding, system: UnitSystem) -> str:
    del name, f, system
    return (
        "The coolant warms the engine oil, by design: the coolant warms up later, the oil sooner. Where things "
        "settle it changes nothing."
    )


def _gearbox(name: str, f: Finding, system: UnitSystem) -> str:
    del name, f, system
    return (
        "The coolant warms the gearbox while it is cold and cools it when hot, by design: the engine warms up "
        "later for it."
    )


def _exhaust(name: str, f: Finding, system: UnitSystem) -> str:
    del name
    return (
        f"The coolant takes heat from the exhaust until it has {temperature(f.numbers['stops'], system)}; then a "
        f"flap leads the exhaust past, by design."
    )


_SENTENCES: Mapping[ByDesign, Callable[[str, Finding, UnitSystem], str]] = {
    ByDesign.MAPPED: _mapped,
    ByDesign.ENGINE_STANDS: _stands,
    ByDesign.PUMP_STANDS: _pump,
    ByDesign.OIL: _oil,
    ByDesign.GEARBOX: _gearbox,
    ByDesign.EXHAUST: _exhaust,
}


def by_design_sentence(name: str, finding: Finding, system: UnitSystem) -> str:
    """The sentence of a finding that something is by design; ``name`` is the duty's, if it is of one."""
    return _SENTENCES[ByDesign(finding.words["design"])](name, finding, system)


def by_design_in_warm_up(record: RecordStudy, system: UnitSystem) -> tuple[str, ...]:
    """What of a simulated warm-up is by design: pump and engine that stand, exhaust heat, an opening under load."""
    w = record.nominal
    said = []
    stood = float(w.pump_stood[0])
    if stood > _LEAST_STOOD:
        said.append(
            f"As simulated the coolant pump does not turn for {minutes(stood)} while the engine is cold, by design: "
            "the heater gets nothing in that time, and cold coolant follows when the pump starts."
        )
    mean = float(w.exhaust_heat[0]) / float(w.time[-1])
    if mean > _LEAST_MEAN:
        said.append(f"On average over the run the coolant takes {heat(mean, system)} from the exhaust, by design.")
    down = float(w.opens_usual[0] - w.opens_lowest[0])
    if down > 0.5:
        said.append(
            f"Under load the thermostat is opened {difference(down, system)} earlier, from "
            f"{temperature(float(w.opens_lowest[0]), system)} on, by design: a lower temperature under load is "
            "no fault."
        )
    if record.run.hybrid:
        said.append(
            "A hybrid's engine may stop, by design: below 30 km/h (19 mph) in light running it is "
            "simulated standing half of the time. A slow warm-up is not judged a failure as long as nobody "
            "noted for how long the engine ran."
        )
    return tuple(said)
