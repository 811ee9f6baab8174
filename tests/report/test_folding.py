"""Problems of one kind are told once, and every one of them still has its place and its name."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from faultiso.base.problems import Problem, Where
from faultiso.report.pages.folding import FROM, folded
from faultiso.report.pages.problems import problems_page
from faultiso.report.terminal import Look, render


def unrepaired(name: str, line: int, file: str = "tug.yaml") -> Problem:
    message = f"no repair clears {name}; a case with it can only be referred"
    return Problem("unrepaired", Where(file, line, 5), message, severity="warning")


def test_many_of_a_kind_are_told_once_with_all_their_places() -> None:
    other = Problem("rate", Where("tug.yaml", 2, 9), "expected a number")
    problems = [unrepaired("pump.worn", 1), other, *(unrepaired(f"lamp.bad{n}", n) for n in (3, 4, 5))]
    first, second = folded(problems)
    assert first.others == (("3:5", "lamp.bad3"), ("4:5", "lamp.bad4"), ("5:5", "lamp.bad5"))
    assert (second.problem, second.others) == (other, ())
    page = render(problems_page("tug.yaml", None, problems), Look(80))
    assert "    The same of 3 more: 3:5 lamp.bad3, 4:5 lamp.bad4, 5:5 lamp.bad5.\n" in page
    assert page.endswith("5 problems: 1 error, 4 warnings.\n")


def test_few_of_a_kind_or_what_differs_in_two_words_is_told_each() -> None:
    few = [unrepaired(f"lamp.bad{n}", n) for n in range(FROM)]
    assert [told.others for told in folded(few)] == [()] * FROM
    unlike = [Problem("name", Where("", n), f"{n} is not {n}") for n in range(9)]
    assert len(folded(unlike)) == 9


def test_a_place_in_another_file_keeps_its_file() -> None:
    (told,) = folded([unrepaired(f"lamp.bad{n}", 1, f"part{n // 2}.yaml") for n in range(4)])
    assert [place for place, _ in told.others] == ["1:5", "part1.yaml:1:5", "part1.yaml:1:5"]


words = st.lists(st.sampled_from(["a", "b", "pump.worn;"]), max_size=3).map(" ".join)


@given(st.lists(st.builds(Problem, st.sampled_from("xy"), st.just(Where("f", 1, 1)), words), max_size=30))
def test_nothing_is_lost(problems: list[Problem]) -> None:
    found = folded(problems)
    assert sum(1 + len(told.others) for told in found) == len(problems)
    for told in found:
        same = [p for p in problems if len(p.message.split()) == len(told.problem.message.split())]
        for _, word in told.others:
            assert any(not word or word in p.message for p in same if p.code == told.problem.code)
