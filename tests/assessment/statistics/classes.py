"""Random classes for property tests."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from faultiso.assessment.statistics.figure import Figure
from faultiso.assessment.statistics.marks import Marks, marks_of

GRADES = (0.0, 0.25, 0.5, 0.75, 1.0)


def said(figure: Figure) -> float:
    assert figure.value is not None, figure.note
    return figure.value


@st.composite
def rows(
    draw: st.DrawFn, grades: tuple[float | None, ...] = GRADES, people: int = 10, items: int = 5
) -> list[list[float | None]]:
    """Marks of ``people`` to 14 people in ``items`` to 8 items."""
    wide = draw(st.integers(items, 8))
    row = st.lists(st.sampled_from(grades), min_size=wide, max_size=wide)
    return draw(st.lists(row, min_size=people, max_size=14))


def able(people: int, items: int, seed: int) -> Marks:
    """Right or wrong by skill: who can more is right more often."""
    random = np.random.default_rng(seed)
    skill, hard = random.normal(size=(people, 1)), random.normal(size=items)
    return marks_of((random.random((people, items)) < 1 / (1 + np.exp(hard - skill))).astype(float).tolist())
