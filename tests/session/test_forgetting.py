"""Shorter versions of what was seen: readings may go, what work did stays."""

from __future__ import annotations

from faultiso.belief.evidence import Reading
from faultiso.network.timeline import Intervention, Timeline, moment
from faultiso.session.forgetting import shortened, without

REPAIR = Intervention("repair", cleared=("a.b",))


def _timeline(*works: tuple[Intervention, ...]) -> Timeline:
    return Timeline(tuple(moment({"place": str(n)}, before) for n, before in enumerate(works)))


def test_work_is_handed_on_to_the_moment_that_follows() -> None:
    timeline, readings = without(_timeline((), (REPAIR,), ()), [Reading("x", "lit", moment=2)], 1)
    assert [m.before for m in timeline.moments] == [(), (REPAIR,)]
    assert readings == (Reading("x", "lit", moment=1),)


def test_idle_visits_go_first_and_then_the_oldest_readings() -> None:
    seen = [Reading("complaint", "lit", moment=0), *(Reading(f"r{n}", "lit", moment=n) for n in (2, 3, 4))]
    versions = list(shortened(_timeline((), (REPAIR,), (), (), ()), seen, complaint=1))
    assert [[r.sign for r in readings] for _, readings in versions] == [
        ["complaint", "r2", "r3", "r4"],
        ["complaint", "r3", "r4"],
        ["complaint", "r4"],
    ]
    assert all(REPAIR in [w for m in t.moments for w in m.before] for t, _ in versions)
    assert [t.now for t, _ in versions] == [3, 2, 1]


def test_a_complaint_alone_cannot_be_shortened() -> None:
    assert list(shortened(_timeline(()), [Reading("x", "lit")], complaint=1)) == []
