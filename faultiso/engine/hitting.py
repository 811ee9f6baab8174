"""Minimal hitting sets: from what contradicts to what explains (Reiter 1987; de Kleer & Williams 1987)."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable
from typing import TypeVar

Item = TypeVar("Item", bound=Hashable)


def minimal_hitting_sets(conflicts: Iterable[Collection[Item]]) -> list[frozenset[Item]]:
    """All smallest-by-inclusion sets that share a member with every conflict, small sets first.

    No conflicts: the empty set explains everything. An empty conflict cannot be hit: no sets. The sets are
    extended one conflict at a time and kept minimal, so the result does not depend on the order.
    """
    found: list[frozenset[Item]] = [frozenset()]
    for conflict in conflicts:
        members = frozenset(conflict)
        hitting = [one for one in found if one & members]
        extended = {one | {item} for one in found if not one & members for item in members}
        fresh = [one for one in extended if not any(old <= one for old in hitting)]
        found = hitting + [one for one in fresh if not any(other < one for other in fresh)]
    return sorted(found, key=lambda one: (len(one), sorted(map(repr, one))))
