"""What a question needs: barren variables and separated ones are left out before anything is computed.

The ball that bounces through the network is Shachter's (Bayes-ball, UAI 1998): a variable passes it on to
its parents when asked by a child, to its children when asked by a parent; an observed variable sends it back
from parents to parents (explaining away) and stops it from children.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from faultiso.network.network import Network


@dataclass(frozen=True)
class Requisite:
    """``variables``: the ancestral set of targets and evidence, what is left when barren variables are gone.

    ``tables``: the variables among them whose own table matters. ``evidence``: the observations that matter.
    ``reached``: every variable that is not separated from the targets by the evidence.
    """

    variables: frozenset[int]
    tables: frozenset[int]
    evidence: frozenset[int]
    reached: frozenset[int]


def requisite(network: Network, targets: Iterable[int], evidence: Iterable[int]) -> Requisite:
    """What is needed for P(targets | evidence), and what depends on the targets given the evidence."""
    asked, seen = tuple(targets), frozenset(evidence)
    from_child, from_parent = _bounce(network, asked, seen)
    return Requisite(
        variables=frozenset(network.ancestors([*asked, *seen])),
        tables=frozenset(from_child | {v for v in from_parent if v in seen}),
        evidence=frozenset((from_child | from_parent) & seen),
        reached=frozenset((from_child | from_parent) - seen),
    )


def independent(network: Network, variable: int, evidence: Iterable[int]) -> frozenset[int]:
    """All unobserved variables that are d-separated from ``variable`` by ``evidence``."""
    seen = frozenset(evidence)
    everything = frozenset(range(len(network.names))) - seen
    return everything - requisite(network, (variable,), seen).reached - {variable}


def _bounce(network: Network, targets: Iterable[int], seen: frozenset[int]) -> tuple[set[int], set[int]]:
    """Variables whose parents were visited ("top"), and variables that the ball reached from a parent.

    A visited pair (variable, direction) is worked off once, so the walk is linear in the number of edges.
    """
    from_child: set[int] = set()
    from_parent: set[int] = set()
    todo = [(v, True) for v in targets]
    while todo:
        v, upward = todo.pop()
        visited = from_child if upward else from_parent
        if v in visited:
            continue
        visited.add(v)
        if v in seen:
            if not upward:
                todo += [(p, True) for p in network.parents[v]]
            continue
        if upward:
            todo += [(p, True) for p in network.parents[v]]
        todo += [(c, False) for c in network.children[v]]
    return from_child, from_parent
