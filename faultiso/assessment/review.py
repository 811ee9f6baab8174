"""A session looked back on: what was done, what each step was worth, how it ended. The base of all marks."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from faultiso.assessment.passages import Passage, passages
from faultiso.assessment.verdict import Verdict, verdict
from faultiso.assessment.worth import Worth, worth
from faultiso.casebook.case import Case
from faultiso.casebook.hidden_world import world_of
from faultiso.casebook.stock import missing
from faultiso.model.system import Model
from faultiso.session.desk import Desk, Lines, desk_at
from faultiso.session.events import Event
from faultiso.session.state import State
from faultiso.world.world import World

MOST_WORLDS = 64
Progress = Callable[[int, int], None]


class Memory:
    """Worths that were judged before, for sessions of the same model: the same step from the same position is
    worth the same. Bounded: the oldest are forgotten."""

    def __init__(self, most: int = 20_000) -> None:
        self._most = most
        self._known: dict[object, Worth] = {}
        self._desks: dict[object, Desk] = {}
        self._worlds: dict[tuple[object, ...], World] = {}

    def desk(self, model: Model) -> Desk:
        """A desk of the model whose reasoner stays awake."""
        at = _stocked(model)
        if at not in self._desks:
            self._desks[at] = Desk(model, Lines())
        return self._desks[at]

    def world(self, case: Case, model: Model) -> World:
        """The world of a case, drawn once."""
        key = (case.digest, case.truth, case.seed, model.digest)
        if key not in self._worlds:
            if len(self._worlds) >= MOST_WORLDS:
                del self._worlds[next(iter(self._worlds))]
            self._worlds[key] = world_of(case, model)
        return self._worlds[key]

    def worth(self, base: Desk, passage: Passage) -> Worth:
        key = (
            _stocked(base.model),
            _position(passage.before),
            passage.deed.what,
            passage.deed.name,
            _position(passage.after),
        )
        if key not in self._known:
            if len(self._known) >= self._most:
                del self._known[next(iter(self._known))]
            before, after = desk_at(base, passage.before), desk_at(base, passage.after)
            self._known[key] = worth(before, after, passage.deed)
        return self._known[key]


def _stocked(model: Model) -> object:
    """The model, and what is not in the store."""
    return model.digest, missing(model)


def _position(state: State) -> object:
    standing = state.course.standing
    return (
        state.course.timeline, state.readings, tuple(sorted(standing.conditions.items())), standing.opened,
        standing.fetched, tuple(d.name for d in state.deeds if d.what == "check"),
    )  # fmt: skip


@dataclass(frozen=True)
class Review:
    """``done`` and ``worths`` step by step; ``state`` at the end."""

    case: Case
    model: Model
    state: State
    done: tuple[Passage, ...]
    worths: tuple[Worth, ...]
    verdict: Verdict
    base: Desk = field(repr=False)


def reviewed(
    case: Case,
    model: Model,
    entries: Iterable[tuple[int, Event]],
    memory: Memory | None = None,
    progress: Progress | None = None,
) -> Review:
    """Look back on a log. Raises Unreadable if it does not fit the model."""
    done, state = passages(model, entries)
    memory = memory or Memory()
    base = memory.desk(model)
    worths = []
    for number, passage in enumerate(done, 1):
        worths.append(memory.worth(base, passage))
        if progress:
            progress(number, len(done))
    found = verdict(case, model, done, state, memory.world(case, model))
    return Review(case, model, state, done, tuple(worths), found, base)
