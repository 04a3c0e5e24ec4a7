"""The Report menu's three dialogs, as the window opens them."""

from __future__ import annotations

from ui.window import errands
from ui.window.dialogs.export import ExportDialog
from ui.window.dialogs.identity import IdentityDialog
from ui.window.dialogs.verify import VerifyDialog
from ui.window.start_page import WayIn


def test_the_identity_last_brought_is_offered_for_the_next_report(case, executor, monkeypatch, identity_path, qtbot):
    case.document.edit("vehicle.class", "family car")
    executor.run()
    qtbot.waitUntil(lambda: bool(executor.held))  # the whole answer after the first look
    executor.run()
    seen = []
    monkeypatch.setattr(IdentityDialog, "exec", lambda dialog: dialog.ready.emit(identity_path))
    monkeypatch.setattr(ExportDialog, "exec", lambda dialog: (seen.append(dialog.identity.text), dialog.close()))
    errands.export_report(case)
    errands.signing_identity(case)
    errands.export_report(case)
    assert seen == ["", str(identity_path)]


def test_a_report_waits_for_an_answer_to_what_is_typed(case, prompts):
    case.document.edit("vehicle.class", "no such class")
    errands.export_report(case)
    assert "needs an answer" in prompts.told[-1]


def test_a_report_waits_for_the_chances(window, executor, prompts, monkeypatch, qtbot):
    """A duty that holds by the numbers entered may be marginal by its chance: no report says one without the other."""
    shown = []
    monkeypatch.setattr(ExportDialog, "exec", lambda dialog: (shown.append(dialog._check), dialog.close()))
    window.start(WayIn.RADIATOR)
    window.document.edit("vehicle.class", "sports car")
    executor.run()
    errands.export_report(window)
    assert "wait until the check has ended" in prompts.told[-1]
    assert not shown
    qtbot.waitUntil(lambda: bool(executor.held))
    executor.run()
    errands.export_report(window)
    assert all(duty.holds_probability is not None for check in shown for duty in check.duties)
    assert len(shown) == 1


def test_a_report_waits_for_the_readings(case, executor, prompts, monkeypatch, qtbot):
    """At each key the readings are left out at first: that check calls a vehicle that runs cold not judged yet."""
    shown = []
    monkeypatch.setattr(ExportDialog, "exec", lambda dialog: (shown.append(dialog._check), dialog.close()))
    case.document.put_items("evidence.before.spots", [{"value": "30 degC", "at": "30 min", "instrument": "scan_tool"}])
    executor.run()
    assert case.workspace.current_check().unfinished
    errands.export_report(case)
    assert "wait until the check has ended" in prompts.told[-1]
    assert not shown
    qtbot.waitUntil(lambda: bool(executor.held))
    executor.run()
    errands.export_report(case)
    assert [check.unfinished for check in shown] == [False]


def test_the_case_out_of_a_report_is_opened(window, monkeypatch, signed_report, tmp_path, qtbot):
    place = tmp_path / "out.heatcase.json"

    def use(dialog):
        dialog.report.line.setText(str(signed_report))
        dialog.check()
        qtbot.waitUntil(lambda: dialog.found is not None, timeout=60_000)
        dialog.case_place.line.setText(str(place))
        dialog.save_and_open()

    monkeypatch.setattr(VerifyDialog, "exec", use)
    errands.check_report(window)
    assert window.document.path == place
