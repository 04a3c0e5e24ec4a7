"""The verdict as it is told to whoever brought the vehicle: what is wrong, and what it costs to leave it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from engcalc.studies.check import Check
from engcalc.units import System
from engcalc.verdict import FindingCode, Verdict
from engcalc.words.reasons import COLD_COMPLAINTS, check_label, freezing_finding, headline, warm_ups

_SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
_SHORT = 2  # sentences: a statement, and what it is held against


@dataclass(frozen=True)
class Plain:
    """One verdict for the customer."""

    lead: str
    if_left: str


PLAIN: Mapping[Verdict | None, Plain] = {
    Verdict.UNDERSIZED: Plain(
        "The engine runs too hot.",
        "An engine that runs too hot can warp its cylinder head, burn through the head gasket and seize. Do not drive "
        "on with the gauge in the red: stop in a safe place, switch the engine off and let it cool with the cap shut."),
    Verdict.OVERCOOLING: Plain(
        "The engine does not get warm enough.",
        "An engine that stays cold burns more fuel, wears faster and thins its oil with fuel. In frost the heater "
        "cannot keep the cabin warm or the windscreen clear."),
    Verdict.MARGINAL: Plain(
        "The cooling holds, but with little in hand.",
        "There is little in hand. A hotter day, a longer hill, a trailer or a dirty radiator can be enough to make the "
        "engine run too hot."),
    Verdict.HOLDS: Plain("The cooling system holds its temperature.", "Nothing is lost by leaving it as it is."),
    None: Plain("There is no answer for this vehicle as it was described.",
                "No answer could be computed for this vehicle as it was described; the reasons stand on the "
                "next pages.")}

# A complaint of cold is answered by its reading, not by the limit that is held: what the first such finding says.
COLD: Mapping[FindingCode, Plain] = {
    FindingCode.HEATER_SIDE: Plain(
        "The engine gets warm enough; what is missing lies on the heater's side.",
        "In frost the heater cannot keep the cabin warm or the windscreen clear."),
    FindingCode.TOO_EARLY: Plain(
        "It is too early to tell whether the engine gets warm enough.",
        "Not known yet: a later reading decides. Parts fitted on suspicion may cost more than that."),
    FindingCode.READING_DEPENDS: Plain(
        "Whether the engine gets warm enough is not settled yet.",
        "Not known yet: the check named above decides. Parts fitted on suspicion may cost more than that."),
    FindingCode.READING_UNDECIDED: Plain(
        "Whether the engine gets warm enough is not settled yet.",
        "Not known yet: the check named above decides. Parts fitted on suspicion may cost more than that."),
    FindingCode.READING_AGREES: Plain(
        "The engine is as warm as such running makes it in this weather.", "Nothing is lost by leaving it as it is.")}

REPAIRED = Plain("After the repair the engine gets warm as it should.", "Nothing is lost by leaving it as it is.")
WARM = Plain("The engine gets warm as it should.", "Nothing is lost by leaving it as it is.")

FREEZES = Plain("The coolant can freeze.",
                "Slush blocks the radiator, so that the engine overheats in the cold; ice bursts the radiator and the "
                "engine block. Keep the vehicle out of the frost and do not start an engine with frozen coolant.")

RIG_DIFFERS = Plain("What was measured and what the dimensions give do not agree.",
                    "Look for the cause in flows, probes and dimensions before building on either.")


def plain(check: Check) -> Plain:
    """The verdict of a check for the customer."""
    if freezing_finding(check) is not None:
        return FREEZES
    if check.verdict is Verdict.MARGINAL and not all(point.agrees for point in check.rig):
        return RIG_DIFFERS
    carried = warm_ups(check)
    if carried:
        return REPAIRED if carried[0].words["record"] == "after" else WARM
    told = {f.code for reading in check.readings for f in reading.findings}
    undecided = told & {FindingCode.READING_DEPENDS, FindingCode.READING_UNDECIDED}
    by_reading = (check.verdict is Verdict.MARGINAL and undecided
                  and not any(duty.verdict is Verdict.MARGINAL for duty in check.duties))
    cold = check.verdict is Verdict.HOLDS and check.case.job.reason in COLD_COMPLAINTS
    if by_reading or cold:
        return next((words for code, words in COLD.items() if code in told), PLAIN[check.verdict])
    return PLAIN[check.verdict]


def by_sight(check: Check) -> str:
    """How sure a verdict is that rests on what was seen or felt, not on a number; empty where none does."""
    if check.verdict is not Verdict.OVERCOOLING or any(d.verdict is Verdict.OVERCOOLING for d in check.duties):
        return ""
    codes = [f.code for reading in check.readings for f in reading.findings] + [f.code for f in check.findings]
    if FindingCode.READING_LOW in codes:
        return ""
    return "This rests on what was seen and felt at the vehicle; a look at the cold thermostat settles it."


def short_headline(check: Check, system: System) -> str:
    """What stands beside the verdict, without the verdict's own word; whatever else it advises stands with the reasons.
    """
    said = headline(check, system).removeprefix(check_label(check)).lstrip(". ")
    return " ".join(_SENTENCE_END.split(said)[:_SHORT])
