"""Plots of a class: nothing leaves the drawing, no text covers another, what is drawn is what was given."""

from __future__ import annotations

from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.report.drawing.plots import (
    LEFT,
    RIGHT,
    WIDTH,
    Row,
    across,
    cases_svg,
    confidence_svg,
    spread_svg,
)
from faultiso.report.drawing.svg import SIZE, text_width
from tests.drawing.test_course import HOSTILE, SVG, Box, overlap

COUNTS = st.lists(st.integers(0, 500), min_size=10, max_size=10)
SHARE = st.floats(0, 1)
MARK = st.floats(0, 100)
BANDS = st.lists(st.tuples(SHARE, SHARE, st.integers(1, 9999)), max_size=5).map(
    lambda bands: [((k + said) / 5, so, n) for k, (said, so, n) in enumerate(bands)]
)
ROWS = st.lists(
    st.lists(MARK, min_size=5, max_size=5).flatmap(
        lambda marks: st.just(Row("slow-flaps", *sorted(marks), mean=sum(marks) / 5))
    ),
    max_size=6,
)


def texts(root: ElementTree.Element) -> list[tuple[str, Box]]:
    """Each text above the notice with its left, upper, right and lower end."""
    found = []
    for text in root.iter(f"{SVG}text"):
        for span in text.iter(f"{SVG}tspan"):
            x, y, words = float(span.get("x", 0)), float(span.get("y", 0)), span.text or ""
            size = float(text.get("font-size", SIZE))
            wide = text_width(words, size) * 0.8  # text_width says rather too much
            left = x - wide / 2 if text.get("text-anchor") == "middle" else x
            if text.get("font-weight") != "bold" or size > SIZE:
                found.append((words, (left, y - size * 0.7, left + wide, y + size * 0.2)))
    return found


def all_inside(root: ElementTree.Element) -> None:
    high = float(root.get("height", 0))
    for words, (left, top, right, low) in texts(root):
        assert left >= 0 and right <= WIDTH and top >= 0 and low <= high, words
    for line in root.iter(f"{SVG}polyline"):
        for x, y in (point.split(",") for point in line.get("points", "").split()):
            assert 0 <= float(x) <= WIDTH and 0 <= float(y) <= high
    for bar in root.iter(f"{SVG}rect"):
        assert float(bar.get("width", 0)) >= 0 and float(bar.get("height", 0)) >= 0


@given(COUNTS, MARK)
def test_bars_are_as_high_as_their_counts(counts: list[int], pass_mark: float) -> None:
    root = ElementTree.fromstring(spread_svg("Marks", counts, pass_mark, "invented"))
    all_inside(root)
    bars = [bar for bar in root.iter(f"{SVG}rect") if bar.get("stroke")]
    assert len(bars) == sum(count > 0 for count in counts)
    heights = [float(bar.get("height", 0)) for bar in bars]
    most = max(counts)
    for high, count in zip(heights, [count for count in counts if count], strict=True):
        assert high == pytest.approx(180 * count / most, abs=0.06)


@given(COUNTS, st.sampled_from((0.0, 50.0, 60.0, 100.0)))
def test_no_count_covers_another_text(counts: list[int], pass_mark: float) -> None:
    root = ElementTree.fromstring(spread_svg("Marks", counts, pass_mark, "invented"))
    for (first, one), (second, other) in combinations(texts(root), 2):
        assert not overlap(one, other), (first, second)


@given(ROWS, MARK)
def test_a_box_stands_where_its_figures_are(rows: list[Row], pass_mark: float) -> None:
    root = ElementTree.fromstring(cases_svg("Marks", rows, pass_mark, "invented"))
    all_inside(root)
    boxes = [box for box in root.iter(f"{SVG}rect") if box.get("stroke")]
    rings = list(root.iter(f"{SVG}circle"))
    for row, box, ring in zip(rows, boxes, rings, strict=True):
        assert float(box.get("x", 0)) == pytest.approx(across(row.lower / 100), abs=0.06)
        assert float(box.get("width", 0)) == pytest.approx(
            max(across(row.upper / 100) - across(row.lower / 100), 1), abs=0.06
        )
        assert float(ring.get("cx", 0)) == pytest.approx(across(row.mean / 100), abs=0.06)


@given(BANDS)
def test_rings_stand_at_what_was_said_and_what_was_so(bands: list[tuple[float, float, int]]) -> None:
    root = ElementTree.fromstring(confidence_svg("Stated", bands, "invented"))
    all_inside(root)
    rings = list(root.iter(f"{SVG}circle"))
    assert len(rings) == len(bands)
    for ring, (said, _, _) in zip(rings, bands, strict=True):
        assert float(ring.get("cx", 0)) == pytest.approx(LEFT + (WIDTH - RIGHT - LEFT) * said, abs=0.06)
    heights = [float(ring.get("cy", 0)) for ring in rings]
    order = sorted(range(len(bands)), key=lambda k: -bands[k][1])
    assert [heights[k] for k in order] == sorted(heights)


@pytest.mark.parametrize("name", [HOSTILE, "", "字" * 80, "a\nb\tc"])
def test_foreign_names_stay_text(name: str) -> None:
    row = Row(name, 1, 2, 3, 4, 5, 3)
    for text in (
        cases_svg(name, [row], 60, "invented"),
        spread_svg(name, [1] * 10, 60, ""),
        confidence_svg(name, [(0.1, 0.2, 3)], ""),
    ):
        root = ElementTree.fromstring(text)
        assert not {e.tag for e in root.iter()} & {f"{SVG}script", f"{SVG}a", f"{SVG}image"}
        assert "\x1b" not in text and "\u202e" not in text
        assert "not approved maintenance data" in " ".join(root.itertext())


def test_nothing_is_told_by_colour() -> None:
    drawn = cases_svg("m", [Row("a", 1, 2, 3, 4, 5, 3)], 60, "") + spread_svg("m", [1] * 10, 60, "")
    drawn += confidence_svg("m", [(0.1, 0.2, 3)], "")
    root = ElementTree.fromstring(f"<all>{drawn}</all>")
    colours = {e.get(key) for e in root.iter() for key in ("fill", "stroke")} - {None, "none"}
    assert all(len({c[1:3], c[3:5], c[5:7]}) == 1 for c in colours if c), "greys only"
