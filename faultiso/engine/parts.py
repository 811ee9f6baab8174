"""Exact answers for networks whose one junction tree would be too large.

Three exact devices, all decided by estimates before anything is allocated:

* checks are answered in groups, each in the network that its parents and the evidence need (barren variables
  left out);
* a few variables are told in turn (cutset conditioning, Pearl 1988 section 4.4) until a tree fits into the
  memory limit; the answers are averaged with the probability of each case;
* features are carried a few at a time.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import exp, inf, log, prod

import numpy as np

from faultiso.base.problems import TooLarge
from faultiso.engine.features import Source
from faultiso.engine.order import Elimination
from faultiso.engine.pairs import Moments, PairPlan, PairResult, mixture, prepare_pairs
from faultiso.engine.plan import BYTES, Plan, compile_plan, find_order, readable
from faultiso.engine.propagate import propagate
from faultiso.engine.tables import Factor
from faultiso.network.network import Array, Network

TABLES = 6
"""Tables of the size of the whole tree that one calibration with one feature holds at the same time."""

FEATURE = 3
"""The same, for each further feature."""

COMFORT = 1 << 20
"""Cutting goes on down to this many table entries: many features then go at once, and fit into the cache."""

LONGEST_CUT = 14
"""Most variables that are told in turn."""

PATIENT = 1 << 19
"""From this many table entries on it pays to try more elimination orders."""


@dataclass(frozen=True)
class Question:
    """Faults and checks to be ranked in a network, and the findings as weights."""

    network: Network
    faults: tuple[int, ...]
    sources: Mapping[str, Source]
    likelihoods: Mapping[int, Array]
    factors: tuple[Factor, ...]


@dataclass(frozen=True)
class Part:
    """Answers for some checks about some faults (numbers); about all other faults they tell nothing."""

    checks: tuple[str, ...]
    faults: tuple[int, ...]
    result: PairResult


def answer_in_parts(question: Question, limit: int) -> tuple[float, Array, list[Part]]:
    """(log evidence, P(fault present | evidence), parts that together hold every check)."""
    log_evidence, (base,) = _Piece(question, ()).answer(limit)
    p_fault = _priors(question) * (log_evidence > -inf)
    p_fault[list(base.faults)] = base.result.p_fault
    parts: list[Part] = []
    for names in _split(question, tuple(question.sources)):
        parts += _Piece(question, names).answer(limit)[1]
    return log_evidence, p_fault, parts


def _priors(question: Question) -> Array:
    """P(present) of root faults; others are replaced by what is computed."""
    tables = [question.network.tables[f] for f in question.faults]
    return np.array([1.0 - table[0] if table.ndim == 1 else 0.0 for table in tables])


def _split(question: Question, names: tuple[str, ...]) -> list[tuple[str, ...]]:
    """Groups of checks, neighbours in the network together, that are cheaper apart than in one."""
    if not names:
        return []
    ordered = sorted(names, key=lambda name: (max(question.sources[name].parents, default=0), name))
    return _halve(question, tuple(ordered), _Piece(question, tuple(ordered)).price())


def _halve(question: Question, names: tuple[str, ...], price: float) -> list[tuple[str, ...]]:
    if len(names) < 2:
        return [names]
    half = len(names) // 2
    left, right = names[:half], names[half:]
    prices = _Piece(question, left).price(), _Piece(question, right).price()
    if sum(prices) > 0.8 * price:
        return [names]
    return _halve(question, left, prices[0]) + _halve(question, right, prices[1])


class _Piece:
    """A group of checks with the part of the network that it needs."""

    def __init__(self, question: Question, names: tuple[str, ...]) -> None:
        self.names = names
        network = question.network
        seen = [*question.likelihoods, *[v for variables, _ in question.factors for v in variables]]
        looked_at = [v for name in names for v in question.sources[name].parents]
        caused = [f for f in question.faults if network.parents[f]]
        self.network, new = network.restricted(network.ancestors([*seen, *looked_at, *caused]))
        self.numbers = tuple(n for n, f in enumerate(question.faults) if f in new)
        self.faults = tuple(new[question.faults[n]] for n in self.numbers)
        self.likelihoods = {new[v]: weights for v, weights in question.likelihoods.items()}
        self.factors = [(tuple(new[v] for v in vs), table) for vs, table in question.factors]
        self.sources = {name: _moved(question.sources[name], new) for name in names}

    @property
    def groups(self) -> list[Sequence[int]]:
        """What must lie in one clique: evidence on several variables, and checks of three or more."""
        wide = [source.parents for source in self.sources.values() if len(source.parents) > 2]
        return [*[variables for variables, _ in self.factors], *wide]

    def price(self) -> float:
        """About how many numbers are handled."""
        cards = self.network.cards
        looks = {source.parents for source in self.sources.values()}
        features = sum(prod(cards[v] for v in parents) - 1 for parents in looks)
        return find_order(self.network, self.groups).cost * (features + TABLES)

    def answer(self, limit: int) -> tuple[float, list[Part]]:
        """Log evidence and the ranked checks of this piece."""
        plan = self._plan(limit)
        packs = self._packs(plan, limit)
        prepared = [prepare_pairs(plan, self.faults, [self.sources[n] for n in names]) for names in packs]
        logs, moments = self._cases(plan, prepared, limit)
        results = [pack.finish(mixture(found, logs)) for pack, found in zip(prepared, moments, strict=True)]
        parts = [Part(names, self.numbers, result) for names, result in zip(packs, results, strict=True)]
        return float(np.logaddexp.reduce(logs)), parts

    def _plan(self, limit: int) -> Plan:
        cut = self._cut(limit)
        return compile_plan(self.network, self.groups, given=cut[0], order=cut[1], limit=limit)

    def _cut(self, limit: int) -> tuple[frozenset[int], Elimination]:
        """Variables to be told in turn, so that the rest fits; never a fault or what a check looks at.

        Each halves the tables and doubles the cases, so the work hardly changes.
        """
        fixed = {*self.faults, *[v for source in self.sources.values() for v in source.parents]}
        cut: set[int] = set()
        order = self._patient(cut)
        while order.cost > COMFORT and len(cut) < LONGEST_CUT:
            chosen = _busiest(order, self.network.cards, fixed | cut)
            if chosen is None:
                break
            cut.add(chosen)
            order = self._patient(cut)
        needed = BYTES * order.cost * TABLES
        if needed > limit:
            raise TooLarge(
                f"an exact answer needs about {readable(needed)} of memory, more than the limit of "
                f"{readable(limit)}; observe more first, or ask about fewer checks"
            )
        return frozenset(cut), order

    def _patient(self, cut: set[int]) -> Elimination:
        order = find_order(self.network, self.groups, given=cut)
        if order.cost <= PATIENT:
            return order
        return find_order(self.network, self.groups, given=cut, tries=6)

    def _packs(self, plan: Plan, limit: int) -> list[tuple[str, ...]]:
        """Checks in runs whose features fit into memory together; at least one run, maybe an empty one."""
        room = int((limit / (BYTES * max(plan.entries, 1)) - TABLES) // FEATURE)
        packs: list[list[str]] = [[]]
        used = 0
        for name, source in self.sources.items():
            width = prod(self.network.cards[v] for v in source.parents) - 1
            if used and used + width > room:
                packs.append([])
                used = 0
            packs[-1].append(name)
            used += width
        return [tuple(pack) for pack in packs]

    def _cases(self, plan: Plan, packs: Sequence[PairPlan], limit: int) -> tuple[Array, list[list[Moments]]]:
        """Log P(case, evidence) of each state of the told variables, and for each pack the moments."""
        cut = sorted(plan.given)
        logs: list[float] = []
        moments: list[list[Moments]] = [[] for _ in packs]
        for states in product(*[range(self.network.cards[v]) for v in cut]):
            known = dict(zip(cut, states, strict=True))
            run = propagate(plan, self.likelihoods, factors=self.factors, known=known, limit=limit)
            logs.append(float(run.log_evidence[0]))
            for pack, found in zip(packs, moments, strict=True):
                found.append(pack.moments(run))
        return np.array(logs), moments


def _moved(source: Source, new: Mapping[int, int]) -> Source:
    return Source(tuple(new[v] for v in source.parents), source.table)


def _busiest(order: Elimination, cards: Sequence[int], fixed: set[int]) -> int | None:
    """The variable that takes part in most table entries."""
    load: dict[int, float] = {}
    for v, later in order.later.items():
        members = {v, *later}
        entries = exp(sum(log(cards[u]) for u in members))
        for u in members - fixed:
            load[u] = load.get(u, 0.0) + entries
    return max(load, key=lambda u: (load[u], -u), default=None)
