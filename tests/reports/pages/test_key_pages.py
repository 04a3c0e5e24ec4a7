"""The lines of a key: a formula and the same with its numbers, beside one another where there is room."""

from __future__ import annotations

import pytest
from reportlab.platypus import KeepTogether

from engcalc.classroom.problem import WorkedLine, pose
from engcalc.classroom.symbols import SymbolSet
from engcalc.classroom.topics import TOPICS
from reports.pages.derivation import MOST_PUT_IN
from reports.pages.worksheet import key_pages
from reports.tagging import Tagged

WIDE, NARROW = 480.0, 60.0  # pt; a page's column, and one in which no formula fits twice


def drawn(topic: str, width: float) -> list[tuple[WorkedLine, list[str]]]:
    """Each line with a formula, and what a screen reader says of the formulas drawn for it."""
    problem = pose(TOPICS[topic], 1)
    blocks = [part for part in key_pages(problem, SymbolSet.A, width) if isinstance(part, KeepTogether)]
    found = []
    for line, block in zip(problem.lines, blocks, strict=True):
        formulas = [part for part in block._content if isinstance(part, Tagged) and part.role == "Formula"]
        assert all(one.inner.width <= width for one in formulas)
        if not line.line.converts:
            found.append((line, [one.alternative for one in formulas]))
    return found


def test_formula_and_numbers_share_a_line():
    """Each took one of its own, and a key one half more paper."""
    said = drawn("crossflow-unmixed", WIDE)
    assert [len(formulas) for _, formulas in said] == [1] * 10
    assert said[0][1] == ["C_h = mdot_h * c_p_h. C_h = 0.634 * 3527"]


def test_where_both_do_not_fit_each_has_a_line():
    said = drawn("crossflow-unmixed", NARROW)
    assert [len(formulas) for _, formulas in said] == [2] * 10
    assert said[0][1] == ["C_h = mdot_h * c_p_h", "C_h = 0.634 * 3527"]


@pytest.mark.parametrize("topic", list(TOPICS))
def test_every_line_shows_its_numbers_in_the_formula_but_where_they_are_too_many(topic):
    for line, formulas in drawn(topic, WIDE):
        texts = [number.text for number in line.inputs.values()]
        shown = f"{' '.join(formulas)} "
        if len(texts) > MOST_PUT_IN:
            assert len(formulas) == 1
            assert not any(text in shown for text in texts if "." in text)
        else:
            assert shown.count(" = ") == 2
            assert [text for text in texts if f"{float(text):.10g}" not in shown] == []
