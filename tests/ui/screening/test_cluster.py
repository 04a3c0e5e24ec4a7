"""Screening on a cluster: a scheduler and two workers on this machine, started once for all of these tests."""

from __future__ import annotations

import importlib.util
import sys

import fake_judges
import local_cluster
import pytest

from engcalc.errors import InputError
from ui.screening import crews
from ui.screening.crews import cluster
from ui.screening.run import ScreeningRun, ScreeningSetting, judge_version, lines_of
from ui.screening.sources import named_sources

pytestmark = [
    pytest.mark.skipif(importlib.util.find_spec("distributed") is None, reason="the extra 'cluster' is not installed"),
    pytest.mark.filterwarnings("ignore::ResourceWarning", "ignore::DeprecationWarning"),  # of the library itself
]


@pytest.fixture(scope="module")
def address():
    with local_cluster.started(2) as found:
        yield found.address


@pytest.fixture
def folder(tmp_path):
    """A folder of twelve logs."""
    made = tmp_path / "logs"
    made.mkdir()
    for number in range(12):
        (made / f"day-{number:02d}.csv").write_bytes(f"log {number}\n".encode())
    return made


def screened(folder, lines, judge, address, judges=judge_version) -> ScreeningRun:
    done = ScreeningRun(named_sources([folder]), ScreeningSetting(), lines)
    done.go(1, judged_by=judge, crews=cluster(address, judges))
    return done


def test_every_log_is_judged_once_on_the_cluster(folder, tmp_path, address):
    first = screened(folder, tmp_path / "lines", fake_judges.quick, address)
    assert first.complete
    assert {one.judged.fault for one in first.screened.values()} == {0.25}
    assert len(lines_of(tmp_path / "lines")) == 12
    here = ScreeningRun(named_sources([folder]), ScreeningSetting(), tmp_path / "lines")
    here.go(1, judged_by=fake_judges.never)  # what was judged there is known here
    assert here.again == 12
    assert {number: one.judged for number, one in here.screened.items()} == {
        number: one.judged for number, one in first.screened.items()
    }


def test_both_workers_judge(folder, tmp_path, address):
    done = screened(folder, tmp_path / "lines", fake_judges.whose, address)
    assert len({one.judged.leading for one in done.screened.values()}) == 2


def test_a_worker_with_another_judge_is_refused(folder, tmp_path, address):
    with pytest.raises(InputError, match="another version of Heatdocket"):
        screened(folder, tmp_path / "lines", fake_judges.quick, address, judges=fake_judges.another_version)


def test_nobody_at_the_address(folder, tmp_path, monkeypatch):
    monkeypatch.setattr(crews, "PATIENCE", 0.3)
    with pytest.raises(InputError, match="no scheduler answers there"):
        screened(folder, tmp_path / "lines", fake_judges.quick, "tcp://127.0.0.1:9")
    with pytest.raises(InputError, match="no scheduler answers there"):
        screened(folder, tmp_path / "lines", fake_judges.quick, "nonsense://here")


def test_without_the_extra_it_says_what_brings_it(folder, tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(InputError, match=r"heatdocket\[cluster\]"):
        screened(folder, tmp_path / "lines", fake_judges.quick, "tcp://127.0.0.1:9")


def test_a_cluster_that_goes_away_is_told_and_the_same_run_goes_on(folder, tmp_path):
    lines = tmp_path / "lines"
    run = ScreeningRun(named_sources([folder]), ScreeningSetting(), lines)
    with local_cluster.started(1) as one:

        def end_it(done: int, _total: int, _one: object) -> None:
            if done == 3:
                one.kill()

        with pytest.raises(InputError, match="does not answer any more"):
            run.go(1, end_it, fake_judges.slow, cluster(one.address, judge_version))
    known = len(lines_of(lines))
    assert known >= 3
    again = ScreeningRun(named_sources([folder]), ScreeningSetting(), lines)
    again.go(1, judged_by=fake_judges.quick)
    assert (again.again, again.complete, len(again.screened)) == (known, True, 12)
