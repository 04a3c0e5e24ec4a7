"""Templates of tables of parts: each is read as it is, and what it holds goes into a case."""

from __future__ import annotations

import pytest

import worked_examples
from engcalc.case.case import Case
from engcalc.case.file import read_case
from engcalc.case.resolve import resolve
from engcalc.studies.choice.candidates import with_part
from engcalc.studies.choice.table_templates import PartKind, template
from engcalc.studies.choice.tables import parse_table

TEXT = read_case(worked_examples.folder() / "tow-and-track.heatcase.json")


@pytest.mark.parametrize("kind", PartKind)
def test_a_template_is_a_table_whose_part_goes_into_a_case(kind):
    (part,) = parse_table(template(kind))
    assert set(part.beside) == {"price", "mass", "supplier"}
    assert part.notes == ()
    case = resolve(TEXT)
    assert isinstance(case, Case)
    changed = with_part(TEXT, case, part)
    assert all(changed.typed(path) == text for path, text in part.typed_in(case).items())
    assert isinstance(resolve(changed), Case)


def test_a_makers_points_are_read_from_the_templates():
    assert parse_table(template(PartKind.FANS))[0].fan is not None
    assert parse_table(template(PartKind.PUMPS))[0].pump is not None
    assert parse_table(template(PartKind.CORES))[0].heat is not None


def test_a_column_of_the_kind_of_part_is_only_shown():
    """A builder's column "kind" was taken for the thermostat's: every row of it was a fault."""
    (part,) = parse_table("kind,name,core_height,mass\ncore,Wide,400 mm,4 kg\n")
    assert part.beside == {"kind": "core", "mass": "4 kg"}
    assert part.notes == ()
    assert parse_table("name,thermostat.kind\nA,wax\n")[0].typed == {"thermostat.kind": "wax"}
