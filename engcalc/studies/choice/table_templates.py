"""Tables of parts to begin with, one for each kind: the columns that a maker's sheet fills, and an invented row.

They are read as any table (:mod:`engcalc.studies.choice.tables`), so that a template can be tried before it is filled
in.
"""

from __future__ import annotations

from enum import StrEnum

from engcalc.words.texts import study_texts


class PartKind(StrEnum):
    """What a table holds; the words of the command line."""

    CORES = "cores"
    FANS = "fans"
    PUMPS = "pumps"
    CAPS = "caps"
    COOLERS = "coolers"


_FIRST_AHEAD = "airflow.upstream[0]"  # of a list of the case, whose items a row can only change
_COLUMNS: dict[PartKind, dict[str, str]] = {  # head to the cell of the invented row
    PartKind.CORES: {
        "name": "Example core",
        "core_height [mm]": "400",
        "core_width [mm]": "650",
        "core_depth [mm]": "42",
        "tube_rows": "2",
        "tube_width [mm]": "20",
        "tube_pitch [mm]": "9.5",
        "fin_pitch [/in]": "18",
        "passes": "1",
        "heat_points": study_texts.HEAT_POINTS_EXAMPLE,
    },
    PartKind.FANS: {
        "name": "Example fan",
        "fan_points": study_texts.FAN_POINTS_EXAMPLE,
        "fan_diameter [mm]": "300",
        "fan_volts": "13",
        "fan_amps": "11",
        "fan_count": "1",
    },
    PartKind.PUMPS: {"name": "Example pump", "pump_points": study_texts.PUMP_POINTS_EXAMPLE, "pump_ratio": "1.2"},
    PartKind.CAPS: {"name": "Example cap", "cap_pressure [bar]": "1.4"},
    PartKind.COOLERS: {
        "name": "Example charge-air cooler",
        f"{_FIRST_AHEAD}.effectiveness": "0.7",
        f"{_FIRST_AHEAD}.face_share": "0.6",
        f"{_FIRST_AHEAD}.flow_resistance": "4",
    },
}
_BESIDE = {"price": "310", "mass": "4.2 kg", "supplier": "Example Cooling"}  # kept and shown, no inputs


def template(kind: PartKind) -> str:
    """The text of a table to fill in: what goes where as comments, the head, an invented row."""
    columns = {**_COLUMNS[kind], **_BESIDE}
    told = [study_texts.TEMPLATE_ROWS_ARE_INVENTED, study_texts.TEMPLATE_OTHER_COLUMNS, _OF_KIND[kind]]
    comments = [f"# {line}" for line in told if line]
    rows = [",".join(row) for row in zip(*columns.items(), strict=True)]
    return "\n".join(comments + rows) + "\n"


_OF_KIND = {
    PartKind.CORES: study_texts.TEMPLATE_CORES,
    PartKind.FANS: study_texts.TEMPLATE_FANS,
    PartKind.PUMPS: study_texts.TEMPLATE_PUMPS,
    PartKind.CAPS: study_texts.TEMPLATE_CAPS,
    PartKind.COOLERS: study_texts.TEMPLATE_COOLERS,
}
