"""What every sign would show of each fault alone, in every situation, and how far that tells faults apart.

Two truths are told apart by a sign as far as the distributions of its outcomes differ: by half the sum of
the absolute differences (total variation). At even odds one reading of the sign then names the right one of
the two with probability (1 + difference) / 2. For checks without any chance the difference is 0 or 1.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.belief.diagnoses import Listed, posterior_of_sets
from faultiso.belief.reasoner import Reasoner
from faultiso.model.parts import Check
from faultiso.model.system import Model
from faultiso.network.network import Array

DIGITS = 12  # distributions that agree to so many digits are one

Tell = Callable[[int, int], None]


@dataclass(frozen=True, eq=False)
class Sign:
    """A sign read in a situation ("": at the start, for a model that names none).

    ``given`` (1 + faults, outcomes): P(outcome | nothing is wrong), then of each fault alone. ``minutes``: of
    a check with what it needs from there; None for what is seen at no cost.
    """

    name: str
    situation: str
    minutes: float | None
    outcomes: tuple[str, ...]
    given: Array

    @property
    def is_check(self) -> bool:
        return self.minutes is not None

    @cached_property
    def usual(self) -> int:
        """The place of the outcome that it most likely shows when nothing is wrong."""
        return int(self.given[0].argmax())

    @cached_property
    def off(self) -> Array:
        """P(it shows something else than usual), first when nothing is wrong; shape (1 + faults,)."""
        return np.asarray(np.clip(1.0 - self.given[:, self.usual], 0.0, 1.0))

    @cached_property
    def moved(self) -> Array:
        """How far it tells each fault from nothing wrong, shape (faults,)."""
        return np.asarray(np.abs(self.given[1:] - self.given[0]).sum(axis=1) / 2)


@dataclass(frozen=True, eq=False)
class Signatures:
    """All signs of a model; ``never_alone``: faults that only come with others, and are not judged."""

    model: Model
    faults: tuple[str, ...]
    never_alone: tuple[str, ...]
    signs: tuple[Sign, ...]

    @property
    def indications(self) -> tuple[Sign, ...]:
        return tuple(sign for sign in self.signs if not sign.is_check)

    @property
    def checks(self) -> tuple[Sign, ...]:
        return tuple(sign for sign in self.signs if sign.is_check)

    @property
    def checks_from_start(self) -> tuple[Sign, ...]:
        """The checks with their minutes as things stand at first; all, where no situation is like that."""
        situations = self.model.situations.values()
        first = [situation.name for situation in situations if situation.values == self.model.start]
        return tuple(sign for sign in self.checks if sign.situation in first) or self.checks

    @cached_property
    def rates(self) -> Array:
        """Per flight hour, shape (faults,)."""
        return np.array([self.model.faults[name].rate for name in self.faults])

    @cached_property
    def units(self) -> tuple[str, ...]:
        """The unit of each fault."""
        return tuple(self.model.faults[name].component for name in self.faults)

    def apart(self, signs: Iterable[Sign]) -> Array:
        """How far the best single one of the signs tells apart each two of: nothing wrong, each fault alone.

        Shape (1 + faults, 1 + faults).
        """
        size = 1 + len(self.faults)
        found = np.zeros((size, size))
        for given in {sign.given.round(DIGITS).tobytes(): sign.given for sign in signs}.values():
            between = np.abs(given[:, None, :] - given[None, :, :]).sum(axis=2) / 2
            np.maximum(found, between, out=found)
        return found


def signatures(reasoner: Reasoner, tell: Tell = lambda done, of: None) -> Signatures:
    """The signatures of all faults; ``tell`` hears of each situation that is done."""
    model = reasoner.model
    situations = tuple(model.situations) or ("",)
    alone, never = _alone(reasoner)
    signs: list[Sign] = []
    for number, situation in enumerate(situations, 1):
        signs += _signs(reasoner.believe(situation=situation), situation, alone)
        tell(number, len(situations))
    return Signatures(model, alone, never, tuple(signs))


def _alone(reasoner: Reasoner) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The faults that can be there alone, and those that cannot."""
    names = tuple(reasoner.model.faults)
    sets = [frozenset((name,)) for name in names]
    now = reasoner.believe().now
    chances = posterior_of_sets(now.scene, now.columns(sets), sets) if sets else np.zeros(0)
    can = [name for name, chance in zip(names, chances.tolist(), strict=True) if chance > 0]
    return tuple(can), tuple(name for name in names if name not in can)


def _signs(belief: Belief, situation: str, faults: tuple[str, ...]) -> Iterator[Sign]:
    sets = (frozenset[str](), *(frozenset((name,)) for name in faults))
    seen = belief.open_to(Listed(sets, np.full(len(sets), 1.0 / len(sets))))
    for name, sign in seen.items():
        prospect = belief.prospects[name]
        work = prospect.effort if isinstance(prospect.sign, Check) else None
        yield Sign(name, situation, work.minutes if work else None, sign.outcomes, sign.given)
