"""What is said alike of several duties is said once, and nothing is lost."""

from __future__ import annotations

from engcalc.verdict import FindingLevel
from engcalc.words.answer.reasons import Reason
from engcalc.words.terms.gathering import gathered

DUTIES = ["Idle", "Town", "Hill"]


def reason(text: str, about: str, code: str = "x") -> Reason:
    return Reason(code, FindingLevel.NOTE, text, about)


def texts(*found: Reason) -> list[str]:
    return [r.text for r in gathered(found, DUTIES)]


def test_the_same_of_two_duties_is_said_once_with_both_names_at_the_first_place() -> None:
    told = texts(
        reason("Idle: it holds.", "Idle"), reason("Hill: too hot.", "Hill", "y"), reason("Town: it holds.", "Town")
    )
    assert told == ["Idle; Town: it holds.", "Hill: too hot."]


def test_the_same_of_every_duty_names_none() -> None:
    assert texts(*(reason(f"{name}: it holds.", name) for name in DUTIES)) == ["Every duty: it holds."]


def test_where_few_of_many_are_left_out_those_are_named() -> None:
    many = [f"D{i}" for i in range(1, 7)]

    def told(*left: str) -> str:
        found = gathered([reason(f"{name}: it holds.", name) for name in many if name not in left], many)
        return found[0].text

    assert told("D2") == "Every duty but D2: it holds."
    assert told("D2", "D5") == "D1; D3; D4; D6: it holds."  # as many names to read
    assert told("D1", "D2", "D3") == "D4; D5; D6: it holds."


def test_two_duties_that_are_all_keep_their_names() -> None:
    found = gathered([reason("A: it holds.", "A"), reason("B: it holds.", "B")], ["A", "B"])
    assert [r.text for r in found] == ["A; B: it holds."]


def test_what_differs_stays_apart_and_a_sentence_without_a_name_is_said_once() -> None:
    assert texts(reason("Idle: 3 K.", "Idle"), reason("Town: 4 K.", "Town")) == ["Idle: 3 K.", "Town: 4 K."]
    assert texts(reason("The heater was not noted.", "spots[0]"), reason("The heater was not noted.", "spots[1]")) == [
        "The heater was not noted."
    ]


def test_the_first_of_those_alike_gives_code_and_weight() -> None:
    assert gathered([reason("Idle: it holds.", "Idle"), reason("Town: it holds.", "Town")], DUTIES)[0].code == "x"
