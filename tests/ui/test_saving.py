"""Nothing is lost on saving: what another window saved, the files that a case names, the numbers elsewhere."""

from __future__ import annotations

import shutil
from hashlib import sha256
from pathlib import Path

import pytest

from engcalc.case.case import Case
from engcalc.case.file import backup_of, read_case
from engcalc.case.text import CaseText
from engcalc.errors import FileFault
from ui.carrying import carry
from ui.command.named_case import resolved
from ui.document import ChangedOutside, Document, free_name_beside

ROWS = [f"{t},{20 + t / 10},{900 + t}" for t in range(0, 600, 5)]
LOG = "time (s),coolant [°C],engine speed [rpm]\n" + "\n".join(ROWS) + "\n"


def with_log(name: str) -> CaseText:
    return CaseText().with_value("evidence.before.log", {"file": name}).with_value("job.part_tables", ["parts.csv"])


@pytest.fixture
def away(tmp_path) -> Path:
    folder = tmp_path / "away"
    folder.mkdir()
    (folder / "drive.csv").write_text(LOG, encoding="utf-8")
    (folder / "parts.csv").write_text("name,core_height\nA,400 mm\n", encoding="utf-8")
    return folder


def test_two_windows_do_not_save_over_one_another(tmp_path):
    path = tmp_path / "a.heatcase.json"
    Document(CaseText()).save(path)
    one, two = Document.read(path), Document.read(path)
    one.put("job.title", "One")
    two.put("job.title", "Two")
    one.save()
    assert two.changed_outside
    with pytest.raises(ChangedOutside, match="another window"):
        two.save()
    assert read_case(path).typed("job.title") == "One"
    assert two.dirty
    two.accept_outside()
    two.save()
    assert read_case(path).typed("job.title") == "Two"
    assert read_case(backup_of(path)).typed("job.title") == "One"
    one.save(free_name_beside(path))
    assert read_case(tmp_path / "a (2).heatcase.json").typed("job.title") == "One"


def test_a_file_that_was_taken_away_is_told_too(tmp_path):
    path = tmp_path / "a.heatcase.json"
    document = Document(CaseText())
    document.save(path)
    path.unlink()
    document.put("job.title", "x")
    with pytest.raises(ChangedOutside):
        document.save()


def test_a_case_takes_its_logs_and_tables_along(tmp_path, away):
    new = tmp_path / "new"
    new.mkdir()
    document = Document(with_log("drive.csv"), away / "a.heatcase.json")
    document.save(new / "a.heatcase.json")
    assert (new / "drive.csv").read_text(encoding="utf-8") == LOG
    assert (new / "parts.csv").exists()
    assert document.text.get("evidence.before.log.file") == "drive.csv"
    assert (away / "drive.csv").exists()


@pytest.mark.parametrize("name", ["x" * 300 + ".csv", "x" * 5000, "a\0b.csv"])
def test_a_case_that_names_what_no_file_can_be_called_is_saved_as_typed(tmp_path, away, name):
    """It once could not be saved at all, so that everything else that was typed was at risk."""
    for folder in (None, away):
        document = Document(with_log(name), beside=folder)
        document.resolve()
        place = tmp_path / f"{folder is None}.heatcase.json"
        document.save(place)
        assert read_case(place).get("evidence.before.log.file") == name


def test_a_case_cannot_be_saved_under_what_no_file_can_be_called(tmp_path, away):
    document = Document(with_log("drive.csv"), away / "a.heatcase.json")
    with pytest.raises(FileFault):
        document.save(tmp_path / ("x" * 300 + ".heatcase.json"))
    assert document.path == away / "a.heatcase.json"


def test_a_saved_case_states_what_its_files_held_and_tells_when_they_hold_something_else(tmp_path, away):
    path = away / "a.heatcase.json"
    document = Document(with_log("drive.csv"), path)
    document.save()
    digests = {name: sha256((away / name).read_bytes()).hexdigest() for name in ("drive.csv", "parts.csv")}
    assert read_case(path).get("files") == digests
    unchanged = Document.read(path).resolve()
    assert isinstance(unchanged, Case)
    assert unchanged.warnings == ()
    (away / "drive.csv").write_text(LOG.replace("905", "955"), encoding="utf-8")
    read_again = Document.read(path)
    (told,) = resolved(read_again.text, path).warnings
    assert told.startswith("The file “drive.csv” holds something else than when this case was saved")
    assert read_again.resolve().warnings == (told,)
    read_again.save()
    assert read_again.resolve().warnings == ()
    assert read_case(path).get("files")["drive.csv"] != digests["drive.csv"]


def test_a_case_without_files_is_saved_as_it_was_typed(tmp_path):
    path = tmp_path / "a.heatcase.json"
    Document(CaseText().with_value("job.title", "x")).save(path)
    assert read_case(path).get("files") is None


def test_a_log_named_in_full_is_named_beside_the_case_once_saved(tmp_path, away):
    new = tmp_path / "new"
    new.mkdir()
    document = Document(with_log(str(away / "drive.csv")))
    document.save(new / "a.heatcase.json")
    assert document.text.get("evidence.before.log.file") == "drive.csv"
    assert read_case(new / "a.heatcase.json").get("evidence.before.log.file") == "drive.csv"
    assert not document.dirty


def test_another_file_of_the_same_name_is_not_written_over(tmp_path, away):
    (tmp_path / "drive.csv").write_text("other", encoding="utf-8")
    assert carry(away / "drive.csv", tmp_path) == "drive-2.csv"
    assert (tmp_path / "drive.csv").read_text(encoding="utf-8") == "other"
    assert carry(away / "drive.csv", tmp_path) == "drive-2.csv"


def test_a_stranger_s_case_carries_no_file_of_this_machine_into_the_open(tmp_path, away):
    new = tmp_path / "new"
    new.mkdir()
    secret = tmp_path / "secret.csv"
    secret.write_text("hunter2", encoding="utf-8")
    for name in (str(secret), "../secret.csv"):
        Document(with_log(name), away / "a.heatcase.json").save(new / "a.heatcase.json")
    assert not (new / "secret.csv").exists()


def test_duties_are_filled_anew_when_their_log_changed(tmp_path, away):
    text = with_log("drive.csv").with_value("job", None).with_value("duties", [{"name": "a", "log_time": "5 min"}])
    document = Document(text, away / "a.heatcase.json")
    before = document.resolve()
    assert isinstance(before, Case)
    assert document.resolve() is before
    (away / "drive.csv").write_text(LOG.replace(",9", ",2").replace(",1", ",2"), encoding="utf-8")
    after = document.resolve()
    assert isinstance(after, Case)
    assert float(after.duties[0].engine_speed[0]) != float(before.duties[0].engine_speed[0])
    shutil.rmtree(away)


def test_an_example_takes_its_logs_along_and_reads_a_log_chosen_for_it(tmp_path, away):
    """An example that is open and not saved is ours: what it names in full, the person chose."""
    chosen = tmp_path / "chosen.csv"
    chosen.write_text(LOG, encoding="utf-8")
    new = tmp_path / "new"
    new.mkdir()
    text = with_log("drive.csv").with_value("evidence.after.log", {"file": str(chosen)})
    document = Document(text, beside=away)
    document.save(new / "a.heatcase.json")
    assert sorted(path.name for path in new.glob("*.csv")) == ["chosen.csv", "drive.csv", "parts.csv"]
    assert document.text.get("evidence.after.log.file") == "chosen.csv"
