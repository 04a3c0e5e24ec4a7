"""What is drawn, the bands, slips that are really made, lists and answers as people write them."""

from __future__ import annotations

import dataclasses

import pytest

from engcalc.classroom.class_order import ClassOrder
from engcalc.classroom.draw import answer_text, draw
from engcalc.classroom.marking import AnswerOutcome, class_answers, class_names, mark
from engcalc.classroom.problem import PosedProblem, pose
from engcalc.classroom.symbols import SymbolSet, printed
from engcalc.classroom.topics import TOPICS
from engcalc.errors import InputError, RangeError
from engcalc.units import UnitSystem
from engcalc.words.lesson.classroom_words import mark_line


def test_the_same_seed_and_name_give_the_same_and_others_give_others() -> None:
    topic = TOPICS["counterflow"]
    one = pose(topic, 4, "Ada North")
    assert pose(topic, 4, "Ada North") == one
    assert pose(topic, 4, "Ben Ost").givens != one.givens
    assert pose(topic, 5, "Ada North").givens != one.givens


@pytest.mark.parametrize("name", ["ada north", " ADA  North ", "Ada\u00a0North"])
def test_a_name_written_in_another_way_is_the_same_person(name: str) -> None:
    """Who signed an answer in small letters was marked against another key."""
    topic = TOPICS["counterflow"]
    assert pose(topic, 1, name).givens == pose(topic, 1, "Ada North").givens
    order = ClassOrder(topic, names=("Ada North", "Ben Ost"))
    key = order.posed_to("Ada North").asked
    row = ",".join([name, *(one.text for one in key)])
    first, second = order.marked(f"name,{','.join(one.symbol for one in key)}\n{row}\n")
    assert [one.outcome for one in first.marks] == [AnswerOutcome.RIGHT] * len(key)
    assert (first.problem.name, second.problem.name) == ("Ada North", "Ben Ost")
    with pytest.raises(InputError, match="each name once"):
        class_names(f"Ada North\n{name}\n")


def test_numbers_of_a_known_seed_stay() -> None:
    """Sheets printed last year are still those of their seed."""
    found = {number.symbol: number.text for number in pose(TOPICS["counterflow"], 1, "Ada North").givens}
    assert found == PRINTED


PRINTED = {"m_h": "1.20", "m_c": "0.945", "T_h_in": "89.4", "T_c_in": "11.3", "U": "696", "A": "3.67"}


@pytest.mark.parametrize("topic", TOPICS)
def test_every_slip_lies_outside_the_band_of_some_answer(topic: str) -> None:
    for seed in range(30):
        problem = pose(TOPICS[topic], seed)
        for slip, made in problem.slips:
            assert not made or any(abs(made[a.symbol] - a.exact) > 2.0 * a.band for a in problem.asked), slip.key


@pytest.mark.parametrize("topic", TOPICS)
def test_every_slip_leads_to_a_number_on_most_sheets_and_is_named(topic: str) -> None:
    for place, slip in enumerate(TOPICS[topic].slips):
        named = 0
        for seed in range(20):
            problem = pose(TOPICS[topic], seed)
            made = problem.slips[place][1]
            found = mark(problem, {s: float(answer_text(TOPICS[topic], s, value)) for s, value in made.items()})
            named += any(one.outcome is AnswerOutcome.SLIP and one.slip == slip.key for one in found.marks)
        assert named >= 12, (slip.key, named)


def test_a_band_is_what_the_printed_digits_leave() -> None:
    """q = m c (T1 - T2) to first order: half a unit of each printed number, and of the answer, worked by hand."""
    problem = pose(TOPICS["heat-balance"], 3)
    printed_numbers = {n.symbol: n for n in (*problem.givens, *problem.looked_up)}
    m, c = printed_numbers["m_h"], printed_numbers["c_h"]
    fall = printed_numbers["T_h_in"].value - printed_numbers["T_h_out"].value
    q = m.value * c.value * fall
    share = m.half_step / m.value + c.half_step / c.value + 2.0 * 0.05 / fall
    asked = problem.asked[0]
    rounding = 0.5 * 10.0 ** (len(str(int(q))) - 3)
    assert asked.exact == pytest.approx(q, rel=1e-12)
    assert asked.band == pytest.approx(share * q + rounding, rel=2e-3)


def test_a_topic_whose_bounds_allow_nothing_says_so() -> None:
    hopeless = dataclasses.replace(TOPICS["counterflow"], conditions=("NTU - 1000",))
    with pytest.raises(RangeError, match="gave no sensible problem"):
        draw(hopeless, 1, "", UnitSystem.SI, {})


def test_a_formula_that_misses_the_engine_is_not_printed() -> None:
    record = TOPICS["turbulent-tube"]
    lines = tuple(
        dataclasses.replace(line, formula=f"1.001*({line.formula})") if line.symbol == "Nu" else line
        for line in record.lines
    )
    with pytest.raises(RangeError, match="Nu comes out as"):
        pose(dataclasses.replace(record, lines=lines), 1)


@pytest.mark.parametrize("symbols", SymbolSet)
@pytest.mark.parametrize("topic", TOPICS)
def test_no_symbol_of_a_sheet_stands_for_two_things(topic: str, symbols: SymbolSet) -> None:
    record = TOPICS[topic]
    shown: dict[str, set[str]] = {}
    for one in (*record.givens, *record.looked_up, *record.lines):
        shown.setdefault(printed(one.symbol, symbols), set()).add(one.symbol.removesuffix("_mm"))
    assert {text: names for text, names in shown.items() if len(names) > 1} == {}


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("name\nAda North\nBen Ost\n", ("Ada North", "Ben Ost")),
        ("\ufeffnumber;Name;group\n1;Ada North;a\n2;Ben Ost;b\n", ("Ada North", "Ben Ost")),
        ("Ada North\nBen Ost", ("Ada North", "Ben Ost")),
        ("North, Ada\n", ("North",)),
        ("name\nJo\u0308rg\u00a0 Ost\n", ("Jörg Ost",)),
        ('name\n"North, Ada"\n\n', ("North, Ada",)),
    ],
)
def test_class_lists_as_people_write_them(text: str, names: tuple[str, ...]) -> None:
    assert class_names(text) == names


def test_faults_of_a_class_list_are_named_all_at_once() -> None:
    with pytest.raises(InputError) as caught:
        class_names("name\nAda\nAda\n" + "x" * 81 + "\n")
    assert [fault.given[:3] for fault in caught.value.faults] == ["Ada", "xxx"]
    for empty in ("", "name\n", "\n\n"):
        with pytest.raises(InputError, match="without names"):
            class_names(empty)
    with pytest.raises(InputError, match="at most 500"):
        class_names("\n".join(f"person {number}" for number in range(501)))


def posed(name: str) -> PosedProblem:
    return pose(TOPICS["counterflow"], 4, name)


def test_answers_as_people_write_them() -> None:
    found = class_answers("Name;q [W];T_c_out\nAda;123000 W;36,9 °C\nBen;1.2e5;\n", posed)
    assert [(one.name, dict(one.values)) for one in found] == [
        ("Ada", {"q": 123000.0, "T_c_out": 36.9}),
        ("Ben", {"q": 120000.0, "T_c_out": None}),
    ]


@pytest.mark.parametrize("head", ["Q̇;ϑ_c,out", "Q̇ [W];ϑ_c_out [°C]", "q;T_c_out", "q̇;ϑ_C,out"])
def test_answers_may_be_headed_by_the_symbols_of_their_sheets(head: str) -> None:
    """A table headed Q̇ and ϑ_c,out, as the sheet of set B has it, was refused and q was asked for."""
    found = class_answers(f"name;{head}\nAda;123000;36,9\n", posed, symbols=SymbolSet.B)
    assert dict(found[0].values) == {"q": 123000.0, "T_c_out": 36.9}
    with pytest.raises(InputError, match=r"the columns name, q \(Q̇\), T_c_out \(ϑ_c,out\)"):
        class_answers("name;heat\nAda;5\n", posed, symbols=SymbolSet.B)
    with pytest.raises(InputError, match="q in W, as the sheet asks"):
        class_answers("name;Q̇ [kW];ϑ_c,out\nAda;123;36,9\n", posed, symbols=SymbolSet.B)


def test_answers_that_do_not_read_are_named_all_at_once() -> None:
    with pytest.raises(InputError) as caught:
        class_answers("name,q,T_c_out\nAda,12 kW,about 36\nAda,5,5\n", posed)
    assert [(fault.path, fault.given) for fault in caught.value.faults] == [
        ("answers, row 2", "12 kW"),
        ("answers, row 2", "about 36"),
        ("answers, row 3", "Ada"),
    ]
    with pytest.raises(InputError, match=r"is 12\.345 or 12345 meant"):
        class_answers('name;q;T_c_out\nAda;"12,345";36,9\n', posed)
    with pytest.raises(InputError, match="no table"):
        class_answers("name,q,T_c_out\n" + "9" * 200_000 + ",5,5\n", posed)
    with pytest.raises(InputError, match="the columns name, q, T_c_out"):
        class_answers("name,heat\nAda,5\n", posed)
    with pytest.raises(InputError, match="no answers"):
        class_answers("name,q,T_c_out\n", posed)


def test_a_head_in_another_unit_is_named_and_no_right_answer_is_marked_wrong() -> None:
    with pytest.raises(InputError) as caught:
        class_answers("name,q [kW],T_c_out [K]\nAda,123,about 36\n", posed)
    assert [(fault.given, fault.wanted) for fault in caught.value.faults[:2]] == [
        ("q [kW]", "q in W, as the sheet asks"),
        ("T_c_out [K]", "T_c_out in °C, as the sheet asks"),
    ]
    assert len(caught.value.faults) == 3, "the cell that does not read is named with them"
    assert class_answers("name,q [W],T_c_out [degC]\nAda,123000,36.9\n", posed)


def outcomes(problem: PosedProblem, **given: float) -> list[tuple[AnswerOutcome, str]]:
    return [(one.outcome, one.slip) for one in mark(problem, given).marks]


def test_right_at_the_edge_of_the_band_and_wrong_beyond() -> None:
    problem = posed("Ada")
    heat = problem.asked[0]
    assert outcomes(problem, q=heat.exact + 0.999 * heat.band)[0] == (AnswerOutcome.RIGHT, "")
    assert outcomes(problem, q=heat.exact - 0.999 * heat.band)[0] == (AnswerOutcome.RIGHT, "")
    assert outcomes(problem, q=heat.exact + 1.001 * heat.band)[0] == (AnswerOutcome.WRONG, "")
    assert outcomes(problem)[1] == (AnswerOutcome.MISSING, "")


def test_powers_of_ten_and_signs() -> None:
    problem = posed("Ada")
    heat = problem.asked[0].exact
    assert outcomes(problem, q=heat / 1000.0)[0] == (AnswerOutcome.POWER_OF_TEN, "")
    assert outcomes(problem, q=-heat)[0] == (AnswerOutcome.SIGN, "")
    assert outcomes(problem, q=heat * 1.37)[0] == (AnswerOutcome.WRONG, "")
    assert outcomes(problem, T_c_out=problem.asked[1].exact * 10.0)[1] == (AnswerOutcome.WRONG, "")


def test_each_outcome_is_told_with_the_key() -> None:
    problem = posed("Ada")
    heat = problem.asked[0]
    swapped = dict(problem.slips[0][1])
    for given in ({"q": heat.exact / 1000.0}, {"q": -heat.exact}, {"q": 1.37 * heat.exact}, {}, {"q": swapped["q"]}):
        told = mark_line(mark(problem, given).marks[0], problem, SymbolSet.B)
        assert told.startswith("Q̇: ")
        assert heat.text in told
    assert "larger capacity rate" in told
    assert mark_line(mark(problem, {"q": heat.exact}).marks[0], problem, SymbolSet.A) == "q: right."
