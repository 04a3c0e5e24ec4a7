"""A job is found by any of its words, however they were typed."""

from __future__ import annotations

import pytest

from engcalc.causes.outcomes import Outcome
from ui.book.jobs import add_case, find_jobs, record_outcome, renew_words
from ui.book.search import write_words

JOB = {
    "customer": "Jürgen Groß-Nuñez",
    "vehicle": "Delivery van, 2.2 litre",
    "registration": "HX-KD 1234",
    "vin": "1M8GDM9AXKP042788",
    "complaint": "Never gets warm",
    "work_order": "W-4711",
}


@pytest.mark.parametrize(
    "words",
    [
        *("Jürgen", "jurgen", "JUERGEN", "Jürg", "Groß", "gross", "nunez", "Nuñez", "Deli", "van delivery", "2.2"),
        *("HX-KD 1234", "hxkd1234", "hx kd", "1234", "hxkd12", "HX-KD1234"),
        *("1M8GDM9AXKP042788", "1m8gdm9", "KP042788", "P042788", "042788"),
        *(
            "warm jürgen 4711",
            "w-4711",
            "P0128",
            "town.csv",
            "petrol",
            "van!",
            '"van',
            "van*",
            "(van",
            "van OR",
            "-van",
        ),
    ],
)
def test_found(book, case, words):
    sections = {
        "engine": {"fuel": "petrol"},
        "evidence": {"before": {"codes": ["P0128"], "log": {"file": "town.csv"}}},
        "vehicle": {"class": "van"},
    }
    job = {**JOB, "notes": "or and not near"}
    found = add_case(book, case("a", sections=sections, files={"town.csv": b"t"}, **job))
    add_case(book, case("b", customer="Another"))
    assert [line.job for line in find_jobs(book, words)] == [found.job]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        *(("heater", True), ("cold", True), ("heater cold", True), ("diesel", True), ("open", True), ("no heat", True)),
        *(("suddenly", False), ("creeping", False), ("one day", True), ("slow", False), ("closed", False)),
    ],
)
def test_found_by_what_was_chosen_as_it_reads(book, case, words, found):
    """A complaint of buttons alone, and a class whose engines burn diesel: the words that a person remembers."""
    told = {"told": {"heater_cold_gauge_normal": True, "slow_to_warm": False}, "onset": "sudden"}
    sections = {"job": {"customer": "Mara Quell", **told}, "vehicle": {"class": "heavy truck"}}
    job = add_case(book, case("a", sections=sections)).job
    assert [line.job for line in find_jobs(book, words)] == ([job] if found else [])


def test_a_job_is_found_by_whether_it_is_closed(book, case):
    job = add_case(book, case("a", **JOB)).job
    record_outcome(book, job, Outcome("low_coolant", "seen", "", "yes"))
    assert [line.job for line in find_jobs(book, "closed jürgen")] == [job]
    assert find_jobs(book, "open jürgen") == ()


def test_a_book_of_an_earlier_program_is_indexed_anew_once(book, case):
    job = add_case(book, case("a", **JOB)).job
    with book.writing() as connection:
        write_words(connection, job, "little")
        connection.execute("INSERT OR REPLACE INTO book_facts VALUES ('words', '1')")
    renew_words(book)
    assert [line.job for line in find_jobs(book, "warm")] == [job]
    with book.writing() as connection:
        write_words(connection, job, "little")
    renew_words(book)
    assert find_jobs(book, "warm") == ()


@pytest.mark.parametrize("words", ["gros nunezz", "elivery", "van lorry", "42788", "hx kx", "xyz"])
def test_not_found(book, case, words):
    add_case(book, case("a", **JOB))
    assert find_jobs(book, words) == ()


def test_the_umlaut_finds_the_name_without_it(book, case):
    written_out = add_case(book, case("a", customer="Mueller")).job
    bare = add_case(book, case("b", customer="Muller")).job
    assert [line.job for line in find_jobs(book, "müller")] == [bare, written_out]


@pytest.mark.parametrize("words", ["", "  ", "!?", '"', "_"])
def test_no_word_finds_all_the_newest_first(book, case, words):
    jobs = [add_case(book, case(name, customer=name)).job for name in "abc"]
    assert [line.job for line in find_jobs(book, words)] == jobs[::-1]
    assert [line.job for line in find_jobs(book, words, limit=2)] == jobs[:0:-1]


def test_a_word_that_was_corrected_finds_no_longer(book, case):
    add_case(book, case("a", registration="ZZ 1", work_order="7", customer="Wrongspelt"))
    add_case(book, case("a", registration="ZZ 1", work_order="7", customer="Rightspelt"))
    assert find_jobs(book, "wrongspelt") == ()
    assert len(find_jobs(book, "rightspelt")) == 1
    assert [row[0] for row in book.connection.execute("SELECT name FROM customers")] == ["Rightspelt"]
