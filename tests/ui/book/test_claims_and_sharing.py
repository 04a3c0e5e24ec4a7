"""Claims held against outcomes, own base rates counted, and outcomes given to another workshop."""

from __future__ import annotations

import json
import shutil
import subprocess
from datetime import UTC, datetime

import pytest

from engcalc.causes.counted_rates import counted_rates
from engcalc.causes.outcomes import Outcome
from engcalc.errors import FileFault, InputError
from reports.identity import make_identity
from reports.signed_files import sign_file, signature_beside
from ui import trusting
from ui.book.claims import claims_with_truth, counted_jobs, job_of_case, keep_claim, outcomes_entered
from ui.book.forgetting import forget
from ui.book.in_use import BookInUse
from ui.book.jobs import add_case, record_outcome
from ui.book.sharing import KEYS, read_outcomes, write_outcomes
from ui.book.store import Book
from ui.book.told import taken_lines

SIGNED_AT = datetime(2026, 5, 6, 9, 0, tzinfo=UTC)

SEEN = Outcome("low_coolant", "seen", "hose of Ada's van", "yes")
ODDS, SHIPPED = {"low_coolant": 0.75, "healthy": 0.25}, {"low_coolant": 0.1, "healthy": 0.9}


def job(book, case, name: str, outcome: Outcome | None = SEEN, **of_job: str) -> int:
    path = case(name, customer="Ada Example", registration=f"ZZ {name}", reason="no heat",
                sections={"vehicle": {"class": "van"}}, **of_job)  # fmt: skip
    number = add_case(book, path).job
    if outcome is not None:
        record_outcome(book, number, outcome)
    return number


def test_a_claim_comes_before_the_outcome(book, case):
    number = job(book, case, "a", None)
    assert keep_claim(book, number, {"healthy": 1.0}, SHIPPED)
    assert keep_claim(book, number, ODDS, SHIPPED)
    record_outcome(book, number, SEEN)
    assert not keep_claim(book, number, {"healthy": 1.0}, SHIPPED)
    (claim,) = claims_with_truth(book)
    assert (claim.job, claim.odds, claim.shipped, claim.truth) == (number, ODDS, SHIPPED, "low_coolant")


@pytest.mark.parametrize(
    "outcome", [Outcome("low_coolant", "guess", "", "yes"), Outcome("low_coolant", "seen", "", "no")]
)
def test_an_outcome_that_is_not_sure_counts_nowhere(book, case, outcome):
    number = job(book, case, "a", None)
    keep_claim(book, number, ODDS, SHIPPED)
    record_outcome(book, number, outcome)
    assert claims_with_truth(book) == []
    assert counted_jobs(book) == []
    assert outcomes_entered(book) == (1, 0)
    record_outcome(book, number, SEEN)  # the last one counts, and once
    assert [claim.truth for claim in claims_with_truth(book)] == ["low_coolant"]
    assert len(counted_jobs(book)) == 1
    assert outcomes_entered(book) == (1, 1)


def test_an_outcome_taken_back_counts_no_longer(book, case):
    number = job(book, case, "a")
    record_outcome(book, number, Outcome("low_coolant", "seen", "", "no"))
    assert counted_jobs(book) == []


def test_own_jobs_are_counted_by_reason_and_class(book, case):
    job(book, case, "a")
    (found,) = counted_jobs(book)
    assert (found.reason, found.vehicle_class, found.cause, found.weight) == ("no heat", "van", "low_coolant", 1.0)
    assert counted_rates(counted_jobs(book), "no heat").jobs == 1.0
    forget(book, "Ada Example")
    assert counted_jobs(book) == []


def test_the_job_of_a_case_is_that_of_exactly_this_state(book, case):
    path = case("a", registration="ZZ 1")
    number = add_case(book, path).job
    assert job_of_case(book, path.read_bytes()) == number
    assert job_of_case(book, path.read_bytes() + b" ") is None


# ---- given and taken ------------------------------------------------------------------------------------------------


@pytest.fixture
def given(book, case, tmp_path):
    """A file of two outcomes out of three jobs."""
    job(book, case, "a", vin="1M8GDM9AXKP042788", work_order="4711", complaint="Ada says it is cold")
    job(book, case, "b")
    job(book, case, "c", Outcome("low_coolant", "guess", "", "unknown"))
    path = tmp_path / "given.jsonl"
    assert write_outcomes(book, path) == 2
    return path


def test_nothing_of_the_person_or_vehicle_is_given_away(given):
    text = given.read_text("utf-8")
    assert [
        word for word in ("Ada", "ZZ", "1M8", "4711", "hose", "cold", "2026-03") if word in text.replace("low_cool", "")
    ] == []
    head, *lines = (json.loads(line) for line in text.splitlines())
    assert head == {"format": "heatdocket-outcomes/1"}
    assert [tuple(line) for line in lines] == [KEYS, KEYS]
    for line in lines:
        assert len(line.pop("token")) == 16
        assert line == {"quarter": "2026-Q1", "reason": "no heat", "class": "van", "cause": "low_coolant",
                        "confirmed": "seen", "cured": "yes"}  # fmt: skip


def test_another_workshop_takes_them_once_and_by_their_weight(given, tmp_path):
    with Book.open(tmp_path / "other.jobbook", make=True) as other:
        assert (read_outcomes(other, given, "North", 0.3).new, read_outcomes(other, given, "North", 0.3).known) == (
            2,
            2,
        )
        found = counted_rates(counted_jobs(other), "no heat")
        assert (found.jobs, found.outside) == pytest.approx((0.6, 0.6))
        assert outcomes_entered(other) == (0, 0)


def test_one_does_not_take_ones_own(book, given):
    done = read_outcomes(book, given, "North", 1.0)
    assert (done.new, done.known) == (0, 2)


def test_two_books_give_other_tokens_for_the_same_job(book, case, given, tmp_path):
    with Book.open(tmp_path / "other.jobbook", make=True) as other:
        job(other, case, "a")
        write_outcomes(other, tmp_path / "second.jsonl")
    first = {json.loads(line)["token"] for line in given.read_text().splitlines()[1:]}
    second = {json.loads(line)["token"] for line in (tmp_path / "second.jsonl").read_text().splitlines()[1:]}
    assert len(second) == 1
    assert not first & second


BAD_LINES = [
    ("{", "not JSON"),
    ("[" * 100_000, "not JSON"),
    ("[1]", "not all of these keys"),
    ('{"token": 5}', "not all of these keys"),
    ({"cause": "gremlins"}, "'gremlins' is no cause"),
    ({"confirmed": "guess"}, "not confirmed"),
    ({"confirmed": "felt"}, "none of the words"),
    ({"cured": "no"}, "not confirmed"),
]


@pytest.mark.parametrize(("line", "words"), BAD_LINES)
def test_a_line_that_cannot_be_used_stops_nothing(given, tmp_path, line, words):
    lines = given.read_text("utf-8").splitlines()
    bad = line if isinstance(line, str) else json.dumps({**json.loads(lines[1]), **line})
    given.write_text("\n".join([lines[0], bad, "", lines[2]]) + "\n", "utf-8")
    with Book.open(tmp_path / "other.jobbook", make=True) as other:
        done = read_outcomes(other, given, "North", 0.5)
    assert done.new == 1
    ((number, why),) = done.refused
    assert number == 2
    assert words in why


def test_what_is_no_such_file_is_refused(book, given, tmp_path):
    with pytest.raises(FileFault, match="exists already"):
        write_outcomes(book, given)
    other = tmp_path / "x.jsonl"
    for data in (b"", b"{}\n", b'{"format": "heatdocket-outcomes/2"}\n', b"5\n"):
        other.write_bytes(data)
        with pytest.raises(FileFault, match="first line of a file of outcomes"):
            read_outcomes(book, other, "North", 0.5)
    other.write_bytes(b"\xff\xfe")
    with pytest.raises(FileFault, match="not UTF-8"):
        read_outcomes(book, other, "North", 0.5)


@pytest.mark.parametrize("weight", [0.0, -1.0, 1.01, float("nan")])
def test_every_fault_of_source_and_weight(book, given, weight):
    with pytest.raises(InputError) as told:
        read_outcomes(book, given, " ", weight)
    assert [fault.path for fault in told.value.faults] == ["source", "weight"]


# ---- signed ---------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def identity(tmp_path_factory):
    place = tmp_path_factory.mktemp("identity") / "ada.p12"
    return make_identity(place, "Ada Example", "Technician", "a long password", SIGNED_AT)


@pytest.fixture
def signed(given, identity, monkeypatch, tmp_path):
    """A file of outcomes with its signature; nobody is known yet."""
    monkeypatch.setattr(trusting, "default_folder", lambda: tmp_path / "trust")
    sign_file(given, identity, SIGNED_AT)
    return given


def test_who_signed_the_outcomes_is_told(signed, identity, tmp_path):
    with Book.open(tmp_path / "other.jobbook", make=True) as other:
        found = read_outcomes(other, signed, "Ada's workshop", 0.3)
    assert (found.signer.name, found.signer.fingerprint, found.signer.known) == (
        "Ada Example",
        identity.fingerprint,
        None,
    )
    said = taken_lines(found, "Ada's workshop", 0.3)[1]
    assert "nobody has vouched for" in said
    assert identity.fingerprint in said


def test_a_signer_on_ones_list_is_known(signed, identity, tmp_path):
    trusting.change_known(lambda known: known.with_person("Ada", identity.certificate, SIGNED_AT.date()))
    with Book.open(tmp_path / "other.jobbook", make=True) as other:
        found = read_outcomes(other, signed, "Ada's workshop", 0.3)
    assert "whom you know since 2026-05-06" in taken_lines(found, "Ada's workshop", 0.3)[1]


def test_another_program_finds_the_signature_good(signed, identity):
    """OpenSSL, which shares no code with what signs here."""
    openssl = shutil.which("openssl")
    if openssl is None:
        pytest.skip("openssl is not installed")
    ask = [openssl, "cms", "-verify", "-binary", "-inform", "DER", "-in", str(signature_beside(signed))]
    ask += ["-content", str(signed), "-noverify", "-out", str(signed.with_suffix(".out"))]
    assert subprocess.run(ask, capture_output=True, check=False).returncode == 0
    signed.write_bytes(signed.read_bytes().replace(b"seen", b"SEEN", 1))
    assert subprocess.run(ask, capture_output=True, check=False).returncode != 0


@pytest.mark.parametrize("which", ["file", "signature", "nonsense"])
def test_outcomes_that_somebody_changed_are_refused(signed, tmp_path, which):
    place = signature_beside(signed)
    if which == "file":
        signed.write_bytes(signed.read_bytes().replace(b'"quarter": "2026', b'"quarter": "2025', 1))
    elif which == "signature":
        data = bytearray(place.read_bytes())
        data[-3] ^= 1
        place.write_bytes(data)
    else:
        place.write_bytes(b"signed, yours truly")
    with (
        Book.open(tmp_path / "other.jobbook", make=True) as other,
        pytest.raises(FileFault, match="ask for the file anew"),
    ):
        read_outcomes(other, signed, "Ada's workshop", 0.3)


def test_outcomes_that_nobody_signed_say_so(given, tmp_path):
    used = BookInUse(tmp_path / "other.jobbook")
    used.make()
    assert "Nobody signed the file" in used.take(given, "Ada's workshop")[1]


def test_the_window_gives_outcomes_signed_and_not(book, case, identity, tmp_path):
    used = BookInUse(book.path, lambda: SIGNED_AT)
    job = add_case(book, case("a", registration="ZZ 1")).job
    record_outcome(book, job, Outcome("low_coolant", "seen", "", "yes"))
    plain, signed = tmp_path / "plain.jsonl", tmp_path / "signed.jsonl"
    assert len(used.give(plain)) == 2
    assert used.give(signed, identity)[-1].startswith("Signed by Ada Example")
    assert not signature_beside(plain).exists()
    assert signature_beside(signed).exists()
    with pytest.raises(FileFault):
        used.give(signed, identity)  # nothing is written over
