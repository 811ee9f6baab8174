"""A search as a plan that can be printed: steps, branches, candidates, how far from the best it can be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from faultiso.planning.sequencing.bounds.certificate import certify
from faultiso.planning.sequencing.ceiling import simple_move
from faultiso.planning.sequencing.moves import DEFERRED, ISOLATED, NO_FAULT_FOUND, REFER, Move
from faultiso.planning.sequencing.problem import Problem
from faultiso.planning.sequencing.search import Node, Search, improve, search_for
from faultiso.planning.tree import Branch, Candidate, Certificate, Plan, Step, StepKind, steps_in_order

MOST_STEPS = 400  # steps of a plan that anyone could use
SELDOM = 1e-3  # a branch less likely than this, from the start, is not followed
CANDIDATES = 7
ENDS: dict[int, tuple[StepKind, str, str]] = {
    REFER: ("refer", "refer", "stop and refer"),
    NO_FAULT_FOUND: ("no fault found", "no_fault_found", "no fault found: list the checks, set monitoring"),
    ISOLATED: ("isolated", "isolated", "isolated"),
}


def plan_of(search: Search, seldom: float = SELDOM, most_steps: int = MOST_STEPS) -> Plan:
    """The plan that a search has found so far; beliefs that are reached by several ways are one step."""
    return _Writer(search, seldom, most_steps).plan()


def best_plan(problem: Problem, seconds: float, megabytes: float = 512.0) -> Plan:
    """The best plan of a limited time, and the strongest bound: two thirds of it to search, one to prove."""
    search = search_for(problem, seconds * 2 / 3, megabytes=megabytes)
    low, name = certify(search, seconds / 3)
    return replace(plan_of(search), certificate=Certificate(search.root.high, low, name))


def improving_plans(problem: Problem, seconds: float, megabytes: float = 512.0) -> Iterator[Plan]:
    """Plans that get better, or better proved, until the time is up; the last is the best."""
    return (plan_of(search) for search in improve(problem, seconds, megabytes=megabytes))


class _Writer:
    """Follows the best moves from the root, likeliest first; what is left over at the end is cut."""

    def __init__(self, search: Search, seldom: float, most_steps: int) -> None:
        self.search, self.problem = search, search.moves.problem
        self.seldom, self.most_steps = seldom, most_steps
        self.chosen: dict[int, tuple[Move, list[Node]]] = {}
        self.steps: dict[int, Step] = {}
        self.verified = Step("verified", "verified", "verified", 0.0, 0.0)

    def plan(self) -> Plan:
        root = self.search.root
        self._choose(root)
        certificate = Certificate(root.high, min(root.low, root.high), self._bound())
        plan = Plan(self._step(root), certificate)
        return replace(plan, left_out=tuple(self._left_out(plan)))

    def _bound(self) -> str:
        root = self.search.root
        if root.settled:
            return "exact: searched to the end"
        return f"search over {self.search.nodes:,} beliefs with the {self.search.bound.__name__} bound"

    def _left_out(self, plan: Plan) -> Iterator[str]:
        cut = [reach for _, step, reach in steps_in_order(plan) if step.cut]
        if cut:
            share = f"{sum(cut):.2%} of all cases"
            yield f"{len(cut)} steps that are seldom reached are not followed further: {share}."
        if self.search.full:
            yield f"The search ended at its limit of {self.search.megabytes:g} MB of memory."

    def _choose(self, root: Node) -> None:
        """Choose moves, the likeliest nodes first, until only seldom ones are left or the plan is long."""
        open_: dict[int, tuple[float, Node]] = {id(root): (1.0, root)}
        while open_:
            key = max(open_, key=lambda k: open_[k][0])
            chance, node = open_.pop(key)
            if key in self.chosen or chance < self.seldom or len(self.chosen) >= self.most_steps:
                continue
            move, children = self.chosen[key] = self._best(node)
            for p, child in zip(move.chances.tolist(), children, strict=True):
                before = open_.get(id(child), (0.0, child))[0]
                open_[id(child)] = (before + chance * p, child)

    def _best(self, node: Node) -> tuple[Move, list[Node]]:
        """The move by which the upper bound holds: a searched one, else that of the simple plan."""
        highs = self.search.highs(node)
        if node.moves is not None and min(highs) <= node.high + 1e-9 * max(1.0, node.high):
            best = highs.index(min(highs))
            return node.moves[best], node.children[best]
        move = simple_move(self.search.moves, node.belief, node.left)
        return move, [self.search.node(b, move.left) for b in move.beliefs]

    def _step(self, node: Node) -> Step:
        if id(node) not in self.steps:
            self.steps[id(node)] = self._write(node)
        return self.steps[id(node)]

    def _write(self, node: Node) -> Step:
        move, children = self.chosen.get(id(node)) or self._best(node)
        followed = id(node) in self.chosen or not children
        kind, name, title = self._what(move)
        cut = None if followed else "seldom reached: plan again from here"
        return Step(
            kind=kind,
            name=name,
            title=title,
            minutes=self._minutes(move),
            expected_minutes=node.high,
            branches=tuple(self._branches(move, children)) if followed else (),
            candidates=tuple(self._candidates(node)),
            cut=cut,
        )

    def _what(self, move: Move) -> tuple[StepKind, str, str]:
        checks = self.problem.checks
        if move.number <= DEFERRED:
            line = self.problem.deferrals[DEFERRED - move.number]
            return "defer", line.name, line.title
        if move.number < 0:
            return ENDS[move.number]
        if move.number < len(checks):
            return "check", checks[move.number].name, checks[move.number].title
        repair = self.problem.repairs[move.number - len(checks)]
        return "repair", repair.name, repair.title

    def _minutes(self, move: Move) -> float:
        checks = self.problem.checks
        if 0 <= move.number < len(checks):
            return move.price
        if move.number >= 0:
            return move.before + self.problem.repairs[move.number - len(checks)].minutes
        if move.number <= DEFERRED:
            return self.problem.deferrals[DEFERRED - move.number].minutes
        return self.problem.costs.refer if move.number == REFER else 0.0

    def _branches(self, move: Move, children: list[Node]) -> Iterator[Branch]:
        checks = self.problem.checks
        if move.number >= len(checks):
            still = float(move.chances.sum())
            if still < 1.0:
                yield Branch("verified", 1.0 - still, self.verified)
            for child in children:
                yield Branch("not verified", still, self._step(child))
            return
        for place, p, child in zip(move.outcomes, move.chances.tolist(), children, strict=True):
            yield Branch(checks[move.number].outcomes[place], p, self._step(child))

    def _candidates(self, node: Node) -> Iterator[Candidate]:
        for s in np.argsort(-node.belief, kind="stable")[:CANDIDATES].tolist():
            if node.belief[s] > 0:
                yield Candidate(self.problem.names_of(self.problem.states[s]), float(node.belief[s]))
