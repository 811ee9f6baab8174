"""Chances over the steps of a session, as lines told apart by dashes, marks and a name at their end."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from faultiso.base.notice import Subject
from faultiso.report.drawing.svg import Attributes, centred, document, element, label, line, wrap

WIDTH, HEIGHT = 760.0, 320.0
LEFT, RIGHT, TOP, BOTTOM = 60.0, 210.0, 60.0, 280.0
DASHES = ("", "9 4", "2 4", "12 4 2 4", "5 2", "1 2")
NEAREST = 16.0  # two names at the end of lines stand no nearer


def course_svg(
    title: str,
    names: Sequence[str],
    chances: Sequence[Sequence[float]],
    steps: Sequence[str],
    subject: Subject,
) -> str:
    """``chances[k][s]`` of name ``k`` after step ``s``, 0 to 1; ``steps`` are short labels below."""
    count = max(len(steps) - 1, 1)
    across = [LEFT + (WIDTH - RIGHT - LEFT) * s / count for s in range(len(steps))]
    parts = [*_frame(across, steps)]
    ends = _spread([_high(row[-1]) for row in chances])
    for k, (name, row) in enumerate(zip(names, chances, strict=True)):
        points = [(x, _high(chance)) for x, chance in zip(across, row, strict=True)]
        dash: Attributes = {"stroke_dasharray": DASHES[k % len(DASHES)]} if DASHES[k % len(DASHES)] else {}
        parts.append(line(points, stroke_width=2.0, **dash))
        parts += [_mark(k, x, y) for x, y in points]
        text = wrap(name, RIGHT - 24, most=1)
        parts.append(label(text, across[-1] + 14, ends[k] + 4))
    return document(WIDTH, HEIGHT, title, "Chances over the steps.", subject, parts)


def _high(chance: float) -> float:
    return BOTTOM - (BOTTOM - TOP) * min(max(chance, 0.0), 1.0)


def _frame(across: Sequence[float], steps: Sequence[str]) -> list[str]:
    """Scale at the left, steps below."""
    parts = []
    for share in (0, 25, 50, 75, 100):
        y = _high(share / 100)
        parts.append(line([(LEFT, y), (WIDTH - RIGHT, y)], stroke_width=0.5, stroke="#999999"))
        parts.append(label([f"{share}"], LEFT - 32, y + 4))
    every = max(1, len(steps) // 12)
    parts += [
        centred([text], x, BOTTOM + 16)
        for k, (x, text) in enumerate(zip(across, steps, strict=True))
        if k % every == 0
    ]
    parts.append(label(["in 100"], LEFT - 44, TOP - 14))
    return parts


def _mark(k: int, x: float, y: float) -> str:
    """A sign of its own for each line."""
    match k % 4:
        case 0:
            return element("circle", cx=x, cy=y, r=3.5, fill="#ffffff", stroke="#1a1a1a")
        case 1:
            return element("rect", x=x - 3, y=y - 3, width=6.0, height=6.0, fill="#1a1a1a")
        case 2:
            points = f"{x:.1f},{y - 4:.1f} {x + 4:.1f},{y + 3:.1f} {x - 4:.1f},{y + 3:.1f}"
            return element("polygon", points=points, fill="#ffffff", stroke="#1a1a1a")
    return line([(x - 3, y - 3), (x + 3, y + 3)], stroke_width=1.5) + line(
        [(x - 3, y + 3), (x + 3, y - 3)], stroke_width=1.5
    )


def _spread(heights: Sequence[float]) -> list[float]:
    """Heights pushed apart so that names do not cover each other: down first, then up from the foot."""
    order = sorted(range(len(heights)), key=lambda k: heights[k])
    placed = list(heights)
    for above, below in pairwise(order):
        placed[below] = max(placed[below], placed[above] + NEAREST)
    limit = BOTTOM
    for k in reversed(order):
        placed[k] = min(placed[k], limit)
        limit = placed[k] - NEAREST
    return placed
