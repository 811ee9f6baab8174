"""Which way the links of a graph run, and in which column each node stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

Pair = tuple[str, str]


def split(nodes: Sequence[str], pairs: Iterable[Pair]) -> tuple[list[Pair], list[Pair]]:
    """Forward links, and those that lead back: a link that closes a circle of links before it.

    In the order of the file, so that a path written from the tank back to the tank is drawn from there.
    """
    after: dict[str, list[str]] = {node: [] for node in nodes}
    back: list[Pair] = []
    for source, target in dict.fromkeys(pairs):
        if _leads_to(target, source, after):
            back.append((source, target))
        else:
            after[source].append(target)
    return [(source, target) for source in nodes for target in after[source]], back


def _leads_to(start: str, end: str, after: Mapping[str, Sequence[str]]) -> bool:
    seen, waiting = {start}, [start]
    while waiting:
        node = waiting.pop()
        if node == end:
            return True
        fresh = [other for other in after[node] if other not in seen]
        seen.update(fresh)
        waiting.extend(fresh)
    return False


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
