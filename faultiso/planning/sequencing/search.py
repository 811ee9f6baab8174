"""Search over beliefs between a lower and an upper bound of each, until both meet or time or memory is up.

AO* on the graph of beliefs (Nilsson, Principles of Artificial Intelligence, 1980; for sequential testing
Pattipati & Alexandridis, IEEE Trans. SMC 20(4), 1990), led to where the two bounds differ most (Smith &
Simmons, UAI 2004). Beliefs that are reached by several ways are one node. Stopped early, the upper bound is
that of a plan that can be followed, so every answer on the way is one; run to the end it is exact.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import numpy as np

from faultiso.base.problems import TooLarge
from faultiso.planning.sequencing.bounds.strongest import strongest
from faultiso.planning.sequencing.ceiling import simple_minutes
from faultiso.planning.sequencing.moves import Move, Moves
from faultiso.planning.sequencing.problem import Array, Problem

Bound = Callable[[Moves, Array, int], Array]
Clock = Callable[[], float]
Key = tuple[int, bytes]
DIGITS = 12  # beliefs that agree to so many digits are one node
CLOSED = 1e-9  # relative difference of the bounds at which a node is settled
NODE_BYTES = 1500  # what a node takes besides its beliefs, about
MEGABYTE = 1 << 20


def key_of(belief: Array, left: int) -> Key:
    """By what a belief, and what is left to do, is known again."""
    return left, (np.round(belief, DIGITS) + 0.0).tobytes()


@dataclass(eq=False)
class Node:
    """A belief, what is left to do, and the bounds of its expected minutes."""

    belief: Array
    left: int
    low: float
    high: float
    moves: list[Move] | None = None
    children: list[list[Node]] = field(default_factory=list)

    @property
    def settled(self) -> bool:
        return self.high - self.low <= CLOSED * max(1.0, self.high)


class Search:
    """The graph of beliefs of one problem. ``low`` <= expected minutes of the best plan <= ``high``."""

    def __init__(self, problem: Problem, bound: Bound = strongest, megabytes: float = 512.0) -> None:
        self.moves, self.bound, self.megabytes = Moves(problem), bound, megabytes
        self._nodes: dict[Key, Node] = {}
        self._bytes = self._steps = 0
        prior = np.asarray(problem.prior, dtype=float)
        self.root = self.node(prior / prior.sum(), self.moves.everything)

    @property
    def nodes(self) -> int:
        return len(self._nodes)

    @property
    def full(self) -> bool:
        """Whether the memory that was allowed is used up."""
        return self._bytes > self.megabytes * MEGABYTE

    @property
    def settled(self) -> bool:
        return self.root.settled

    def step(self) -> None:
        """Follow the most doubtful way to a belief not looked at yet, look at it, and report back.

        In turn by the moves that may be cheapest, which raises the lower bound, and by those of the best plan
        so far, which betters the plan.
        """
        way, node = [self.root], self.root
        self._steps += 1
        while (onward := self._most_doubtful(node)) is not None:
            node = onward
            way.append(node)
        if node.moves is None:
            self.expand(node)
        for node in reversed(way):
            self._back(node)

    def expand(self, node: Node) -> None:
        """All that can be done from a belief, and the beliefs that follow."""
        node.moves = self.moves.moves(node.belief, node.left)
        node.children = [[self.node(b, move.left) for b in move.beliefs] for move in node.moves]
        self._bytes += sum(move.beliefs.nbytes + 200 for move in node.moves)

    def node(self, belief: Array, left: int) -> Node:
        """The node of a belief, made if it is new."""
        left = self.moves.useful(belief, left)
        key = key_of(belief, left)
        found = self._nodes.get(key)
        if found is None:
            low = float(self.bound(self.moves, belief[None], left)[0])
            high = float(simple_minutes(self.moves, belief, left))
            found = self._nodes[key] = Node(belief, left, min(low, high), high)
            self._bytes += NODE_BYTES + 2 * belief.nbytes
        return found

    def _back(self, node: Node) -> None:
        if node.moves is not None:
            node.low = max(node.low, min(self.lows(node)))
            node.high = min(node.high, min(self.highs(node)))

    def lows(self, node: Node) -> list[float]:
        """The lower bound of each move of a node that was looked at."""
        return [
            move.price + sum(p * child.low for p, child in zip(move.chances.tolist(), children, strict=True))
            for move, children in zip(node.moves or (), node.children, strict=True)
        ]

    def highs(self, node: Node) -> list[float]:
        """The upper bound of each move of a node that was looked at."""
        return [
            move.price + sum(p * child.high for p, child in zip(move.chances.tolist(), children, strict=True))
            for move, children in zip(node.moves or (), node.children, strict=True)
        ]

    def choices(self) -> dict[Key, int]:
        """The place of the best move found, among all moves of each belief that was looked at."""
        found = {}
        for key, node in self._nodes.items():
            if node.moves is not None:
                highs = self.highs(node)
                found[key] = highs.index(min(highs))
        return found

    def _most_doubtful(self, node: Node) -> Node | None:
        """Where to look next: by the best move, the outcome with most doubt in it."""
        if node.moves is None or node.settled:
            return None
        minutes = self.lows(node) if self._steps % 2 else self.highs(node)
        best = minutes.index(min(minutes))
        doubts = [
            chance * (child.high - child.low)
            for chance, child in zip(node.moves[best].chances.tolist(), node.children[best], strict=True)
        ]
        return node.children[best][doubts.index(max(doubts))] if doubts else None


def solve(problem: Problem, bound: Bound = strongest, megabytes: float = 512.0) -> Search:
    """Search to the end, so that the bounds meet. Raises ``TooLarge`` when memory does not suffice."""
    search = Search(problem, bound, megabytes)
    while not search.settled:
        if search.full:
            raise TooLarge(
                f"an exact plan needs more than {megabytes:g} MB ({search.nodes:,} beliefs so far; the best "
                f"takes {search.root.low:.1f} to {search.root.high:.1f} minutes); allow more memory, leave "
                "out what is least likely, or take the best plan of a limited time"
            )
        search.step()
    return search


def search_for(
    problem: Problem,
    seconds: float,
    bound: Bound = strongest,
    megabytes: float = 512.0,
    clock: Clock = time.monotonic,
) -> Search:
    """The search after so many seconds, or sooner when it is settled or its memory is full."""
    *_, last = improve(problem, seconds, bound, megabytes, clock)
    return last


def improve(
    problem: Problem,
    seconds: float,
    bound: Bound = strongest,
    megabytes: float = 512.0,
    clock: Clock = time.monotonic,
) -> Iterator[Search]:
    """The same search again each time its plan or its lower bound has improved, first after one step."""
    search, start, told = Search(problem, bound, megabytes), clock(), (-1.0, np.inf)
    while True:
        search.step()
        if search.root.high < told[1] - CLOSED or search.root.low > told[0] * 1.01 + CLOSED or search.settled:
            told = (search.root.low, search.root.high)
            yield search
        if search.settled or search.full or clock() - start > seconds:
            return
