"""Work ahead while a person reads or works: the next question, for each of the answers that are likely.

The answers are imagined at a desk like the real one with a log of its own, by the very code that takes real
ones. What was worked out lies ready when the real answer is one of them; for another one the networks are
compiled, which do not depend on the outcome. With time left, each next question is looked into further than
one step ahead.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from faultiso.session import events as kinds
from faultiso.session.course import Course
from faultiso.session.desk import READER, Desk, imagined

if TYPE_CHECKING:
    from faultiso.session.state import Pick

MOST_ANSWERS = 4
LEAST_CHANCE = 0.02  # an answer less likely than this is not prepared for
SECONDS_FURTHER = 1.0  # for which the next question after each of these answers is looked into further

Answer = Callable[[Desk], object]


def foresee(desk: Desk) -> None:
    """Prepare for the likely next answers; made for a thread. Nothing that a person sees depends on it."""
    try:
        asked = len(desk.log.entries)
        for answer in _answers(desk):
            with desk.working:
                if len(desk.log.entries) != asked:
                    return
                _prepare(desk, answer)
        desk.look_further(SECONDS_FURTHER)
    except Exception:  # what is wrong here will be wrong, and told, when it is really asked for
        return


def _prepare(desk: Desk, answer: Answer) -> None:
    there = imagined(desk)
    answer(there)
    if there.state.phase == "work" and not (there.state.pick or there.state.proving):
        desk.keep_foreseen(there)


def _answers(desk: Desk) -> Iterator[Answer]:
    """What the person may do next that leads to a new question of what to do."""
    state = desk.state
    match state.phase:
        case "reports":
            yield _compiled
        case "others":
            for chosen in ("unknown", "normal"):
                yield partial(_others_are, chosen)
        case "now":
            yield _stand
        case "work":
            yield from _work(desk, state.pick)


def _work(desk: Desk, pick: Pick | None) -> Iterator[Answer]:
    """What is proposed, or what was picked, with each of its likely outcomes."""
    from faultiso.session.views import proposal

    with desk.working:
        proposed = proposal(desk)
    name = pick.name if pick else proposed.name
    sign = desk.model.indications.get(name) or desk.model.checks.get(name)
    if sign is None:
        yield _take
        return
    opened = desk.belief.open[name]
    chances = sorted(zip(opened.spread.tolist(), opened.outcomes, strict=True), reverse=True)
    for chance, outcome in chances[:MOST_ANSWERS]:
        if chance >= LEAST_CHANCE:
            yield partial(_show, outcome)


def _take(there: Desk) -> None:
    """What is proposed is taken, if nothing was picked yet, and the person is ready for it."""
    from faultiso.session.answering import take_up
    from faultiso.session.views import proposal

    if there.state.pick is None:
        take_up(there, proposal(there))
    if there.state.pick is not None and not there.state.pick.ready:
        there.record(kinds.READY)


def _show(outcome: str, there: Desk) -> None:
    """What is taken shows this."""
    _take(there)
    pick = there.state.pick
    if pick is not None:
        there.record(kinds.READ, sign=pick.name, answer=outcome, typed="", words="")


def _others_are(chosen: str, there: Desk) -> None:
    from faultiso.session.answering import others

    others(there, chosen)
    _stand(there)


def _stand(there: Desk) -> None:
    """The system now stands as at the start, as it mostly does."""
    from faultiso.session.asking import now_default

    situation = now_default(there)
    settings = {**there.model.situations[situation].values, **there.state.differs}
    there.record(kinds.PLACED, settings=settings, situation=situation)


def _compiled(there: Desk) -> None:
    """While reports come in: the networks for these readings, standing as at the start."""
    from faultiso.model.effort import Standing
    from faultiso.planning.advice import Advisor

    start = dict(there.model.start)
    course = Course(there.state.course.timeline.then(start), Standing(start))
    belief = there.wake().belief(course.timeline, there.state.readings, course.standing, READER)
    Advisor(belief).advise()
