"""Work ahead while a person reads or works: what the next question will need, whatever the answer is.

Which networks are needed depends on what is read and in which conditions, not on the outcome. So the next
belief is computed once for a made-up outcome; what was compiled for it is there when the answer comes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from faultiso.model.effort import Standing
from faultiso.model.parts import Check, Indication
from faultiso.session.course import Course, carry_out

if TYPE_CHECKING:
    from faultiso.belief.evidence import Reading
    from faultiso.session.desk import Desk


def foresee(desk: Desk) -> None:
    """Prepare for the likely next answer; made for a thread. Nothing that a person sees depends on it."""
    try:
        with desk.working:
            _foresee(desk)
    except Exception:  # what is wrong here will be wrong, and told, when it is really asked for
        return


def _foresee(desk: Desk) -> None:
    if desk.state.phase != "work":
        _prepare(desk, _as_parked(desk), desk.state.readings)
        return
    action = desk.advice.action
    sign = desk.model.indications.get(action.name) or desk.model.checks.get(action.name)
    if sign is not None:
        course, reading = _made_up(desk, sign)
        _prepare(desk, course, (*desk.state.readings, reading))


def _as_parked(desk: Desk) -> Course:
    """After the reports the system mostly stands as at the start."""
    course, start = desk.state.course, dict(desk.model.start)
    return Course(course.timeline.then(start), Standing(start))


def _made_up(desk: Desk, sign: Indication | Check) -> tuple[Course, Reading]:
    """How things will stand after the advised look or check, and its likeliest reading."""
    from faultiso.belief.evidence import Reading

    opened = desk.belief.open[sign.name]
    outcome = opened.outcomes[int(opened.spread.argmax())]
    course = desk.state.course
    if isinstance(sign, Indication):
        return course, Reading(sign.name, outcome=outcome, moment=course.timeline.now, draw=1)
    carried = carry_out(desk.model, course, sign)
    if carried is None:
        return course, Reading(sign.name, outcome=outcome, moment=course.timeline.now, draw=1)
    return carried.after, Reading(sign.name, outcome=outcome, moment=carried.read.timeline.now, draw=1)


def _prepare(desk: Desk, course: Course, readings: tuple[Reading, ...]) -> None:
    from faultiso.planning.advice import Advisor
    from faultiso.session.desk import READER

    belief = desk.wake().belief(course.timeline, readings, course.standing, READER)
    _ = belief.left_out, Advisor(belief).advise()
