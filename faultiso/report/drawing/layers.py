"""Which way the links of a graph run, and in which column each node stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

Pair = tuple[str, str]


def split(nodes: Sequence[str], pairs: Iterable[Pair]) -> tuple[list[Pair], list[Pair]]:
    """Forward links, and those that lead back: without these there is no circle.

    Walks depth first from the nodes in their given order, so the first node of a circle is its beginning.
    """
    after: dict[str, list[str]] = {node: [] for node in nodes}
    for source, target in pairs:
        if target not in after[source]:
            after[source].append(target)
    back: list[Pair] = []
    open_now: set[str] = set()
    seen: set[str] = set()
    for start in nodes:
        if start not in seen:
            _walk(start, after, seen, open_now, back)
    leading_back = set(back)
    forward = [(s, t) for s in nodes for t in after[s] if (s, t) not in leading_back]
    return forward, back


def _walk(
    start: str, after: Mapping[str, list[str]], seen: set[str], open_now: set[str], back: list[Pair]
) -> None:
    """Depth first without recursion: a model may be a chain of thousands."""
    stack = [(start, iter(after[start]))]
    seen.add(start)
    open_now.add(start)
    while stack:
        node, rest = stack[-1]
        for target in rest:
            if target in open_now:
                back.append((node, target))
            elif target not in seen:
                seen.add(target)
                open_now.add(target)
                stack.append((target, iter(after[target])))
                break
        else:
            open_now.discard(node)
            stack.pop()


def columns(nodes: Sequence[str], forward: Sequence[Pair]) -> dict[str, int]:
    """Column of each node: the longest way to it, then drawn right towards what it feeds.

    Links must be without a circle. Only a node with no more arrows in than out moves, so that no link grows
    longer in sum.
    """
    before: dict[str, list[str]] = {node: [] for node in nodes}
    after: dict[str, list[str]] = {node: [] for node in nodes}
    for source, target in forward:
        after[source].append(target)
        before[target].append(source)
    order = in_order(nodes, before, after)
    column: dict[str, int] = {}
    for node in order:
        column[node] = max((column[other] + 1 for other in before[node]), default=0)
    for node in reversed(order):
        if after[node] and len(before[node]) <= len(after[node]):
            column[node] = min(column[other] for other in after[node]) - 1
    return column


def in_order(
    nodes: Sequence[str], before: Mapping[str, Sequence[str]], after: Mapping[str, Sequence[str]]
) -> list[str]:
    """The nodes, each after all that leads to it."""
    missing = {node: len(before[node]) for node in nodes}
    order = [node for node in nodes if not missing[node]]
    for node in order:
        for other in after[node]:
            missing[other] -= 1
            if not missing[other]:
                order.append(other)
    return order
