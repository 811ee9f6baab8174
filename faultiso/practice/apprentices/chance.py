"""Luck by name: the same seed, subject, name and turn give the same number, whatever else was drawn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TypeVar

import numpy as np

from faultiso.world.streams import uniform

Thing = TypeVar("Thing")


class Chance:
    """The luck of one apprentice at one case; each name has a stream of its own, one number a turn.

    A number is drawn whatever the probability is: turning one knob leaves the luck of all others as it was.
    """

    def __init__(self, seed: int, about: str) -> None:
        self._seed = np.array([seed], dtype=np.uint64)
        self._about = about
        self._turns: Counter[str] = Counter()

    def number(self, name: str) -> float:
        """The next number of that name, from 0 up to but not 1."""
        turn = np.array([self._turns[name]], dtype=np.uint64)
        self._turns[name] += 1
        return float(uniform(f"apprentice, {self._about}, {name}", self._seed, turn)[0])

    def happens(self, name: str, probability: float) -> bool:
        return self.number(name) < probability

    def one_of(self, name: str, things: Sequence[Thing]) -> Thing:
        """One of several, each as likely; ``things`` is not empty."""
        return things[int(self.number(name) * len(things))]
