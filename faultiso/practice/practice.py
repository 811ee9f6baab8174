"""Practice on a hidden fault: the person chooses, the world of the case answers. Nothing here prints.

In a notebook:

    play = begin(case, model, Lines(), Terms("coached"))
    play.question().prompt
    play.take("test gauge")
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from functools import cached_property

from faultiso.base.journal import NotSaved
from faultiso.base.numbers import NotKnown
from faultiso.base.problems import FaultisoError, UsageError
from faultiso.casebook.case import Case
from faultiso.model.system import Model
from faultiso.practice import commands, ending, hazards
from faultiso.practice.answers import Answers
from faultiso.practice.asking import question
from faultiso.practice.beginning import record_beginning
from faultiso.practice.believing import belief_facts, due, stated_in
from faultiso.practice.terms import Terms, terms_of
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.answering import answer, begin_with, offered
from faultiso.session.asking import work_things
from faultiso.session.desk import Desk, Log, imagined
from faultiso.session.prompt import Choices, Command, Meaning, Nothing, Slip, understand
from faultiso.session.prompt import Pick as Picked
from faultiso.session.proving import shows_normal
from faultiso.session.replies import Facts, Question, Reply, Said, Warned
from faultiso.session.search import Findable
from faultiso.session.views import for_name, restore_of

LAST_MINUTES = 10.0  # of real time, from which on it is said at each question
Replies = tuple[Reply, ...]
Clock = Callable[[], datetime]
_YOUR_CHOICE = "What comes next is your choice: letters of a look or a check (data checks: all), or help."


class Practice:
    """One case at work, new or gone on with."""

    def __init__(self, case: Case, desk: Desk, clock: Clock = datetime.now) -> None:
        self.case, self.desk = case, desk
        self.terms = terms_of(desk.state.began)
        self._clock = clock
        self._left = False
        self._asked: tuple[object, Question] | None = None

    @property
    def mode(self) -> str:
        return self.terms.mode

    @property
    def over(self) -> bool:
        """Whether there is nothing more to ask: ended, or left for later."""
        return self._left or self.ended

    @property
    def ended(self) -> bool:
        return self.desk.state.end is not None

    @property
    def names_hazards(self) -> bool:
        """Whether hazards are named by the person before the cautions are shown."""
        return self.mode in ("quiet", "examination")

    @property
    def asks_belief(self) -> bool:
        return self.mode != "classroom" and bool(due(self.desk.state))

    @cached_property
    def answers(self) -> Answers:
        return Answers(self.case, self.desk.model)

    def things(self) -> tuple[Findable, ...]:
        """All that letters find at work."""
        return work_things(self.desk)

    def question(self) -> Question:
        """What is asked now."""
        key = (len(self.desk.log.entries), self.desk.choices)
        if self._asked is None or self._asked[0] != key:
            self._asked = (key, question(self))
        return self._asked[1]

    def take(self, line: str) -> Replies:
        """What a line does. A slip costs one sentence; only NotSaved is raised, and then nothing happened."""
        asked, before = self.question(), self._snapshot()
        try:
            replies = self._taken(asked, understand(line, asked.offer), line)
            replies = (*replies, *self._answered())
        except NotSaved:
            raise
        except FaultisoError as slip:
            return (Said(str(slip)),)
        shown = tuple(reply for reply in replies if not isinstance(reply, Warned))
        return (*shown, *self._coached(before))

    def leave(self) -> None:
        """Save and leave: the person is gone, the question stays open."""
        self._left = True
        with suppress(NotSaved):
            self.desk.record(kinds.LEFT)

    def work_ahead(self) -> None:
        """While the person reads: what the coach will need. For a thread; nothing shown depends on it."""
        with suppress(FaultisoError):
            _ = self.answers
            if self.mode == "coached":
                with self.desk.working:
                    _ = self.desk.belief.possible and self.desk.advice

    def _taken(self, asked: Question, meaning: Meaning, line: str) -> Replies:
        if isinstance(meaning, Command):
            self._left = meaning.name == "quit"
            self._refuse_late(meaning.name)
            return commands.run(self, meaning)
        match asked.name:
            case "belief":
                return self._believe(line)
            case "hazards":
                return self._name(line)
            case "work":
                return self._work(meaning)
            case "reference" if isinstance(meaning, Nothing):  # Enter alone begins no work
                raise UsageError(
                    "The chapter or task that you would open, or nk: with that the work is done."
                )
        return answer(self.desk, asked.name, meaning, line)

    def _believe(self, line: str) -> Replies:
        model, before = self.desk.model, due(self.desk.state)
        says = self._stated(line)
        self.desk.record(kinds.BELIEVED, says=says, before=before)
        return (belief_facts(model, says),) if says else ()

    def _stated(self, line: str) -> dict[str, float]:
        """What was said to the question; a slip is told the way on."""
        if not line.strip():
            return {}
        try:
            return stated_in(self.desk.model, line)
        except UsageError as slip:
            raise UsageError(f"{slip} Enter goes on without.") from None

    def _name(self, line: str) -> Replies:
        pick = self.desk.state.pick
        assert pick is not None
        offer = hazards.offered(self.desk.model, pick)
        named = hazards.named_in(line, offer)
        self.desk.record(kinds.HAZARDS, offered=list(offer), named=list(named))
        titles = ", ".join(self.desk.model.cautions[name].title for name in named)
        return (Said(f"Named: {titles or 'none'}.", indent=2),)

    def _work(self, meaning: Meaning) -> Replies:
        match meaning:
            case Nothing():
                raise UsageError(_YOUR_CHOICE)
            case NotKnown():
                raise UsageError("nk answers a question about a reading; here choose what to do next.")
            case Slip(sentence):
                raise UsageError(sentence)
            case Choices():
                return offered(self.desk, meaning)
            case Picked(thing):
                return self.do(thing.name)
        raise UsageError("Letters of a check, a look or a repair, or help.")

    def do(self, name: str) -> Replies:
        """Begin with whatever has that name: a check, a look, a repair, a setting, a voice, a way to end."""
        model = self.desk.model
        self._refuse_late(name)
        if name in commands.VOICES:
            return commands.ask_of(self, name)
        if "=" in name:
            return commands.set_named(self, name)
        if (ended := ending.end_as(self.desk, name)) is not None:
            return ended
        if name in model.conditions:
            return commands.begun(self, restore_of(self.desk, name))
        if name not in {thing.name for thing in self.things()}:
            raise UsageError(f'Nothing here is called "{name[:40]}".')
        kind = "check" if name in model.checks else "look" if name in model.indications else "repair"
        return begin_with(self.desk, for_name(self.desk, kind, name), echo=True)

    def so_far(self) -> Replies:
        """For who goes on: what was done and read, and what is about to be done; nothing at the beginning."""
        state, model = self.desk.state, self.desk.model
        done = tuple((words.deed_title(model, d.what, d.name), d.answer or "done") for d in state.deeds)
        replies: Replies = (Facts("So far", done),) if done else ()
        if state.pick is not None:
            title = words.deed_title(model, state.pick.what, " ".join(state.pick.settings) or state.pick.name)
            replies = (*replies, Said(f"{words.capital(title)}: about to be done."))
        return replies

    # what the world answers

    def settle(self) -> None:
        """What was cut off between a choice and its answer is answered first."""
        self._answered()

    def _answered(self) -> Replies:
        """Everything that the world has to answer before the person is asked again."""
        replies: Replies = ()
        while not self.ended:
            state = self.desk.state
            pick = state.pick
            if pick is None and state.proving:
                replies = (*replies, *self._proved())
            elif pick is None or not pick.ready or pick.what not in ("check", "look") or self.asks_belief:
                break
            else:
                replies = (*replies, *self._read(pick.name))
        return replies

    def _read(self, name: str) -> Replies:
        said = self._shown(name)
        check = self.desk.model.checks.get(name)
        says = self.case.says.get(name) or (self.case.says.get("crew", ()) if check and check.asks else ())
        return (Said(f"{words.capital(said)}.", indent=2), *(Said(line, indent=2) for line in says))

    def _shown(self, name: str) -> str:
        """Record what the world answers; title and answer in words."""
        model, found = self.desk.model, self.answers.of(self.desk.state, name)
        sign = model.indications.get(name) or model.checks[name]
        fault = words.looked_for(model, sign)
        said = words.answer_words(sign, found) + (f" ({fault})" if fault and found is not None else "")
        self.desk.record(kinds.READ, sign=name, answer=found, words=said)
        return f"{sign.title}: {said}"

    def _proved(self) -> Replies:
        """All signs of a proof at once: those that matter by name, the rest counted."""
        state = self.desk.state
        plan = state.repairs[-1].plan
        assert plan is not None
        complained = {reading.sign for reading in state.reported[: state.named]}
        shown, rest = [], 0
        while self.desk.state.proving:
            name = self.desk.state.proving[0]
            said = self._shown(name)
            reading = self.desk.state.readings[-1]
            normal = shows_normal(self.desk.model, reading, plan.conditions_of(name))
            if normal and name not in complained and name in self.desk.model.indications:
                rest += 1
            else:
                shown.append(said)
        more = [f"{rest} other{'s' if rest > 1 else ''} as on the data sheet"] if rest else []
        return (Said(f"{words.capital('; '.join([*shown, *more]))}.", indent=2),)

    # coach and clock

    def _snapshot(self) -> Desk | None:
        return imagined(self.desk) if self.mode == "coached" and self.desk.state.phase == "work" else None

    def _coached(self, before: Desk | None) -> Replies:
        """The coach on what was done by this line, if anything was."""
        if before is None or len(self.desk.state.deeds) == len(before.state.deeds) or self.ended:
            return ()
        from faultiso.practice.coaching import coach

        return coach(before, self.desk)

    def time_words(self) -> Replies:
        """Where real time is limited: how much of it is left."""
        left = self._minutes_left()
        if left is None:
            return ()
        if left <= 0:
            return (Said("Time is up: finish, defer, refer, or hand over with finish."),)
        if self.desk.state.deeds and left > LAST_MINUTES:
            return ()
        return (Said(f"Real time left: {left:.0f} of {self.terms.minutes:.0f} min.", quiet=True),)

    def _minutes_left(self) -> float | None:
        entries = self.desk.log.entries
        if not self.terms.minutes or not entries or not entries[0].at:
            return None
        begun = datetime.fromisoformat(entries[0].at)
        return self.terms.minutes - (self._clock().astimezone() - begun.astimezone()).total_seconds() / 60

    def _refuse_late(self, name: str) -> None:
        left = self._minutes_left()
        if left is not None and left <= 0 and name not in _ENDINGS:
            raise UsageError("Time is up: finish, defer or refer ends it; quit leaves it unfinished.")

    def begun_at(self, place: int) -> int:
        """The line of the log at which the deed at that place of the list was begun."""
        deed = self.desk.state.deeds[place]
        before = [e for e in self.desk.log.entries if e.number <= deed.line and e.event == kinds.PICKED]
        return before[-1].number if before and deed.what not in ("ask", "hint") else deed.line


_ENDINGS = frozenset(
    {"finish", "defer", "refer", "quit", "hand over", "no fault found", "note", "dispute", "help"}
)


def begin(case: Case, model: Model, log: Log, terms: Terms, clock: Clock = datetime.now) -> Practice:
    """A new practice. Raises UsageError where the case cannot be."""
    answers = Answers(case, model)  # before anything is written
    play = Practice(case, record_beginning(case, model, log, terms), clock)
    play.answers = answers
    return play


def go_on(case: Case, model: Model, log: Log, clock: Clock = datetime.now) -> Practice:
    """A practice that was left, or cut off: it stands where it stood."""
    desk = Desk(model, log)
    desk.record(kinds.RESUMED)
    play = Practice(case, desk, clock)
    play.settle()
    return play
