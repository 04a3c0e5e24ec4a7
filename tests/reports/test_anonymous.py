"""An anonymised case holds what may stay and nothing else, whatever was typed where."""

from __future__ import annotations

import json
from dataclasses import replace

from engcalc.case.case import Case
from engcalc.case.file import case_bytes
from engcalc.case.resolve import resolve
from engcalc.case.text import CaseText
from reports.anonymous import anonymous, anonymous_case

NAME = "Maria Beispiel"
TREE = {
    "format": "heatdocket-case/1",
    "job": {
        **dict.fromkeys(("title", "work_order", "shop", "shop_contact", "customer", "registration", "vin"), NAME),
        **dict.fromkeys(("prepared_by", "credential", "notes"), NAME),
        "photos": [NAME],
        "part_tables": [NAME],
        "complaint": "No heat at idle",
        "reason": "no heat",
        "invented": NAME,
    },
    "vehicle": {"class": "family car", "mass": {"value": "1500 kg", "basis": "measured", "who": NAME}},
    "duties": [{"name": "Idle", "ambient": "20 degC", "driver": NAME}],
    "evidence": {
        "before": {
            "spots": [{"what": "coolant", "value": "80 degC", "note": NAME}],
            "log": {"file": f"{NAME}.csv", "columns": {"coolant": NAME}},
            "codes": ["P0128"],
            "seen": {"level_low": True, NAME: True},
            "curve": [["1 min", "30 degC"], ["2 min", "40 degC"]],
        }
    },
    NAME: {"a": NAME},
}


def test_nothing_of_the_person_stays_in_the_case():
    kept = anonymous(CaseText(TREE))
    assert NAME not in case_bytes(kept).decode()
    assert kept.get("job") == {"complaint": "No heat at idle", "reason": "no heat"}
    assert kept.get("vehicle.mass") == {"value": "1500 kg", "basis": "measured"}
    assert kept.get("duties") == [{"name": "Idle", "ambient": "20 degC"}]
    before = kept.get("evidence.before")
    assert before["spots"] == [{"what": "coolant", "value": "80 degC"}]
    assert before["codes"] == ["P0128"]
    assert before["seen"] == {"level_low": True}
    assert before["curve"] == TREE["evidence"]["before"]["curve"]
    assert before["log"] == {"file": "left-out.csv"}
    assert json.loads(case_bytes(kept))["format"] == "heatdocket-case/1"


def test_nothing_of_the_person_stays_on_the_pages():
    case = resolve(CaseText(TREE))
    assert isinstance(case, Case)
    kept = anonymous_case(case)
    assert NAME not in repr(replace(kept.job, part_tables=()))  # read for the pages, not printed
    assert (kept.job.complaint, kept.job.reason) == ("No heat at idle", "no heat")
    assert kept.evidence.before is not None
    assert [spot.note for spot in kept.evidence.before.spots] == [None]


def test_a_long_word_where_a_number_belongs_does_not_stay():
    kept = anonymous(CaseText({"format": "heatdocket-case/1", "vehicle": {"mass": NAME * 20, "class": ["a", NAME]}}))
    assert kept.get("vehicle") == {}


def test_coefficients_stay_with_the_names_of_inputs_only():
    mass = {"value": "1500 kg", "correlated": {NAME: "0.5", "engine.hybrid": "0.25"}}
    kept = anonymous(CaseText({"format": "heatdocket-case/1", "vehicle": {"mass": mass}}))
    assert kept.get("vehicle.mass") == {"value": "1500 kg", "correlated": {"engine.hybrid": "0.25"}}
