"""What every reader of networks needs: parents before children, and tables that nobody can change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from heapq import heappop, heappush

import numpy as np

from faultiso.network.network import Array


def parents_first(names: Sequence[str], parents: Mapping[str, Sequence[str]]) -> list[str]:
    """The names in their given order, but each after its parents. Raises ValueError on a cycle."""
    place = {name: i for i, name in enumerate(names)}
    missing = {name: len(set(parents[name])) for name in names}
    children: dict[str, list[str]] = {name: [] for name in names}
    for name in names:
        for parent in set(parents[name]):
            children[parent].append(name)
    ready = [place[name] for name in names if not missing[name]]
    done = []
    while ready:
        done.append(names[heappop(ready)])
        for child in children[done[-1]]:
            missing[child] -= 1
            if not missing[child]:
                heappush(ready, place[child])
    if len(done) < len(names):
        circle = sorted(str(name) for name in set(names) - set(done))
        raise ValueError(f"the arrows run in a circle through {', '.join(circle[:5])}")
    return done


def frozen(table: Array) -> Array:
    """A read-only copy in row-major order."""
    copy = np.array(table, dtype=np.float64, order="C")
    copy.flags.writeable = False
    return copy
