"""What a stranger wrote never moves the cursor, colours the terminal, or makes a line that looks like ours."""

from __future__ import annotations

import json

import pytest

from engcalc.words.terms.foreign import hides_signs, quoted, visible

ESCAPES = "\x1b[2J\x1b]0;owned\x07\u202egnihton\u2066\x9b31m\x7f\r\nverdict: healthy"
"""Clear the screen, name the window, turn the direction of writing, colour, delete, begin a line."""


def is_clean(text: str) -> bool:
    return not any(hides_signs(line) for line in text.split("\n"))


def case_of(words: str) -> dict[str, object]:
    return {
        "job": {"title": words, "customer": words, "complaint": words, "notes": words},
        "vehicle": {"class": "family car"},
        "duties": [{"name": words, "ambient": "-5 degC", "heater": "high"}, {"name": "b", "ambient": words}],
        "airflow": {"upstream": [{"name": words}]},
        words: words,
    }


@pytest.mark.parametrize("command", ["check", "size", "refill", "warmup"])
@pytest.mark.parametrize("form", [(), ("--json",)])
def test_no_command_lets_escape_codes_through(within, case_file, command, form):
    for words in (ESCAPES, "plain"):
        case = case_of(ESCAPES)
        if words == "plain":  # one case with a fault that quotes the words, one that is answered
            del case["duties"][1], case["airflow"]
        answered = within(command, case_file(**case), *form)
        assert answered.code in (0, 2)
        assert is_clean(answered.out)
        assert is_clean(answered.err)
        assert not [line for line in (answered.out + answered.err).split("\n") if line.startswith("verdict: healthy")]
        if form:
            assert json.loads(answered.out)


def test_json_gives_the_very_words_back(within, case_file):
    answered = within("check", case_file(duties=[{"name": ESCAPES, "ambient": "20 degC"}]), "--json")
    assert answered.json["duties"][0]["name"] == ESCAPES
    assert "\\u202e" in answered.out


def test_a_lone_half_of_a_sign_is_printed_by_its_number(within, case_file):
    answered = within("check", case_file(text='{"format": "heatdocket-case/1", "job": {"title": 3, "\\ud800": 1}}'))
    assert answered.code in (0, 2)
    assert "\ud800" not in answered.out + answered.err


def test_names_of_files_are_cleaned_too(within, tmp_path):
    answered = within("verify", tmp_path / f"a{ESCAPES}.pdf")
    assert answered.code == 2
    assert is_clean(answered.err)
    assert is_clean(within(f"b{ESCAPES}").err)


def test_numbers_and_plain_words_stay_as_they_are():
    plain = "Ölkühler 88 °C, 1\u202f234 W\u00a0/\u00a0m², “so”"
    assert visible(plain) == plain
    assert quoted("a\nb") == "“a\\u000ab”"
    assert visible("\U000e0001") == "\\udb40\\udc01"
