"""After a proof that failed: a reset or a service, where what still shows is likely to be only remembered."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import takewhile

from faultiso.base.problems import TooLarge
from faultiso.belief.evidence import Reading
from faultiso.model.parts import Repair
from faultiso.session.course import Carried, carry_out
from faultiso.session.desk import READER, Desk
from faultiso.session.proving import remembers, shows_normal

LIKELY = 0.5  # chance that the signs are normal afterwards, from which a service is proposed


def service(desk: Desk) -> tuple[Repair, Carried] | None:
    """The service after which the wrong signs are likeliest to be normal here; None where that is not likely.

    What was done since the last real repair is not proposed again.
    """
    wrong = _still_wrong(desk)
    services = {r.name for r in desk.model.repairs.values() if any(_sets_back(desk, r, s) for s in wrong)}
    repairs = [repair.name for repair in desk.state.repairs]
    made = set(takewhile(services.__contains__, reversed(repairs)))
    if not wrong or len(made) == len(repairs):
        return None
    judged = list(_judged(desk, services - made, wrong))
    best = max(judged, key=lambda item: (item[0], -item[1].work.minutes), default=None)
    return best[1:] if best is not None and best[0] >= LIKELY else None


def _judged(
    desk: Desk, services: set[str], wrong: Sequence[Reading]
) -> Iterator[tuple[float, Repair, Carried]]:
    """Each service with the chance, in hundredths, that a sign that was wrong is normal after it."""
    for name in sorted(services):
        repair = desk.model.repairs[name]
        carried = carry_out(desk.model, desk.state.course, repair)
        if carried is not None:
            yield round(_normal_after(desk, carried, wrong), 2), repair, carried


def _normal_after(desk: Desk, carried: Carried, wrong: Sequence[Reading]) -> float:
    """Mean chance of the wrong signs to be normal, back in the conditions in which they were read.

    None at all where that is too much to reason with: what is left to do is then decided without it.
    """
    from faultiso.model.expected import expected

    there = desk.state.course.conditions
    normal = expected(desk.model, there)
    after = carried.after.timeline.then(there)
    belief = desk.wake().belief(after, desk.state.readings, None, READER)
    try:
        names = [reading.sign for reading in wrong if reading.sign in belief.prospects]
        shown = belief.chances_of(names) if belief.possible else {}
    except TooLarge:
        return 0.0
    chances = [outcomes.get(normal[name], 0.0) for name, outcomes in shown.items()]
    return sum(chances) / max(len(chances), 1)


def _still_wrong(desk: Desk) -> tuple[Reading, ...]:
    """What the last proof read that is not as it should be."""
    state = desk.state
    before, after = state.deeds[-1].readings if state.deeds[-1].what == "verify" else (0, 0)
    moments = state.course.timeline.moments
    read = state.readings[before:after]
    return tuple(r for r in read if not shows_normal(desk.model, r, moments[r.moment].conditions))


def _sets_back(desk: Desk, repair: Repair, reading: Reading) -> bool:
    return remembers(desk.model, reading.sign, repair.work.resets)
