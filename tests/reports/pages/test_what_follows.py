"""Page two says what follows the next step: further checks, the proof of the repair, what to mind and to watch for.

The order of the checks and what proves a repair are common practice, no source.
"""

from __future__ import annotations

import pypdfium2
import pytest
from less_effort import FEW
from told_cases import BY_NAME, CASES, NOON, ToldCase, answered, customer_pages

from engcalc.case.case import Case
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from engcalc.diagnosis.checks.part_checks import EVERY_CHECK
from engcalc.diagnosis.conclusion import conclude
from engcalc.diagnosis.grounds import GroundCode, VehicleState
from engcalc.diagnosis.odds.diagnosis import diagnose
from engcalc.diagnosis.whole_check import check_with_records
from engcalc.units import UnitSystem
from engcalc.words.diagnosis.causes import check_cautions
from engcalc.words.diagnosis.causes_told import next_by_odds, offered_checks
from engcalc.words.diagnosis.what_follows import checks_after, proof_after, proof_cautions, watched_for
from engcalc.words.page.paper_words import IF_LEFT
from engcalc.words.terms.numbers import temperature
from engcalc.words.texts import page_texts
from reports.build import Options, build
from reports.kinds import Annex, ReportKind
from reports.pages.customer import FITS

IN_DANGER = [told for told in CASES if told.danger != "none"]
FAN = ["fan_fuse", "fan_relay", "fan_motor", "fan_switch"]
FIRST: dict[str, list[str]] = {  # the first checks after the box, as the trade makes them
    "hot at idle, fan still": FAN,
    "fan still, not read": FAN,
    "fan fuse blown": ["fan_motor"],
    "fan motor dead, hot": [],
    "bubbles, low level, hot, gas": ["gas_from_which_cylinder"],
    "gas, all else normal": ["gas_from_which_cylinder"],
    "at the limit": ["level_and_bubbles", "fan_commanded"],
    "cap does not hold": ["cap_seal_and_neck"],
    "lost in the cabin, level low": ["leak_by_dye"],
}


def squeezed(text: str) -> str:
    return "".join(text.split())


@pytest.mark.parametrize("name", FIRST)
def test_the_checks_after_the_box_are_those_of_the_part_that_was_found(name: str) -> None:
    case = answered(name)[1].check
    keys = [check.key for check in checks_after(conclude(case), case.case, None)]
    assert keys[: len(FIRST[name])] == FIRST[name]
    if not FIRST[name]:
        assert keys == []


@pytest.mark.parametrize("told", IN_DANGER, ids=lambda told: told.name)
def test_page_two_has_checks_and_proof_once_with_their_cautions(told: ToldCase) -> None:
    check = answered(told.name)[1].check
    first, second = map(squeezed, customer_pages(told.name))
    found = conclude(check)
    checks = checks_after(found, check.case, None)[:4]
    in_full = [one for one in checks if squeezed(one.how) in second]
    assert in_full == list(checks[: len(in_full)]), "those that have no room are the last ones, named by title"
    assert in_full or not checks
    assert [one.key for one in checks if (first + second).casefold().count(squeezed(one.title).casefold()) < 1] == []
    assert [one.key for one in in_full if (first + second).count(squeezed(one.how)) != 1] == []
    mind = {*proof_cautions(check), *(text for one in in_full for text in check_cautions(one.key, check.case))}
    assert (first + second).count(squeezed(proof_after(check, UnitSystem.SI))) == 1
    assert [text for text in mind if (first + second).count(squeezed(text)) != 1] == [], "in the box or on page two"


def test_there_is_room_for_all_that_finds_the_fans_part() -> None:
    second = squeezed(customer_pages("hot at idle, fan still")[1])
    assert [key for key in FAN if squeezed(EVERY_CHECK[key].how) not in second] == []


QUIET = [c for c in CASES if c.danger == "none"]
WATCHED: dict[str, tuple[str, str, str]] = {  # how its proof begins, the heading for its driver, and when to come back
    "cold in frost, upper hose warm early": (
        "Drive it again from a cold start, the same way",
        page_texts.UNTIL_THEN,
        page_texts.COLD_COME_BACK,
    ),
    "thermostat open when cold": (page_texts.FROM_A_COLD_START, page_texts.UNTIL_THEN, page_texts.COLD_COME_BACK),
    "heater cold, gauge normal": (page_texts.PROOF_OF_HEAT, page_texts.UNTIL_THEN, page_texts.COLD_COME_BACK),
    "complaint alone": (page_texts.PROOF_OF_COOLING[:34], page_texts.UNTIL_THEN, page_texts.HOT_COME_BACK),
    "lost in the cabin, nobody looked": (
        page_texts.PROOF_OF_TIGHTNESS,
        page_texts.UNTIL_THEN,
        page_texts.LEVEL_COME_BACK,
    ),
    "warm after 26 min": ("", page_texts.UNTIL_IT_IS_FOUND, page_texts.COLD_COME_BACK),
    "repaired, read twice": ("", page_texts.FROM_NOW_ON, page_texts.COLD_AGAIN),
    "repaired and seen": ("", page_texts.FROM_NOW_ON, page_texts.HOT_AGAIN),
    "normal, no complaint": ("", "", ""),
    "nothing typed": ("", "", ""),
}


@pytest.mark.parametrize("name", WATCHED)
def test_proof_and_signs_to_watch_for_are_those_of_what_was_found(name: str) -> None:
    proof, heading, come_back = WATCHED[name]
    check = answered(name)[1].check
    said = proof_after(check, UnitSystem.SI)
    assert said.startswith(proof)
    assert bool(said) is bool(proof)
    found, signs = watched_for(check)
    assert found == heading
    assert come_back in signs or (come_back, signs) == ("", ())


@pytest.mark.parametrize("told", QUIET, ids=lambda told: told.name)
def test_without_a_danger_the_pages_say_once_what_follows(told: ToldCase) -> None:
    check = answered(told.name)[1].check
    first, second = map(squeezed, customer_pages(told.name))
    heading, signs = watched_for(check)
    proof = proof_after(check, UnitSystem.SI)
    for text in (proof, *proof_cautions(check)):
        assert squeezed(text) in second
    for text in (proof, heading, *signs, *proof_cautions(check)):
        if text:
            assert (first + second).count(squeezed(text)) == 1, text
    assert (squeezed(page_texts.PROOF_AFTER_THE_REPAIR) in second) is bool(proof)
    found = conclude(check)
    if found.state is VehicleState.HEALTHY:
        assert (squeezed(page_texts.AFTER_THE_NEXT_STEP) in second) is (found.lead.code is GroundCode.AGREES_SO_FAR)


def test_what_the_driver_watches_for_stands_beneath_what_comes_of_leaving_it_and_leaves_page_two_room() -> None:
    """Signed and with odds, page two had no room for it: checks, proof and signs were all left out, page one was half
    empty."""
    first, second = map(squeezed, customer_pages("cold in frost, upper hose warm early"))
    assert first.index(squeezed(IF_LEFT)) < first.index(squeezed(page_texts.UNTIL_THEN))
    assert squeezed(page_texts.COLD_COME_BACK) in first
    assert squeezed(page_texts.UNTIL_THEN) not in second


def test_the_proof_of_a_cold_engine_is_read_as_late_as_what_showed_it() -> None:
    check = answered("cold in frost, upper hose warm early")[1].check
    (cold,) = check.readings
    for system in UnitSystem:
        said = proof_after(check, system)
        assert "Read the coolant with a scan tool 20 min after the start" in said
        assert f"a healthy vehicle is at {temperature(cold.expected_low, system)} or more by then" in said


def test_a_check_that_the_odds_ask_for_first_is_not_named_again_among_those_after_it() -> None:
    text, whole = answered("heater cold, gauge normal")
    odds = diagnose(whole.check.case, {}, effort=FEW)
    asked = next_by_odds(odds)
    assert asked is not None
    pdf = build(whole.check, text, ReportKind.CUSTOMER, NOON, Options(annex=Annex.NONE, diagnosis=odds)).pdf
    with pypdfium2.PdfDocument(pdf) as document:
        first, second = (squeezed(page.get_textpage().get_text_bounded()) for page in document)
    doubt = squeezed("It is not clear yet whether something is wrong.")
    assert doubt not in first, "it stood beneath: the fault is on the heater's side"
    assert squeezed("These readings do not show yet which part it is.") in first
    title = squeezed(EVERY_CHECK[asked.key].title)
    assert second.casefold().count(title.casefold()) == 1
    assert squeezed(page_texts.AFTER_THE_NEXT_STEP) in second


def test_the_proof_names_the_limit_that_was_passed() -> None:
    """115 degC is typed in these cases; a fan that nobody read a temperature of has no number to name."""
    read, not_read = (answered(name)[1].check for name in ("hot at idle, fan still", "fan still, not read"))
    assert "must stay under 115 °C" in proof_after(read, UnitSystem.SI)
    assert "must stay under 239 °F" in proof_after(read, UnitSystem.US)
    assert "must stay under its limit" in proof_after(not_read, UnitSystem.SI)


def test_with_odds_they_are_the_checks_that_the_odds_offer() -> None:
    """Screen and command line list the same, in the same order."""
    text, whole = answered("hot at idle, fan still")
    odds = diagnose(whole.check.case, {}, effort=FEW)
    offered = [EVERY_CHECK[one.key] for one in offered_checks(odds, after_another=True)]
    assert list(checks_after(conclude(whole.check), whole.check.case, odds)) == offered
    options = Options(annex=Annex.NONE, diagnosis=odds)
    assert build(whole.check, text, ReportKind.CUSTOMER, NOON, options).pdf


def test_a_box_that_sends_to_the_level_and_then_to_the_fan_is_followed_in_that_order() -> None:
    whole = answered("at the limit")[1]
    odds = diagnose(whole.check.case, {}, effort=FEW)
    keys = [check.key for check in checks_after(conclude(whole.check), whole.check.case, odds)]
    assert keys[0] == "level_and_bubbles"
    assert "level_and_bubbles" not in keys[1:]


@pytest.mark.parametrize(("name", "bubbles"), [("bubbles, low level, hot, gas", True), ("gas, all else normal", False)])
def test_a_look_for_bubbles_does_not_stand_for_the_test_that_finds_the_cylinder(name: str, bubbles: bool) -> None:
    assert BY_NAME[name].sections["evidence"]["before"]["seen"]["bubbles_when_running"] is bubbles
    case = answered(name)[1].check
    assert "gas_from_which_cylinder" in [c.key for c in checks_after(conclude(case), case.case, None)]


def test_on_the_shorter_paper_the_proof_stands_though_the_signs_have_no_room() -> None:
    """Of a cold heater on US paper page two left out the further checks and the proof, a quarter of it empty."""
    spots = [
        {"what": "coolant", "at": "25 min", "value": "half", "instrument": "dash_gauge"},
        {"what": "vent", "at": "25 min", "value": "14 degC", "instrument": "vent_probe"},
        {"what": "heater_inlet_hose", "at": "25 min", "value": "too hot to hold", "instrument": "hand"},
        {"what": "heater_outlet_hose", "at": "25 min", "value": "cold", "instrument": "hand"},
    ]
    ran = {"ambient": "2 degC", "heater_setting": "high", "driving": "town", "seen": {"vent_cold": True}}
    text = CaseText(
        {
            "format": "heatdocket-case/1",
            "vehicle": {"class": "family car"},
            "job": {"complaint": "The heater blows cold.", "told": {"heater_cold_gauge_normal": True}},
            "evidence": {"before": {**ran, "spots": spots}},
        }
    )
    case = resolve(text)
    assert isinstance(case, Case), case
    check = check_with_records(case, {}, members=20).check
    options = Options(annex=Annex.NONE, diagnosis=diagnose(case, {}, effort=FEW), system=UnitSystem.US)
    with pypdfium2.PdfDocument(build(check, text, ReportKind.CUSTOMER, NOON, options).pdf) as document:
        second = squeezed(document[1].get_textpage().get_text_bounded())
    assert squeezed(page_texts.AFTER_THE_NEXT_STEP) in second
    assert squeezed(proof_after(check, UnitSystem.US)) in second


def test_the_signs_to_watch_for_give_way_before_the_proof_does() -> None:
    assert [fit.follows for fit in FITS if not fit.watched] == [True, False]
