"""What the program is, and the report of crashes, without Qt."""

from __future__ import annotations

from engcalc.words.texts import document_texts
from ui import crashes


def test_about_names_packages_and_places(heatdocket, tmp_path):
    found = heatdocket("about", "--json", qt=False, environ={"XDG_CONFIG_HOME": str(tmp_path)})
    assert found.code == 0
    assert {"numpy", "reportlab"} <= {one["name"] for one in found.json["packages"]}
    assert found.json["places"]["Crashes"] == str(tmp_path / "heatdocket" / "crashes")
    assert found.json["versions"] == crashes.versions()


def test_the_report_of_crashes_is_printed(heatdocket, tmp_path):
    where = {"XDG_CONFIG_HOME": str(tmp_path)}
    assert heatdocket("about", "--crashes", environ=where).out.strip() == document_texts.NO_CRASHES
    crashes.keep_in(tmp_path / "heatdocket" / "crashes")
    try:
        crashes.note(ValueError("Jane Customer"), "the window")
    finally:
        crashes.stop_keeping()
    said = heatdocket("about", "--crashes", environ=where).out
    assert "ValueError in the window" in said
    assert "Jane" not in said
