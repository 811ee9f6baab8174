"""A model in which every figure to be learnt is the chance of a draw of its own.

A fault that others bring about is told apart into its own coming up and a link for each other fault, so that
P(rows) is a linear function of each figure when all others are held (Castillo, Gutierrez & Hadi 1997).
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Mapping

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.learning.figures import Figure
from faultiso.model.parts import Quantity
from faultiso.model.system import Model
from faultiso.network.builder import Node
from faultiso.network.ground import ABSENT, PRESENT, Grounding, both, prior
from faultiso.network.network import Array
from faultiso.network.response import response_of

EITHER = np.array([[0, 1], [1, 1]])
BOTH = np.array([[0, 0], [0, 1]])
ONE = "the fault"


class Roots(Grounding):
    """Grounds a model, each figure being the chance that a root variable is in certain states."""

    def _add_fault(self, name: str, present: dict[str, Node], path: tuple[str, ...]) -> None:
        if name in present:
            return
        if name in path:
            raise UsageError(f"faults cause each other in a circle: {' -> '.join((*path, name))}")
        fault = self.model.faults[name]
        node = self._coin(("fault", name), prior(fault, self.model.flight_hours_at_risk))
        for source, chance in fault.caused_by.items():
            self._add_fault(source, present, (*path, name))
            link = self._coin(("brings", source, name), chance)
            brought = both(self.builder, f"{source} brings {name}", present[source], link, BOTH)
            node = both(self.builder, f"{name}, or brought", node, brought, EITHER)
        present[name] = node

    def _coin(self, owner: tuple[str, ...], chance: float) -> Node:
        return self.builder.chance(
            owner, " ".join(owner), (ABSENT, PRESENT), [], lambda: (1 - chance, chance)
        )

    def owners(self) -> dict[Hashable, int]:
        """The variable that is drawn for each owner, of those that there are by now."""
        found: dict[Hashable, int] = {}
        for number in range(len(self.builder)):
            variable = self.builder.variable(number)
            if variable.owner and not variable.parents:
                found[variable.owner[0]] = number
        return found


def owner_of(figure: Figure, model: Model) -> Hashable | None:
    """Whose draw the figure is the chance of; None for the errors of a check, which are no variables."""
    match figure.kind:
        case "rate":
            return ONE if model.one_fault else ("fault", figure.of)
        case "brings":
            return ("brings", figure.source, figure.of)
        case "strength":
            return ("response", figure.of, figure.number)
    return None


def states_of(figure: Figure, model: Model) -> tuple[int, ...]:
    """The states of its variable in which what the figure is the chance of has happened."""
    match figure.kind:
        case "rate":
            possible = [fault.name for fault in model.faults.values() if fault.rate > 0]
            return (1 + possible.index(figure.of),) if model.one_fault else (1,)
        case "strength":
            return _pieces(figure, model.quantities[figure.of])
    return (1,)


def _pieces(figure: Figure, quantity: Quantity) -> tuple[int, ...]:
    cause = quantity.causes[figure.number]
    response = response_of(cause, quantity.levels)
    source = next(iter(cause.responses[0].gives))
    levels = [response.level(0, source, piece) for piece in response.pieces]
    return tuple(number for number, level in enumerate(levels) if level == figure.level)


def chance_of(figure: Figure, value: float, hours: float) -> float:
    """The chance of the figure's event: of a rate, that the fault comes up in the hours at risk."""
    return -math.expm1(-value * hours) if figure.kind == "rate" else value


def distribution(table: Array, chances: Mapping[tuple[int, ...], float], one: bool) -> Array:
    """The distribution of a root with other chances of some groups of states; the rest shares what is left.

    ``one``: of the root that tells which fault it is, if any: odds of each against none (see ``Grounding``).
    """
    found = np.array(table, dtype=float)
    if one:
        found[0] = 1.0
        for (state,), chance in chances.items():
            found[state] = chance / (1.0 - chance)
        return found / found.sum()
    told = [state for states in chances for state in states]
    for states, chance in chances.items():
        found[list(states)] *= chance / found[list(states)].sum()
    others = np.setdiff1d(np.arange(len(found)), told)
    before = found[others].sum()
    if before > 0:  # else the chances told fill the distribution
        found[others] *= max(1.0 - found[told].sum(), 0.0) / before
    return found
