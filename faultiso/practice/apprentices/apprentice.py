"""Who works: skill, the way of choosing that skill does not cover, and habits, each a probability."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Literal

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.world.streams import LARGEST_SEED, uniform

Way = Literal["guessing", "most probable unit", "half-splitting", "reference plan"]
WAYS: tuple[Way, ...] = ("guessing", "most probable unit", "half-splitting", "reference plan")
POORER = WAYS[:3]
HABITS = (
    "slips", "impatience", "misread_indications", "skipped_precautions", "unrestored", "wrong_references",
)  # fmt: skip
MOST_OF_A_HABIT = 0.6  # in a cohort, of who has no skill; invented


@dataclass(frozen=True)
class Apprentice:
    """Everything is a probability from 0 to 1, except the way and the seed.

    ``skill``: at each choice, of taking the step of the reference plan (what isolation would propose); else
    the step is chosen in the ``way``: guessing (some check, then some repair of a leading unit), the most
    probable unit changed without a check, or half-splitting along the flow.

    ``slips``: an answer is taken for another one. ``impatience``: checking stops for a repair, a repair is
    not verified, an inspection not waited for. ``misread_indications``: at each choice, of looking at a light
    that can say nothing now, and taking that as news of the complaint. ``skipped_precautions``: a hazard is
    left unnamed. ``unrestored``: what the work left set stays so, and is handed over. ``wrong_references``:
    other approved data than those of the unit are named.
    """

    skill: float = 1.0
    way: Way = "guessing"
    slips: float = 0.0
    impatience: float = 0.0
    misread_indications: float = 0.0
    skipped_precautions: float = 0.0
    unrestored: float = 0.0
    wrong_references: float = 0.0
    seed: int = 0

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name == "way" and value not in WAYS:
                raise UsageError(f"An apprentice's way is {', '.join(WAYS)}, not {value!r}.")
            if field.name == "seed" and not 0 <= value <= LARGEST_SEED:
                raise UsageError(
                    f"An apprentice's seed is a whole number from 0 to {LARGEST_SEED}, not {value}."
                )
            if field.name not in ("way", "seed") and not 0 <= value <= 1:
                raise UsageError(f"An apprentice's {field.name} is from 0 to 1, not {value}.")


def cohort(size: int, seed: int = 0, ways: Sequence[Way] = POORER) -> tuple[Apprentice, ...]:
    """Apprentices with skills spread evenly from 0 to 1, the ways by turns.

    The less skill, the worse the habits: each is drawn evenly between nothing and a most that falls with
    skill, to nothing.
    """
    turns = np.arange(size, dtype=np.uint64)
    seeds = np.full(size, seed, dtype=np.uint64)
    drawn = {habit: uniform(f"cohort, {habit}", seeds, turns) for habit in HABITS}
    found = []
    for number in range(size):
        skill = (number + 0.5) / size
        most = MOST_OF_A_HABIT * (1 - skill)
        habits = {habit: round(most * float(draws[number]), 4) for habit, draws in drawn.items()}
        own = (seed + number) % (LARGEST_SEED + 1)
        found.append(Apprentice(skill, ways[number % len(ways)], seed=own, **habits))
    return tuple(found)
