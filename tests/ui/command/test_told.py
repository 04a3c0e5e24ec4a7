"""The complaint and readings in words on the command line: read from the case file, shown in their words."""

from __future__ import annotations

import json

from engcalc.words.diagnosis.told_by_customer import TOO_HOT_CAUTION

SPOTS = [
    {"what": "coolant", "at": "20 min", "value": "1/4", "instrument": "dash_gauge"},
    {"what": "heater_outlet_hose", "at": "20 min", "value": "warm", "instrument": "hand"},
]
RECORD = {"ambient": "0 degC", "driving": "town", "heater_setting": "high", "engine_off_phases": "no"}


def test_diagnose_lists_what_each_told_sign_and_each_word_weighs(within, case_file, less_work):
    job = {"told": {"heater_cold_gauge_normal": True}, "onset": "sudden", "reason": "no heat"}
    found = within("diagnose", case_file(job=job, evidence={"before": {**RECORD, "spots": SPOTS}}), "--json")
    assert found.code == 0
    said = {item["item"]: item["text"] for item in found.json["evidence"]}
    assert said["told.heater_cold_gauge_normal"].startswith(
        "Told by the customer: the heater is cold while the gauge is normal: yes."
    )
    assert said["told.onset"].startswith("Told by the customer: it came from one day to the next.")
    assert said["spots[0]"].startswith("Dash gauge: quarter.")
    assert said["spots[1]"].startswith("Heater hose, outlet, by hand: warm.")


def test_a_cold_heater_with_a_low_gauge_sets_the_reason_and_weighs_in_the_odds(within, case_file, less_work):
    """The commonest complaint of a winter: nothing stated but the one sign, and nothing read."""
    path = case_file(job={"told": {"heater_cold_gauge_low": True}})
    found = within("diagnose", path, "--json")
    (weight,) = (item for item in found.json["evidence"] if item["item"] == "told.heater_cold_gauge_low")
    assert weight["text"].startswith(
        "Told by the customer: the heater blows cold or lukewarm air and the gauge stays low: yes."
    )
    assert found.json["base_rates"]["reason"] == "no heat"
    assert within("check", path).out.startswith("Not explained yet. ")


def test_check_shows_a_gauge_in_its_word_and_no_number_for_it(within, case_file):
    record = {"ambient": "30 degC", "spots": [{**SPOTS[0], "value": "red"}]}
    path = case_file(job={"reason": "hot at idle"}, evidence={"before": record})
    said = within("check", path).out
    assert "The dash gauge read \u201cred\u201d 20 min after the start." in said
    found = within("check", path, "--json").json
    (reading,) = found["readings"]
    assert (reading["as_read"], reading["as_read_degC"], reading["measured_degC"]) == ("red", None, None)


def test_what_is_too_hot_to_hold_has_its_caution_on_every_line_of_command(within, case_file):
    held = {**SPOTS[1], "value": "too hot to hold"}
    path = case_file(job={"reason": "no heat"}, evidence={"before": {**RECORD, "spots": [held]}})
    assert f"  ! {TOO_HOT_CAUTION}" in within("check", path).out
    assert within("check", path, "--json").json["conclusion"]["cautions"][-1] == TOO_HOT_CAUTION
    warm = case_file(job={"reason": "no heat"}, evidence={"before": {**RECORD, "spots": SPOTS}})
    assert TOO_HOT_CAUTION not in within("check", warm).out


def test_a_word_that_is_none_is_a_fault_that_lists_the_words(within, case_file):
    record = {"spots": [{**SPOTS[1], "value": "tepid"}]}
    found = within("check", case_file(evidence={"before": record}), "--json")
    assert found.code == 2
    (fault,) = found.json["faults"]
    assert fault["path"] == "evidence.before.spots[0].value"
    assert "cold, warm, hot, too hot to hold" in fault["wanted"]


def test_a_sign_is_true_false_or_absent(within, case_file):
    found = within("check", case_file(job={"told": {"steam": "perhaps"}}), "--json")
    assert found.code == 2
    assert [fault["path"] for fault in found.json["faults"]] == ["job.told.steam"]


def test_the_schema_and_the_list_of_fields_hold_signs_and_words(within):
    schema = within("fields", "--schema").out
    told = json.loads(schema)["properties"]["job"]["properties"]["told"]["properties"]
    assert told["hot_at_idle"] == {"type": "boolean"}
