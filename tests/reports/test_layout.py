"""How tables break at the foot of a page."""

from __future__ import annotations

import pytest

from reports.layout import HeadedTable, grid

WIDTH, ENDLESS = 400.0, 1e5  # pt


def parts_of(rows: int, room_for: int, cell: str = "x") -> list[int]:
    """How many rows each part has beneath its head, where the page has room for so many."""
    table = grid(HeadedTable(("Cause", "Odds"), [(f"Row {i}", cell) for i in range(rows)]), WIDTH)
    table.wrap(WIDTH, ENDLESS)
    head, *body = table._rowHeights
    parts = table.split(WIDTH, head + sum(body[:room_for]) + 1.0)
    return [len(part._rowHeights) - 1 for part in parts]


@pytest.mark.parametrize(
    ("room_for", "parts"),
    [(0, []), (1, []), (2, [2, 8]), (3, [3, 7]), (7, [7, 3]), (8, [8, 2]), (9, [8, 2]), (10, [10])],
)
def test_no_row_stands_alone_on_a_page(room_for: int, parts: list[int]) -> None:
    """A table of causes left its last row alone on the next page; one of evidence had one row beneath its head."""
    assert parts_of(10, room_for) == parts


def test_a_short_table_and_one_of_long_texts_break_anywhere() -> None:
    assert parts_of(3, 2) == [2, 1]
    assert parts_of(6, 5, "a long text " * 30) == [5, 1]
