"""Findings in plain sentences, numbers in the system that the person reads.

Each finding code has one function that makes its sentence; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from engcalc.diagnosis.evidence.readings import BETWEEN_WAYS
from engcalc.diagnosis.hottest import NEAR_LIMIT
from engcalc.studies.readings import ReadingCheck
from engcalc.units import UnitSystem, plain_number, show
from engcalc.verdict import OVERCOOLED_BY, Finding, FindingCode
from engcalc.words.answer.by_design import by_design_sentence
from engcalc.words.answer.input_words import (
    pitch_differs,
    power_at_crank,
    power_at_wheels,
    power_limited,
    rated_point_doubted,
    vent_below_air,
)
from engcalc.words.answer.told import SentenceFacts
from engcalc.words.answer.warmup_words import freezing_sentence, warm_up_told
from engcalc.words.diagnosis.conclusion_words import HOTTER_THAN_HEALTHY
from engcalc.words.diagnosis.seen_words import ACTS_SEEN, HOSE_SEEN, VALVE_SEEN, VALVE_SEEN_BEFORE
from engcalc.words.diagnosis.told_by_customer import gauge_said
from engcalc.words.lesson.bench_words import bench_finding
from engcalc.words.page.picture_words import WARM_EARLY
from engcalc.words.sizing.cooler_words import KINDS
from engcalc.words.terms.numbers import capital, chance, heat, minutes, share, span, temperature

BOILING_AT_START = 0.5  # K; a duty that begins this near to boiling was brought there before it


def reading_sentence(
    reading: ReadingCheck,
    system: UnitSystem = UnitSystem.SI,
    *,
    valve_at_inlet: bool = False,
    valve_seen: bool = False,
) -> str:
    """One sentence or two on a reading of the coolant."""
    finding = reading.findings[0]
    return SENTENCES[finding.code](SentenceFacts(reading.path, finding, system, valve_at_inlet, reading, valve_seen))


def finding_sentence(finding: Finding, system: UnitSystem = UnitSystem.SI) -> str:
    """The sentence of a finding of the case as a whole."""
    return SENTENCES[finding.code](SentenceFacts("", finding, system))


def in_its_time(start: float, peak: float, end: float, duration: float, system: UnitSystem) -> str:
    """What the coolant does within a duration: "reaches 117 °C after 10 min", temperatures in K, duration in s."""
    if peak <= start + 0.5 and end < start:
        return f"falls from {temperature(start, system)} to {temperature(end, system)} in {minutes(duration)}"
    if peak - end > 0.5:
        return f"peaks at {temperature(peak, system)} within {minutes(duration)}"
    return f"reaches {temperature(peak, system)} after {minutes(duration)}"


def would(settled: float | None, system: UnitSystem) -> str:
    return "it would boil in the end" if settled is None else f"it would settle at {temperature(settled, system)}"


def _over_limit(t: SentenceFacts) -> str:
    does = f"settles at {t.T('peak')}"
    if "duration" in t.finding.numbers:
        start, peak, end, duration = (t.number(key) for key in ("start", "peak", "end", "duration"))
        does = in_its_time(start, peak, end, duration, t.system)
    first = f"{t.name}: the coolant {does}, {t.dT('margin')} over the limit of {t.T('limit')}"
    return first + (f", which it passes after {minutes(t.number('to_limit'))}." if _passes(t) else ".")


def _passes(t: SentenceFacts) -> bool:
    return t.finding.numbers.get("to_limit", 0.0) > 0.0 and "duration" in t.finding.numbers


def _holds_in_time(t: SentenceFacts) -> str:
    settled = would(t.finding.numbers.get("settled"), t.system)
    after = f", and be over its limit after {minutes(t.number('to_limit'))}" if _passes(t) else ""
    return f"{t.name}: it holds because it ends after {minutes(t.number('duration'))}. If it went on, {settled}{after}."


def _boils(t: SentenceFacts) -> str:
    if "duration" in t.finding.numbers and t.number("start") >= t.number("boiling") - BOILING_AT_START:
        return f"{t.name}: the coolant boils as it begins, at {t.T('boiling')}: the duty before it brought it there."
    if "duration" in t.finding.numbers:
        return f"{t.name}: the coolant boils within its {minutes(t.number('duration'))}, at {t.T('boiling')}."
    time = t.number("time_to_boil")
    how_long = f" From the thermostat's rating it takes about {minutes(time)} to get there." if time < 1e6 else ""
    missing = t.finding.numbers.get("missing", 0.0)
    lacks = f" There {heat(missing, t.system)} more comes in than goes out." if missing > 0.0 else ""
    return f"{t.name}: the coolant does not settle below its boiling point of {t.T('boiling')}.{lacks}{how_long}"


def freezes(t: SentenceFacts) -> str:
    """That the coolant freezes, where it stands coldest."""
    running = t.finding.words["where"] == "running"
    where = (
        f"at the radiator's outlet, {t.T('radiator_out')}"
        if running
        else (f"when the vehicle stands in air of {t.T('ambient')}")
    )
    said = freezing_sentence(t.T("freezing"), where)
    return f"{t.name}: {said[:1].lower()}{said[1:]}" if t.name else said


def _overcooled(t: SentenceFacts) -> str:
    hose = "lower" if t.valve_at_inlet else "upper"
    look = f" Feel the {hose} radiator hose: it should stay cool until the engine is warm." * (not t.valve_seen)
    return (
        f"{t.name}: the coolant settles at {t.T('settled')}, {t.dT('short_by')} colder than with a healthy thermostat "
        f"({t.T('healthy')}). The thermostat as entered makes the difference.{look}"
    )


def _heat_limited(t: SentenceFacts) -> str:
    why = (
        f"even with a healthy thermostat the coolant would settle at {t.T('healthy')}, {t.dT('short_by')} under the "
        "thermostat's opening. Heater and cold air take all the heat that such running makes."
    )
    if t.number("settled") < t.number("healthy") - OVERCOOLED_BY:
        return f"{t.name}: {why} A repair gets it no warmer than that."
    return f"{t.name}: {why} No part need be at fault."


def _margin_small(t: SentenceFacts) -> str:
    return (
        f"{t.name}: it holds, but the margin of {t.dT('margin')} under {t.T('limit')} is less than the "
        f"{t.dT('wanted_margin')} wanted."
    )


def _odds_small(t: SentenceFacts) -> str:
    return (
        f"{t.name}: it holds by the numbers entered. They are uncertain, so that the chance of holding is "
        f"{chance(t.number('probability'))}; {share(t.number('confidence'))} is wanted."
    )


def _holds(t: SentenceFacts) -> str:
    p = t.finding.numbers.get("probability")
    return f"{t.name}: it holds its limit." if p is None else f"{t.name}: chance of holding the limit: {chance(p)}."


STORED_HEAT = (
    "What makes it hot is heat that the engine stored before. A cooler end of the duty before, or an easier way down "
    "from it, would help."
)
_HELPS: Mapping[str, str] = {
    "airflow": "The core already takes most of what its air can carry: more air is what would help.",
    "air side": "More air, more fins or a deeper core help; a larger coolant flow hardly does.",
    "coolant side": "More coolant flow or more tubes help most.",
}


def given_at_limit(limits: Finding, system: UnitSystem) -> str:
    """What the radiator gives off at the limit, of the finding on what limits a duty.

    Of a duty that would settle below its limit it is the least: hotter, the thermostat opens further and fans start.
    """
    given = heat(limits.numbers["given_at_limit"], system)
    return f"at least {given}" if limits.words["limiting"] == "stored" else given


def _what_limits(t: SentenceFacts) -> str:
    if t.finding.words["limiting"] == "stored":
        return (
            f"{t.name}: left to settle it would hold. The radiator can give off {given_at_limit(t.finding, t.system)} at "
            f"the limit, and it gets {t.Q('handed')}. {STORED_HEAT}"
        )
    return (
        f"{t.name}: at the limit the radiator can give off {t.Q('given_at_limit')}, and it gets {t.Q('handed')}. "
        f"{share(t.number('air_share'))} of the resistance to heat lies on the air side, "
        f"{share(t.number('coolant_share'))} on the coolant side. {_HELPS[t.finding.words['limiting']]}"
    )


def _boiling_limits(t: SentenceFacts) -> str:
    return (
        f"{t.name}: the coolant boils at {t.T('boiling')}, below the limit of {t.T('coolant_limit')}: "
        f"the cap and the mixture set the limit here."
    )


def _reading(t: SentenceFacts) -> str:
    """Start of every sentence on a reading: what was read, when."""
    at = t.finding.numbers.get("at")
    when = "" if at is None else f" {minutes(at)} after the start"
    if word := t.finding.words.get("word"):
        return gauge_said(word, when)
    corrected = ""
    if abs(t.number("as_read") - t.number("measured")) > 0.5:
        corrected = f" (about {t.T('measured')}, corrected for the instrument)"
    return f"The coolant read {t.T('as_read')}{when}{corrected}."


def _expects(t: SentenceFacts) -> str:
    """How hot a healthy vehicle would be; told apart where nobody noted how it ran."""
    if "idled_low" not in t.finding.numbers:
        return span(t.number("expected_low"), t.number("expected_high"), t.system)
    driven, idled = (span(t.number(f"{way}_low"), t.number(f"{way}_high"), t.system) for way in ("driven", "idled"))
    return f"{driven} if it was driven, {idled} if it only idled"


def _reading_low(t: SentenceFacts) -> str:
    opening = None if t.reading is None else t.reading.explained_by_opening
    if opening is None:
        cause = "No opening of the thermostat alone explains it: check level, sensor and gauge first."
    elif t.finding.words.get("fact"):
        cause = f"A thermostat {_held(opening)} would explain it. {_seen_of_valve(t)}"
    else:
        cause = f"A thermostat {_held(opening)} would explain it, and so would a sensor that reads low.{_hose_check(t)}"
    return f"{_reading(t)} By then a healthy vehicle would be at {_expects(t)}. {cause}"


def _held(opening: float) -> str:
    """How far open it would stand, in words: the causes give the range, and no second number stands beside it."""
    if opening > _FULLY:
        return "that stands fully open, or none at all,"
    return "that does not close fully"


_FULLY = 0.9  # opening from which a valve counts as fully open


def _hose_check(t: SentenceFacts) -> str:
    if t.valve_seen or t.overtaken:
        return ""
    hose = "lower" if t.valve_at_inlet else "upper"
    return (
        f" With a healthy thermostat the {hose} radiator hose stays cool until the gauge passes 50 to 60 °C "
        "(120 to 140 °F)."
    )


def _seen_of_valve(t: SentenceFacts) -> str:
    fact = t.finding.words["fact"]
    return VALVE_SEEN_BEFORE.get(fact, VALVE_SEEN[fact]) if t.overtaken else VALVE_SEEN[fact]


def _valve_passes(t: SentenceFacts) -> str:
    opening = None if t.reading is None else t.reading.explained_by_opening
    settles = "" if opening is None else f" One with a thermostat {_held(opening)} settles at this reading."
    return (
        f"{_reading(t)} {_seen_of_valve(t)} The temperature alone does not tell: by then a healthy vehicle would be "
        f"at {_expects(t)}.{settles}"
    )


def _valve_suspected(t: SentenceFacts) -> str:
    """Its first two sentences stand on top of the window: that a healthy vehicle may read so too is among them."""
    out = "" if t.overtaken else " Look at the thermostat before you replace it."
    read = f"{_reading(t).removesuffix('.')}, as it might in a healthy vehicle."
    return f"{read} {_seen_of_valve(t)} Neither proves it: by then a healthy vehicle would be at {_expects(t)}.{out}"


def _reading_depends(t: SentenceFacts) -> str:
    too_cold, fits = (span(t.number(f"{way}_low"), t.number(f"{way}_high"), t.system) for way in ("too_cold", "fits"))
    words = t.finding.words
    said = (
        f"{_reading(t)} If it {_ran(words['too_cold'])}, that is too cold: a healthy vehicle would be at {too_cold}. "
        f"If it {_ran(words['fits'])}, it is no sign of a fault ({fits})."
    )
    if t.overtaken:
        return said
    return (
        f"{said} Note how it ran. A thermostat that does not close, or a sensor that reads low, would explain a cold "
        f"drive.{_hose_check(t)}"
    )


_IDLED = "idling"
_WHERE: Mapping[str, str] = {"town": "in town", "country road": "on a country road", "motorway": "on a motorway"}


def _ran(ways: str) -> str:
    """How it may have run, after "if it": all ways to drive are one word."""
    those = ways.split(BETWEEN_WAYS)
    idled = ["only idled"] * (_IDLED in those)
    places = [_WHERE[way] for way in those if way != _IDLED]
    driven = "was driven" if len(places) == len(_WHERE) else f"ran {' or '.join(places)}"
    return " or ".join([*idled, *([driven] if places else [])])


def _reading_undecided(t: SentenceFacts) -> str:
    opening = None if t.reading is None else t.reading.explained_by_opening
    other = "" if opening is None else f", and so could one with a thermostat {_held(opening)}"
    lacks = " Heater and cold air take all the heat that such running makes." if t.number("heat_limited") else ""
    return (
        f"{_reading(t)} That alone does not tell: a healthy vehicle could be there ({_expects(t)}){other}.{lacks} "
        f"{_hose_check(t).lstrip()}"
    ).rstrip()


def _fuel_doubted(t: SentenceFacts) -> str:
    words = t.finding.words
    throttle = "no throttle" if words["looks_like"] == "diesel" else "a closed throttle"
    return (
        f"This log looks like a {words['looks_like']} engine's: it idles with "
        f"{show(t.number('pressure'), 'absolute pressure', t.system)} in its intake, which asks for {throttle}. "
        f"The fuel entered is {words['entered']}. Which is right? The engine's heat depends on it."
    )


def _seen_hose(t: SentenceFacts) -> str:
    return HOSE_SEEN[t.finding.words["side"]]


def _too_early(t: SentenceFacts) -> str:
    return (
        f"{_reading(t)} It is too early to tell: by then a healthy vehicle would be at {_expects(t)}, and "
        f"still rise.{_read_later(t)}{_hose_check(t)}"
    )


def _read_later(t: SentenceFacts) -> str:
    return "" if t.overtaken else " Read again later."


def _warmed(t: SentenceFacts) -> str:
    return (
        f"{_reading(t)} It got warm later, so this reading alone is no sign of a fault. Healthy vehicles of the "
        f"class would be at {_expects(t)} by then."
    )


_ROUNDING = 0.5  # K; readings and ranges are told in whole degrees


def is_warm_early(finding: Finding) -> bool:
    """Whether a reading that speaks of no fault is warmer than expected by then, but no warmer than a healthy
    thermostat lets the coolant get."""
    if finding.code not in (FindingCode.READING_AGREES, FindingCode.READING_COARSE):
        return False
    n = finding.numbers
    return n["expected_high"] + _ROUNDING < n["measured"] <= n["regulates"] + _ROUNDING


def _agrees(t: SentenceFacts) -> str:
    if t.number("measured") >= max(t.number("limit") - NEAR_LIMIT, t.number("expected_high")):
        return (
            f"{_reading(t)} That is close to the limit of {t.T('limit')}; by then a healthy vehicle would be at "
            f"{_expects(t)}."
        )
    if is_warm_early(t.finding):
        return f"{_reading(t)} That is warmer than expected by then ({_expects(t)}), {WARM_EARLY}"
    if t.number("measured") + t.number("uncertainty") >= t.number("opens") - OVERCOOLED_BY:
        if t.number("measured") > t.number("expected_high") + _ROUNDING:
            return (
                f"{_reading(t)} That is hotter than nine in ten healthy vehicles by then ({_expects(t)}), but not by "
                "enough to be called a fault."
            )
        return f"{_reading(t)} That is warm: by then a healthy vehicle would be at {_expects(t)}."
    return (
        f"{_reading(t)} A healthy vehicle would be no warmer by then ({_expects(t)}). Such running makes little heat: "
        "no part need be at fault."
    )


def _high(t: SentenceFacts) -> str:
    return f"{_reading(t)} That is over the limit of {t.T('limit')}, though within the instrument's uncertainty."


def _hotter(t: SentenceFacts) -> str:
    return f"{_reading(t)} {HOTTER_THAN_HEALTHY.format(t.T('limit'))}"


def _reading_over_limit(t: SentenceFacts) -> str:
    act = "" if t.overtaken else " Stop the engine and let it cool."
    return f"{_reading(t)} That is over the limit of {t.T('limit')}.{act}"


def _without_time(t: SentenceFacts) -> str:
    return f"{_reading(t)} Without the time since the start it says nothing about warming up. Add the time."


def _coarse(t: SentenceFacts) -> str:
    return (
        f"{_reading(t)} A dash gauge sits in the middle from about 75 to 105 °C (165 to 220 °F): it says that "
        f"the engine is warm and no more."
    )


def _rig(t: SentenceFacts, says: str) -> str:
    measured, computed = (show(t.number(key), "conductance", t.system) for key in ("UA", "UA_computed"))
    off = f"{100.0 * t.number('difference'):+.0f} %"
    return f"{t.name}: measured UA {measured}, computed {computed} ({off}). {says}"


def _rig_differs(t: SentenceFacts) -> str:
    stated = t.number("UA_uncertainty") > 0.0
    return _rig(
        t,
        "The uncertainties do not explain the difference."
        if stated
        else "No uncertainty of the measured values was stated: state them to see whether the difference counts.",
    )


def _poor_balance(t: SentenceFacts) -> str:
    differ = share(abs(t.number("balance")))
    stated = " and more than the stated uncertainties" if t.number("balance_uncertainty") > 0.0 else ""
    return (
        f"{t.name}: the heat given off and the heat taken up differ by {differ}, more than the 3 % of SAE J1994"
        f"{stated}. Check flows and probes before comparing."
    )


def _fan_switches(t: SentenceFacts) -> str:
    between = span(t.number("lowest"), t.number("highest"), t.system, "and")
    return f"{t.name}: the fan switches on and off; the coolant swings between {between}."


def _valve_hunts(t: SentenceFacts) -> str:
    between = span(t.number("lowest"), t.number("highest"), t.system, "and")
    return (
        f"{t.name}: the thermostat hunts: it opens, cold coolant comes back from the radiator, it shuts, and so "
        f"on; the coolant swings between {between}, {t.T('mean')} on average."
    )


def _fan_with_conditioning(t: SentenceFacts) -> str:
    return (
        f"{t.name}: the fan runs because the air conditioning is on, though the coolant does not ask for it. That "
        "is by design and no fault. It goes off with the air conditioning."
    )


def _fan_part_speed(t: SentenceFacts) -> str:
    return (
        f"{t.name}: the fan turns at about {share(t.number('speed'))} of its full speed. That is by design: it is "
        "faster when the coolant is hotter. A weak fan stays slow even then."
    )


def _shutter_shut(t: SentenceFacts) -> str:
    return (
        f"{t.name}: the grille shutter is {share(t.number('opening'))} open, by design: it opens between "
        f"{t.T('opens')} and {t.T('full')} of coolant. One that stays shut when the coolant is hotter than that is "
        "at fault."
    )


def _cooler_short(t: SentenceFacts) -> str:
    words = t.finding.words
    most = t.number("oil_most")
    name = words["cooler"] or KINDS[words["kind"]]
    first = f"{t.name}: the {name} passes {t.Q('heat')} of the {t.Q('asked')} asked of it."
    if most > 0.0:
        return f"{first} Its oil would have to be hotter than the {t.T('oil_most')} that it may be: the oil overheats."
    return f"{first} What it cools would have to be hotter than such a system allows."


def _cabin_cold(t: SentenceFacts) -> str:
    return (
        f"{t.name}: on full hot the vents blow {t.T('vent')} and the cabin would settle at {t.T('cabin')}, "
        f"short of the {t.T('target')} wanted."
    )


def _assumed(t: SentenceFacts) -> str:
    words = t.finding.words["assumption"]
    return f"{capital(words)}."


def _cavitates(t: SentenceFacts) -> str:
    left, needed = (show(t.number(key), "pump pressure", t.system, 2) for key in ("left", "needed"))
    return (
        f"{t.name}: the coolant reaches the pump at {t.T('inlet')}, with {left} over its vapour pressure. At this speed "
        f"and flow the pump needs about {needed}. It is likely to cavitate: less flows then than is computed. "
        "Check cap and level."
    )


def _scaled(t: SentenceFacts) -> str:
    words = {
        "rated point": "the maker's point comes out",
        "measured points": "the measured points come out on average",
        "a factor that was typed": "it is as you know it",
    }[t.finding.words["to"]]
    return (
        f"The radiator's conductance from its dimensions is multiplied by {plain_number(t.number('ua_scale'), 2)}, "
        f"so that {words}."
    )


def _plain(*parts: str) -> Callable[[SentenceFacts], str]:
    """A sentence without numbers; ``{name}`` stands for the duty."""
    return lambda t: " ".join(parts).format(name=t.name)


SENTENCES: Mapping[FindingCode, Callable[[SentenceFacts], str]] = {
    FindingCode.OVER_LIMIT: _over_limit,
    FindingCode.BOILS: _boils,
    FindingCode.FREEZES: freezes,
    FindingCode.NO_FLOW: _plain("{name}: no coolant flows, so nothing settles.", "Check pump drive, level and valves."),
    FindingCode.OUTSIDE_MODEL: _plain("{name}: the model does not reach so far; there is no answer."),
    FindingCode.OVERCOOLED: _overcooled,
    FindingCode.HEAT_LIMITED: _heat_limited,
    FindingCode.MARGIN_SMALL: _margin_small,
    FindingCode.ODDS_SMALL: _odds_small,
    FindingCode.HOLDS: _holds,
    FindingCode.WHAT_LIMITS: _what_limits,
    FindingCode.LIMIT_IS_BOILING: _boiling_limits,
    FindingCode.FAN_SWITCHES: _fan_switches,
    FindingCode.VALVE_HUNTS: _valve_hunts,
    FindingCode.FAN_WITH_CONDITIONING: _fan_with_conditioning,
    FindingCode.FAN_PART_SPEED: _fan_part_speed,
    FindingCode.SHUTTER_SHUT: _shutter_shut,
    FindingCode.COOLER_SHORT: _cooler_short,
    FindingCode.HOLDS_IN_ANY_WEATHER: _plain("{name}: the limit holds in any air up to 70 °C (158 °F)."),
    FindingCode.HOLDS_IN_NO_WEATHER: _plain("{name}: the limit breaks in the coldest air as well."),
    FindingCode.HOLDS_IN_TIME: _holds_in_time,
    FindingCode.POWER_LIMITED: lambda t: power_limited(t.name, t.finding.numbers, t.finding.words, t.system),
    FindingCode.POWER_AT_WHEELS: lambda t: power_at_wheels(t.name, t.finding.numbers, t.system),
    FindingCode.POWER_AT_CRANK: lambda t: power_at_crank(t.name, t.finding.numbers, t.system),
    FindingCode.SHARES_IMPOSSIBLE: _plain(
        "{name}: power and the shares of heat add up to more than the fuel brings;",
        "the share into the metal was cut. Check efficiency, shares and fuel flow.",
    ),
    FindingCode.EFFICIENCY_IMPOSSIBLE: _plain(
        "Rated power, friction and brake thermal efficiency do not go together:",
        "the engine would make more work than its fuel holds. Check them.",
    ),
    FindingCode.HEATER_IMPOSSIBLE: _plain(
        "No heater core gives its rated heat at the rated flows and difference:",
        "it is computed as a very large one. Check the heater's four rated numbers.",
    ),
    FindingCode.RATED_POINT_IMPOSSIBLE: _plain(
        "No core of this arrangement gives the maker's rated heat at the rated flows:",
        "the dimensions alone count. Check the maker's four numbers.",
    ),
    FindingCode.CABIN_COLD: _cabin_cold,
    FindingCode.CAVITATES: _cavitates,
    FindingCode.VALVE_MISSING: _plain(
        "There is no thermostat in the housing, as entered; it is compared with a healthy one of that rating."
    ),
    FindingCode.NO_HEAT_SOURCE: _plain(
        "Nothing heats the coolant, so it settles at the air's temperature: enter the rig's heater under Coolant",
        "circuit (a source of heat, its watts), or measured points under Bench rig.",
    ),
    FindingCode.SPEED_GUESSED: _plain(
        "{name}: no engine speed was given; the one among the results is a guess from speed and load."
    ),
    FindingCode.READING_AGREES: _agrees,
    FindingCode.READING_LOW: _reading_low,
    FindingCode.READING_HIGH: _high,
    FindingCode.READING_HOTTER: _hotter,
    FindingCode.READING_OVER_LIMIT: _reading_over_limit,
    FindingCode.READING_REFUSED: _plain(
        "An infrared reading on bare metal is not used: it can be tens of degrees low.",
        "Put tape or paint on the spot, or use a probe.",
    ),
    FindingCode.READING_WITHOUT_TIME: _without_time,
    FindingCode.READING_COARSE: _coarse,
    FindingCode.TOO_EARLY: _too_early,
    FindingCode.READING_WARMED: _warmed,
    FindingCode.READING_DEPENDS: _reading_depends,
    FindingCode.READING_UNDECIDED: _reading_undecided,
    FindingCode.VALVE_PASSES: _valve_passes,
    FindingCode.VALVE_SUSPECTED: _valve_suspected,
    FindingCode.HEATER_SIDE: _plain(
        "The coolant is warm: if the cabin stays cold all the same, look at the heater:",
        "its hoses, valve, flap, core and blower.",
    ),
    FindingCode.SEEN_VALVE_OPEN: _seen_of_valve,
    FindingCode.SEEN_HOSE: _seen_hose,
    FindingCode.SEEN: lambda t: ACTS_SEEN[t.finding.words["fact"]],
    FindingCode.FUEL_DOUBTED: _fuel_doubted,
    FindingCode.VENT_BELOW_AIR: lambda t: vent_below_air(t.finding.numbers, t.system),
    FindingCode.HEATER_UNKNOWN: _plain(
        "The heater setting was not noted, so anything from off to full was allowed for;",
        "noting it narrows the answer.",
    ),
    FindingCode.RUNNING_UNKNOWN: _plain(
        "How it ran since the start was not noted, so both driving and idling were allowed for;",
        "noting it narrows the answer most.",
    ),
    FindingCode.WARM_UP: lambda t: warm_up_told(t.finding, t.system),
    FindingCode.UA_SCALED: _scaled,
    FindingCode.RATED_POINT_DOUBTED: lambda t: rated_point_doubted(t.finding.numbers, t.system),
    FindingCode.PITCH_DIFFERS: lambda t: pitch_differs(t.finding.numbers, t.system),
    FindingCode.RIG_AGREES: lambda t: _rig(t, "They agree within their uncertainties."),
    FindingCode.RIG_DIFFERS: _rig_differs,
    FindingCode.RIG_BALANCE_POOR: _poor_balance,
    FindingCode.RIG_IMPOSSIBLE: _plain(
        "{name}: no exchanger of this arrangement passes on so much heat at these flows.",
        "Check flows and temperatures.",
    ),
    **{
        code: (lambda t: bench_finding(t.name, t.finding, t.system))
        for code in FindingCode
        if code.name.startswith("BENCH_")
    },
    FindingCode.BY_DESIGN: lambda t: by_design_sentence(t.name, t.finding, t.system),
    FindingCode.ASSUMED: _assumed,
}
