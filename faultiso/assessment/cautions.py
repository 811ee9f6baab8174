"""Hazards that were to be named before a step, and were not, or were named where they do not belong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from faultiso.model.system import Model
from faultiso.session.state import Named, State


@dataclass(frozen=True)
class Missed:
    """Of one step: cautions that were left out (``critical`` among them), and wrong ones that were named."""

    step: int
    title: str
    left_out: tuple[str, ...]
    critical: tuple[str, ...]
    wrong: tuple[str, ...]


def missed_cautions(model: Model, state: State, steps_words: Sequence[str]) -> tuple[Missed, ...]:
    """Each step of which the hazards were asked and not rightly named; titles of cautions."""
    found = []
    for named in state.hazards:
        left_out = [name for name in named.cautions if name not in named.named]
        wrong = [name for name in named.named if name not in named.cautions]
        if left_out or wrong:
            title = steps_words[named.deeds] if _made(state, named) else "a step that was not made"
            found.append(
                Missed(
                    named.deeds + 1,
                    title,
                    tuple(model.cautions[name].title for name in left_out),
                    tuple(model.cautions[name].title for name in left_out if model.cautions[name].critical),
                    tuple(model.cautions[name].title for name in wrong),
                )
            )
    return tuple(found)


def _made(state: State, named: Named) -> bool:
    """Whether what its hazards were named for was then done."""
    after = state.deeds[named.deeds : named.deeds + 1]
    return [(deed.what, deed.name) for deed in after] == [(named.what, named.name)]
