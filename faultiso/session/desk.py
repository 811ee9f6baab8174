"""The desk a session is worked at: its model, its log, its state, and what the readings say.

Everything that changes goes through ``record``: first applied, then on the disk, then in force.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from math import inf
from threading import Lock, RLock
from time import monotonic
from typing import TYPE_CHECKING, Any, Protocol

from faultiso.base.journal import Entry
from faultiso.base.problems import TooLarge
from faultiso.model.system import Model
from faultiso.session import events as kinds
from faultiso.session.events import Event
from faultiso.session.forgetting import shortened
from faultiso.session.replaying import apply, replay
from faultiso.session.search import Findable
from faultiso.session.state import State

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.belief.reasoner import Reasoner
    from faultiso.planning.advice import Advice, Advisor


#: Who reads next: not who reported.
READER = 1
#: P(some leak, misreading or reading error is active) above which the readings are not explained.
UNEXPLAINED = 0.5

#: Actions before which it is also judged what everything would show in other situations, and in how many.
DECISIVE = frozenset({"repair", "refer", "defer", "no fault found"})
LOOKS = 4
#: versions of what was seen that are tried where nothing may take long
MOST_TRIES = 5
#: So it is before a check of this many minutes: what can be read for nothing elsewhere may tell as much.
LONG_CHECK = 15.0


class Log(Protocol):
    """What a session writes to: a Journal, or a list in a notebook or a test."""

    entries: list[Entry]

    def append(self, event: str, data: Mapping[str, Any]) -> Entry: ...


class Lines:
    """A log that is kept in memory only."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self.entries = list(entries)

    def append(self, event: str, data: Mapping[str, Any]) -> Entry:
        entry = Entry(len(self.entries) + 1, "", event, data, "")
        self.entries.append(entry)
        return entry


def events_of(entries: list[Entry]) -> list[tuple[int, Event]]:
    """The entries of a log as numbered events."""
    return [(entry.number, Event(entry.event, entry.data)) for entry in entries]


class Desk:
    """One session at work. ``choices`` is the numbered list on screen, ``room`` the columns of a prompt.

    ``looks``: in how many other situations it is judged what everything would show there, before anything
    decisive is advised. ``memory``: bytes within which all must fit as it is, so that no position takes long;
    the visits longest ago are left out until it does. None: as much as reasoning takes at most, if need be in
    parts.
    """

    room = 70
    looks = LOOKS
    memory: int | None = None

    def __init__(self, model: Model, log: Log, state: State | None = None) -> None:
        self.model = model
        self.log = log
        self.state = state or replay(model, events_of(log.entries))
        self.choices: tuple[Findable, ...] = ()
        self._reasoner: Reasoner | None = None
        self._waking = Lock()
        self.working = RLock()  # held while something is computed: here, or ahead in another thread
        self._shortened = 0
        self._believed: tuple[Any, Belief] | None = None
        self._advised: tuple[Any, Advice] | None = None
        self._foreseen: tuple[int, list[tuple[Any, Belief, Advice]]] = (0, [])

    def record(self, kind: str, /, **data: Any) -> State:
        """Something happened. NotSaved if it could not be written; then it has not happened."""
        event = Event(kind, data)
        if kind in (kinds.UNDONE, kinds.STEPPED_BACK):
            after = replay(self.model, [*events_of(self.log.entries), (len(self.log.entries) + 1, event)])
        else:
            after = apply(self.state, event, len(self.log.entries) + 1)
        self.log.append(kind, {**data, "clock": round(after.minutes, 3)})
        self.state = after
        self.choices = ()
        return after

    # what the readings say: numpy is imported and networks are compiled when first asked for

    def wake(self) -> Reasoner:
        """Import and compile what reasoning needs; may be called from another thread beforehand."""
        with self._waking:
            if self._reasoner is None:
                from faultiso.belief.reasoner import Reasoner
                from faultiso.planning import advice  # noqa: F401  # imported here, where there is time

                self._reasoner = Reasoner(self.model, self.memory) if self.memory else Reasoner(self.model)
            return self._reasoner

    @property
    def belief(self) -> Belief:
        """What the readings say; of as many of them as can be reasoned with, see ``left_out``."""
        key = self._key
        with self.working:
            if self._believed is None or self._believed[0] != key:
                self._believed = (key, self._prepared(key) or self._exact())
            return self._believed[1]

    @property
    def can_tell(self) -> bool:
        """Not where readings contradict each other, nor where even the last of them are too much."""
        try:
            return self.belief.possible
        except TooLarge:
            return False

    @property
    def _key(self) -> tuple[object, ...]:
        """All that the belief depends on."""
        course = self.state.course
        return (course.timeline, self.state.readings, course.standing)

    def leave_out_most(self) -> None:
        """Reason with the complaint and the last visit alone."""
        self._shortened = sys.maxsize

    def keep_foreseen(self, there: Desk) -> None:
        """Keep what an imagined desk makes of its answers, until the next answer has been dealt with."""
        asked = len(self.log.entries)
        if self._foreseen[0] != asked:
            self._foreseen = (asked, [])
        self._foreseen[1].append((there._key, there.belief, there.advice))

    def look_further(self, seconds: float) -> None:
        """Search, for what was worked out ahead, whether another action ends sooner; until the next answer.

        For a thread: the desk is not held up while it searches.
        """
        from faultiso.planning.deeper import posed_narrowly, with_search
        from faultiso.planning.sequencing.search import search_for

        asked, foreseen = self._foreseen

        def clock() -> float:
            return monotonic() if self._foreseen[0] == asked == len(self.log.entries) else inf

        for place, (key, belief, advice) in enumerate(foreseen):
            with self.working:
                posed = posed_narrowly(belief, advice) if clock() < inf else None
            if posed is not None:
                found = search_for(posed.problem, seconds, clock=clock)
                with self.working:
                    foreseen[place] = (key, belief, with_search(advice, posed, found))

    def _prepared(self, key: tuple[object, ...]) -> Belief | None:
        """The belief that was worked out ahead for this, if there is one; its advice is then ready too."""
        for of, belief, advice in self._foreseen[1]:
            if of == key:
                self._advised = (belief, advice)
                return belief
        return None

    @property
    def left_out(self) -> int:
        """How many readings are left out because all together would need too much memory."""
        return len(self.state.readings) - len(self.belief.readings)

    def _exact(self) -> Belief:
        state, reasoner = self.state, self.wake()
        seen = (state.course.timeline, state.readings)
        versions = (seen, *shortened(*seen, len(state.situations)))
        if self.memory and len(versions) > MOST_TRIES:
            versions = tuple(versions[(len(versions) - 1) * n // (MOST_TRIES - 1)] for n in range(MOST_TRIES))
        for place in range(min(self._shortened, len(versions) - 1), len(versions)):
            try:
                belief = reasoner.belief(*versions[place], state.course.standing, READER)
                if (
                    self.memory
                    and place + 1 < len(versions)
                    and not belief.now.scene.fits(given_faults=False)
                ):
                    continue
                _ask_for_all(belief)
            except TooLarge as error:
                refused = error
            else:
                self._shortened = place  # what was too large once is not tried again
                return belief
        raise refused

    @property
    def advice(self) -> Advice:
        from faultiso.planning.advice import Advisor

        with self.working:
            belief = self.belief
            if self._advised is None or self._advised[0] is not belief:
                self._advised = (belief, _advice_on(Advisor(belief), self.looks))
            return self._advised[1]


def desk_at(desk: Desk, state: State) -> Desk:
    """A desk in another state of the same model, with the same reasoner; its log is empty, in memory only."""
    there = Desk(desk.model, Lines(), state)
    there.memory, there._reasoner = desk.memory, desk.wake()
    return there


def imagined(desk: Desk) -> Desk:
    """A desk in the same state with the same reasoner, whose log is in memory only."""
    there = Desk(desk.model, Lines(desk.log.entries), desk.state)
    there._reasoner = desk.wake()
    there._shortened = desk._shortened
    there._believed, there._advised = desk._believed, desk._advised
    return there


def _ask_for_all(belief: Belief) -> None:
    """Compile the largest of what will be asked for, so that TooLarge is raised here or nowhere."""
    if belief.possible:
        belief.refuse_if_too_large()
        _ = belief.doubts if belief.unexplained > UNEXPLAINED else ()


def _advice_on(advisor: Advisor, looks: int) -> Advice:
    """Before anything is taken out, given up or long looked into, other situations are judged as well."""
    advice = advisor.advise()
    action = advice.action
    decisive = action.kind in DECISIVE or (action.kind == "check" and action.minutes >= LONG_CHECK)
    return advisor.advise(looks) if looks and decisive else advice
