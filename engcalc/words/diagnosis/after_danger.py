"""What comes after the step that a danger asks for: the checks that find the part, and the proof of the repair.

What proves a repair is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from engcalc.case.case import Case
from engcalc.causes.catalogue import CAUSES
from engcalc.diagnosis.checks.first_steps import NextStep
from engcalc.diagnosis.checks.found_causes import found_causes
from engcalc.diagnosis.checks.hand_checks import FAN, LEVEL, HandCheck, first_checks, noted_in
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK, PART_CHECKS
from engcalc.diagnosis.conclusion import Conclusion
from engcalc.diagnosis.grounds import GroundCode
from engcalc.diagnosis.members.faulty_vehicle import can_have
from engcalc.diagnosis.odds.diagnosis import Diagnosis
from engcalc.units import UnitSystem
from engcalc.vehicle.run import AFTER, BEFORE
from engcalc.words.diagnosis.causes_told import offered_checks, parts_left
from engcalc.words.page.cautions import CAUTION_TEXTS
from engcalc.words.terms.numbers import temperature
from engcalc.words.texts import page_texts

# ---- checks ----------------------------------------------------------------------------------------------------------

_LEVEL_THEN_FAN = (NextStep.STOP_AND_COOL, NextStep.LET_COOL)  # they send a person to the level, then to the fan
# the part is found: what may have broken it is left to be looked at
_PART_KNOWN: Mapping[NextStep, tuple[str, ...]] = {
    NextStep.FAN_FUSE_BLOWN: ("fan_motor",),
    NextStep.FAN_RELAY_FAILS: (),
    NextStep.FAN_MOTOR_FAILS: (),
}


def checks_after(found: Conclusion, case: Case, odds: Diagnosis | None) -> tuple[HandCheck, ...]:
    """The checks to make after the danger's own step, in their order.

    ``odds``: those of the record that stands, where there are any; then the checks are those that they offer. Without
    them: what finds the part of a fault that was found, else what comes first for the complaint.
    """
    step = found.next_step
    keys: Iterable[str]
    if step is not None and step in _PART_KNOWN:
        keys = _PART_KNOWN[step]
    elif odds is not None:
        keys = [offered.key for offered in offered_checks(odds, after_another=True)]
    else:
        keys = _without_odds(found, case)
    if step in _LEVEL_THEN_FAN:
        keys = sorted(keys, key=lambda key: (key != LEVEL, key != FAN))
    own = "" if step is None else step.value
    return tuple(EVERY_CHECK[key] for key in dict.fromkeys(keys) if key != own or key in PART_CHECKS)


def _without_odds(found: Conclusion, case: Case) -> list[str]:
    name, record = (AFTER, case.evidence.after) if found.repaired else (BEFORE, case.evidence.before)
    causes = [key for key in found_causes(case, name) if can_have(case, CAUSES[key])]
    parts = [check.key for check in parts_left(causes, case, record)]
    reason = "hot at idle" if found.next_step in _LEVEL_THEN_FAN else case.job.reason
    noted = frozenset() if record is None else noted_in(record)
    return parts or [key for key in first_checks(reason, case) if not EVERY_CHECK[key].is_done(noted)]


# ---- proof -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ProofAfter:
    """How a repair is proven, and the cautions for it by their keys."""

    text: str
    cautions: tuple[str, ...]


_RUNNING = ("moving_parts", "exhaust")
_HOT = ("stop_hot", *_RUNNING)
_NO_GAS = ProofAfter(page_texts.PROOF_OF_NO_GAS, ("hot_cap", "bleeding", *_RUNNING))
_FAN_RUNS = ProofAfter(page_texts.PROOF_OF_THE_FAN, (*_HOT, "fan_by_itself"))
_TIGHT = ProofAfter(page_texts.PROOF_OF_TIGHTNESS, ("hot_cap", "pressure"))
_STAYS_COOL = ProofAfter(page_texts.PROOF_OF_COOLING, _HOT)
_FROM_COLD = ProofAfter(page_texts.PROOF_FROM_COLD, _HOT)
_PROOFS: Mapping[GroundCode, ProofAfter] = {
    **dict.fromkeys((GroundCode.GAS, GroundCode.BUBBLES, GroundCode.BUBBLES_LOW_HOT), _NO_GAS),
    **dict.fromkeys((GroundCode.FAN_STILL_HOT, GroundCode.FAN_STILL, GroundCode.FAN_MISSED), _FAN_RUNS),
    **dict.fromkeys((GroundCode.LEAK, GroundCode.LEVEL_LOW, GroundCode.PRESSURE_LOST), _TIGHT),
    GroundCode.OVER_PRESSURE: ProofAfter(page_texts.PROOF_OF_PRESSURE, ("hot_cap", "pressure", *_RUNNING)),
    GroundCode.FREEZES: ProofAfter(page_texts.PROOF_OF_THE_MIXTURE, ("hot_cap", "poison", *_RUNNING)),
}


def _proof(found: Conclusion) -> ProofAfter:
    usual = _FROM_COLD if found.lead.hot is None else _STAYS_COOL
    return _PROOFS.get(found.lead.code, usual)


def proof_after(found: Conclusion, system: UnitSystem) -> str:
    """What proves the repair after a danger; with the limit, where a reading was held against it."""
    hot = next((ground.hot for ground in found.because if ground.hot is not None), None)
    limit = page_texts.ITS_LIMIT if hot is None else temperature(hot.limit, system)
    return f"{_proof(found).text.format(limit=limit)} {page_texts.ENTER_THE_PROOF}"


def proof_cautions(found: Conclusion) -> tuple[str, ...]:
    """What to mind while it is proven."""
    return tuple(CAUTION_TEXTS[key] for key in _proof(found).cautions)
