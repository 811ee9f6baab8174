"""A layered drawing of a graph without circles: who stands above whom, and at which height.

Long arrows get a place in every column that they cross (Sugiyama, Tagawa & Toda 1981); the order in a
column follows the mean place of the neighbours, the heights are the least-squares ones for that order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from faultiso.report.drawing.layers import columns, split

Pair = tuple[str, str]
Stop = tuple[str, str, int]  # a place that the arrow (source, target) takes in a column
Spot = str | Stop
_SWEEPS = 12
_THREAD = 12.0


@dataclass(frozen=True)
class Heights:
    """Column and middle height of every node, and of the places that an arrow passes, in order."""

    column: Mapping[str, int]
    middle: Mapping[str, float]
    passing: Mapping[Pair, tuple[tuple[int, float], ...]]
    bottom: float


def arrange(
    nodes: Sequence[str], pairs: Sequence[Pair], tall: Mapping[str, float], space: float, top: float = 0.0
) -> Heights:
    """Heights for the nodes; ``tall``: height of each, ``space``: between two of a column, ``top``: of all.

    Links that lead back in a circle (a model should have none) are left out.
    """
    forward, _ = split(nodes, pairs)
    column = columns(nodes, forward)
    stacks, near = _stacks(nodes, forward, column)
    for sweep in range(_SWEEPS):
        _sweep(stacks, near, backwards=bool(sweep % 2))
    sizes = {spot: tall[spot] + space if isinstance(spot, str) else _THREAD for spot in near}
    middle = _settle(stacks, near, sizes)
    highest = min((middle[spot] - sizes[spot] / 2 for spot in middle), default=0.0)
    middle = {spot: y + top - highest for spot, y in middle.items()}
    return Heights(
        column,
        {node: middle[node] for node in nodes},
        {(s, t): tuple((c, middle[s, t, c]) for c in range(column[s] + 1, column[t])) for s, t in forward},
        max((middle[spot] + sizes[spot] / 2 for spot in middle), default=top),
    )


def _stacks(
    nodes: Sequence[str], forward: Sequence[Pair], column: Mapping[str, int]
) -> tuple[list[list[Spot]], dict[Spot, tuple[list[Spot], list[Spot]]]]:
    """What stands in each column, in file order, and the neighbours of each to the left and right."""
    stacks: list[list[Spot]] = [[] for _ in range(1 + max(column.values(), default=0))]
    near: dict[Spot, tuple[list[Spot], list[Spot]]] = {}
    for node in nodes:
        stacks[column[node]].append(node)
        near[node] = ([], [])
    for source, target in forward:
        way: list[Spot] = [source]
        for c in range(column[source] + 1, column[target]):
            stop = (source, target, c)
            stacks[c].append(stop)
            near[stop] = ([], [])
            way.append(stop)
        for left, right in zip(way, [*way[1:], target], strict=True):
            near[left][1].append(right)
            near[right][0].append(left)
    return stacks, near


def _sweep(
    stacks: list[list[Spot]], near: Mapping[Spot, tuple[list[Spot], list[Spot]]], backwards: bool
) -> None:
    """Order each column by the mean place of its neighbours in the column before (0 top, 1 foot)."""
    place: dict[Spot, float] = {}
    for stack in reversed(stacks) if backwards else stacks:
        wish = {}
        for i, spot in enumerate(stack):
            places = [place[other] for other in near[spot][int(backwards)]]
            wish[spot] = fmean(places) if places else (i + 0.5) / len(stack)
        stack.sort(key=lambda spot: wish[spot])
        place.update({spot: (i + 0.5) / len(stack) for i, spot in enumerate(stack)})


def _settle(
    stacks: list[list[Spot]],
    near: Mapping[Spot, tuple[list[Spot], list[Spot]]],
    sizes: Mapping[Spot, float],
) -> dict[Spot, float]:
    """Heights that bring each spot close to its neighbours, without overlap."""
    middle: dict[Spot, float] = {}
    for stack in stacks:
        y = 0.0
        for spot in stack:
            middle[spot] = y + sizes[spot] / 2
            y += sizes[spot]
    for sweep in range(_SWEEPS):
        for stack in reversed(stacks) if sweep % 2 else stacks:
            wish = [
                fmean([middle[other] for side in near[spot] for other in side] or [middle[spot]])
                for spot in stack
            ]
            middle.update(zip(stack, spread(wish, [sizes[spot] for spot in stack]), strict=True))
    return middle


def spread(wish: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Middles in the given order, next to each other at the nearest, closest to the wishes in least squares.

    Pool adjacent violators (Barlow, Bartholomew, Bremner & Brunk 1972) on the wishes less what stands above.
    """
    offsets, y = [], 0.0
    for size in sizes:
        offsets.append(y + size / 2)
        y += size
    blocks: list[tuple[float, int]] = []
    for want, offset in zip(wish, offsets, strict=True):
        blocks.append((want - offset, 1))
        while len(blocks) > 1 and blocks[-2][0] > blocks[-1][0]:
            (a, n), (b, m) = blocks[-2:]
            blocks[-2:] = [((a * n + b * m) / (n + m), n + m)]
    levels = [level for level, count in blocks for _ in range(count)]
    return [level + offset for level, offset in zip(levels, offsets, strict=True)]
