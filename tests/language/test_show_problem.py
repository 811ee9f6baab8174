"""How a problem looks: place, sentence, the line with carets, cut and wrapped to the width."""

from __future__ import annotations

import pytest

from faultiso.base.problems import Problem, Where
from faultiso.language.show_problem import counted, render, render_all


def problem(line=1, column=1, length=1, message="found this", **more):
    return Problem("name", Where("tug.yaml", line, column, length), message, **more)


def test_place_sentence_line_and_carets():
    text = "a: 1\n      - {when: {moter: stopped}, then: out}\n"
    shown = render(problem(2, 17, 5, 'no condition is called "moter"', nearest="motor"), text)
    assert shown.splitlines() == [
        'tug.yaml:2:17: no condition is called "moter"; nearest: motor',
        "         2 |   - {when: {moter: stopped}, then: out}",
        "                         ^^^^^",
    ]


def test_a_warning_says_so():
    assert render(problem(severity="warning")) == "tug.yaml:1:1: warning: found this"


def test_a_problem_of_the_whole_file_shows_no_line():
    assert (
        render(Problem("file", Where("tug.yaml"), "there is no such file"), "a")
        == "tug.yaml: there is no such file"
    )


@pytest.mark.parametrize("column", [1, 40, 77, 78, 79, 150, 299, 300])
@pytest.mark.parametrize("width", [40, 80, 120])
def test_long_lines_are_cut_round_the_word(column, width):
    text = "".join(chr(ord("a") + place % 26) for place in range(300))
    shown = render(problem(1, column, 3), text, width).splitlines()
    line, carets = shown[-2], shown[-1]
    assert all(len(row) <= width for row in shown)
    assert "..." in line
    start = carets.index("^")
    assert line[start] == text[column - 1]
    assert len(carets) - start <= 3


def test_sentences_wrap_at_the_width():
    shown = render(problem(message="a word and " * 30), "text", 40)
    assert all(len(row) <= 40 for row in shown.splitlines())


def test_what_a_terminal_would_obey_is_shown_as_a_question_mark():
    shown = render(problem(1, 3, 2, "bad \x1b[2J"), "a\t\x1b[31m\u202e")
    assert shown.splitlines() == [
        "tug.yaml:1:1: bad ?[2J".replace(":1:1", ":1:3"),
        "         1 | a ?[31m?",
        "               ^^",
    ]


@pytest.mark.parametrize("place", [(9, 9), (1, 99), (1, 5)])
def test_places_beyond_the_text_do_no_harm(place):
    assert render(problem(*place, length=50), "abc").startswith("tug.yaml")


def test_counted():
    one, other = problem(), problem(severity="warning")
    assert counted((one,)) == "1 error."
    assert counted((one, one)) == "2 errors."
    assert counted((other,)) == "1 warning."
    assert counted((one, other, one)) == "3 problems: 2 errors, 1 warning."
    assert render_all((), {}) == ""
