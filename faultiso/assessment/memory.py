"""What was judged before, so that the same position of the same model is judged once."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from hashlib import sha256
from operator import attrgetter
from typing import Any, Protocol, TypeVar

from faultiso.assessment.basis import Advised, Mending, advised_at, mending_at, told_at
from faultiso.assessment.basis_text import advised_of, mending_of, told_of, written
from faultiso.base.problems import TooLarge
from faultiso.belief.evidence import Reading
from faultiso.casebook.case import Case
from faultiso.casebook.hidden_world import world_of
from faultiso.casebook.stock import missing
from faultiso.model.system import Model
from faultiso.session.desk import Desk, Lines, desk_at
from faultiso.session.state import State
from faultiso.world.world import World

MOST_WORLDS = 64
MOST_POSITIONS = 20_000
QUICK_MEMORY = 1 << 25  # bytes of one computation
DESKS_OF_A_REASONER = 64  # after which its networks are made anew, so that memory stays bounded
_of_reading = attrgetter(*(field.name for field in fields(Reading)))
Item = TypeVar("Item", bound=Advised | Mending | str | None)


class Kept(Protocol):
    """A place where texts are kept by a key, perhaps: what was put there may be gone at any time."""

    def get(self, key: str) -> str | None: ...

    def put(self, key: str, text: str) -> None: ...


class Memory:
    """A basis of judgements that works out each position once; bounded, the oldest are forgotten.

    ``kept``: where positions are looked up that were worked out in an earlier run.
    """

    def __init__(self, kept: Kept | None = None, most: int = MOST_POSITIONS) -> None:
        self._kept = kept
        self._most = most
        self._known: dict[str, Any] = {}
        self._reasoners: dict[tuple[str, tuple[str, ...], int | None], tuple[Desk, int]] = {}
        self._desks: dict[str, Desk] = {}
        self._worlds: dict[tuple[object, ...], World] = {}
        self._named: tuple[State, str] | None = None

    def advised(self, state: State) -> Advised | None:
        key = self._position(state)
        return self._judged(f"advised {key}", lambda: advised_at(self._desk(state, key)), advised_of)

    def mending(self, state: State, repair: str) -> Mending | None:
        key = self._position(state)
        return self._judged(
            f"mending {repair} {key}", lambda: mending_at(self._desk(state, key), repair), mending_of
        )

    def told(self, before: State, after: State) -> str:
        first, second = self._position(before), self._position(after)
        count = after.deeds[-1].readings
        return self._judged(
            f"told {count} {first} {second}",
            lambda: told_at(self._desk(before, first), self._desk(after, second)),
            told_of,
        )

    def desk(self, model: Model) -> Desk:
        """A desk of the model whose reasoner stays awake."""
        return self._reasoning(model, None)

    def _reasoning(self, model: Model, memory: int | None) -> Desk:
        """``memory``: as of a desk."""
        kind = (model.digest, missing(model), memory)
        desk, used = self._reasoners.get(kind) or (_awake(model, memory), 0)
        if used >= DESKS_OF_A_REASONER:
            desk, used = _awake(model, memory), 0
        self._reasoners[kind] = (desk, used + 1)
        return desk

    def world(self, case: Case, model: Model) -> World:
        """The world of a case, drawn once."""
        key = (case.digest, case.truth, case.seed, model.digest)
        if key not in self._worlds:
            _make_room(self._worlds, MOST_WORLDS)
            self._worlds[key] = world_of(case, model)
        return self._worlds[key]

    def _judged(self, key: str, judge: Callable[[], Item], read: Callable[[str], Item]) -> Item:
        if key not in self._known:
            _make_room(self._known, self._most)
            self._known[key] = self._looked_up(key, judge, read)
        return self._known[key]

    def _looked_up(self, key: str, judge: Callable[[], Item], read: Callable[[str], Item]) -> Item:
        text = self._kept.get(key) if self._kept else None
        if text is not None:
            try:
                return read(text)
            except (ValueError, TypeError, LookupError):  # written by another program: as if not there
                pass
        found = judge()
        if self._kept:
            self._kept.put(key, written(found))
        return found

    def _desk(self, state: State, key: str) -> Desk:
        """A desk in that position; the last few stay, with what they have worked out."""
        if key not in self._desks:
            _make_room(self._desks, 2)
            self._desks[key] = self._thinking(state)
        return self._desks[key]

    def _thinking(self, state: State) -> Desk:
        """In a small memory where that is enough: else one log of somebody who walks to and fro takes minutes
        and gigabytes. Where it never is, by the complaint and the last visit alone."""
        quick = desk_at(self._reasoning(state.model, QUICK_MEMORY), state)
        try:
            _ = quick.belief
        except TooLarge:
            last = desk_at(self.desk(state.model), state)
            last.leave_out_most()
            return last
        return quick

    def _position(self, state: State) -> str:
        if self._named is None or self._named[0] is not state:
            self._named = (state, position(state))
        return self._named[1]


def _awake(model: Model, memory: int | None) -> Desk:
    desk = Desk(model, Lines())
    desk.memory = memory
    return desk


def position(state: State) -> str:
    """A digest of all that the best action from a state depends on."""
    course, standing = state.course, state.course.standing
    everything = (
        state.model.digest,
        missing(state.model),
        tuple((moment.settings, moment.before) for moment in course.timeline.moments),
        tuple(map(_of_reading, state.readings)),
        sorted(standing.conditions.items()),
        sorted(standing.opened),
        sorted(standing.fetched),
        len(state.situations),
    )
    return sha256(repr(everything).encode()).hexdigest()


def _make_room(store: dict[Any, Any], most: int) -> None:
    """Let go of the oldest where one more would be too many."""
    while len(store) >= most:
        del store[next(iter(store))]
