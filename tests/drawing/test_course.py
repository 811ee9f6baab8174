"""Chances over the steps: names do not cover each other, and no line is told by its colour."""

from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.report.drawing.course import BOTTOM, TOP, WIDTH, course_svg
from faultiso.report.drawing.svg import SIZE, text_width

SVG = "{http://www.w3.org/2000/svg}"
CHANCES = st.integers(1, 7).flatmap(
    lambda lines: st.integers(1, 40).flatmap(
        lambda steps: st.lists(
            st.lists(st.floats(0, 1), min_size=steps, max_size=steps), min_size=lines, max_size=lines
        )
    )
)
HOSTILE = '</svg><script>alert(1)</script> {{ 7*7 }} ]]> \x1b[31mred \u202eevil & "quoted" ' + "w" * 500


def drawn(chances: list[list[float]], names: list[str] | None = None) -> ElementTree.Element:
    names = names or [f"unit {k} with a name" for k in range(len(chances))]
    steps = ["start", *(str(s) for s in range(1, len(chances[0])))]
    return ElementTree.fromstring(course_svg("Chances", names, chances, steps, "invented"))


Box = tuple[float, float, float, float]


def boxes(root: ElementTree.Element) -> list[tuple[str, Box]]:
    """Each text of the diagram itself with its left, upper, right and lower end."""
    found = []
    for text in root.iter(f"{SVG}text"):
        for span in text.iter(f"{SVG}tspan"):
            x, y, words = float(span.get("x", 0)), float(span.get("y", 0)), span.text or ""
            wide = text_width(words)
            left = x - wide / 2 if text.get("text-anchor") == "middle" else x
            if TOP - 20 <= y <= BOTTOM + 30:
                found.append((words, (left, y - SIZE * 0.75, left + wide, y + SIZE * 0.2)))
    return found


def overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@given(CHANCES)
def test_no_two_texts_cover_each_other(chances: list[list[float]]) -> None:
    found = boxes(drawn(chances))
    assert len([words for words, _ in found if words.startswith("unit")]) == len(chances)
    for (first, one), (second, other) in combinations(found, 2):
        assert not overlap(one, other), (first, second)


@given(CHANCES)
def test_everything_stands_inside(chances: list[list[float]]) -> None:
    root = drawn(chances)
    for words, (left, _, right, _) in boxes(root):
        assert left >= 0 and right <= WIDTH, words
    for line in root.iter(f"{SVG}polyline"):
        for x, y in (point.split(",") for point in line.get("points", "").split()):
            assert 0 <= float(x) <= WIDTH
            assert 0 <= float(y) <= float(root.get("height", 0))


def test_seven_lines_are_told_apart_without_colour() -> None:
    """By dashes and by the mark at each step, together different for every line; all in one ink."""
    root = drawn([[k / 10, k / 10, 0.1 + k / 10] for k in range(7)])
    lines = [e for e in root.iter(f"{SVG}polyline") if e.get("stroke-width") == "2"]
    assert len(lines) == 7
    assert {e.get("stroke") for e in lines} == {"#1a1a1a"}
    marks = [mark_after(root, line) for line in lines]
    looks = list(zip([line.get("stroke-dasharray") for line in lines], marks, strict=True))
    assert len(set(looks)) == 7


def mark_after(root: ElementTree.Element, line: ElementTree.Element) -> tuple[str, str]:
    """The kind of the element that follows a line: its first mark."""
    children = list(root)
    mark = children[children.index(line) + 1]
    return mark.tag, mark.get("fill", "")


@given(CHANCES)
def test_chances_outside_of_the_scale_stay_on_it(chances: list[list[float]]) -> None:
    wild = [[value * 4 - 1 for value in row] for row in chances]
    for line in drawn(wild).iter(f"{SVG}polyline"):
        if line.get("stroke-width") == "2":
            heights = [float(point.split(",")[1]) for point in line.get("points", "").split()]
            assert all(TOP - 0.1 <= y <= BOTTOM + 0.1 for y in heights)


@pytest.mark.parametrize("name", [HOSTILE, "", "\u5b57" * 80, "a\nb\tc"])
def test_foreign_names_stay_text(name: str) -> None:
    text = course_svg(name, [name, "other"], [[0.1, 0.2], [0.3, 0.4]], ["start", "1"], "invented")
    root = ElementTree.fromstring(text)
    assert not {e.tag for e in root.iter()} & {f"{SVG}script", f"{SVG}a", f"{SVG}image"}
    assert "\x1b" not in text and "\u202e" not in text
    assert "not approved maintenance data" in " ".join(root.itertext())


def test_a_long_name_ends_in_dots_inside_the_drawing() -> None:
    root = drawn([[0.2, 0.4]], ["wide load " * 20])
    words, box = next(found for found in boxes(root) if found[0].startswith("wide"))
    assert words.endswith("...") and box[2] <= WIDTH
