"""The work summary: what another shift needs to take over, as data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass

from faultiso.belief.evidence import Reading
from faultiso.belief.movement import moved_bits, moved_words
from faultiso.session import words
from faultiso.session.desk import Desk
from faultiso.session.ending import HANDED_OVER, NO_FAULT_FOUND, RECTIFIED, UNFINISHED, open_items
from faultiso.session.state import Deed, State

PROVED = "proved it"


@dataclass(frozen=True)
class DeedLine:
    """One thing done: in words, the minutes, what it showed, how much it told."""

    title: str
    minutes: float
    showed: str
    told: str


@dataclass(frozen=True)
class Summary:
    """What was found and done; ``open`` is what is left to do."""

    model: str
    title: str
    subject: str
    how: str
    found: str
    complaint: tuple[str, ...]
    seen_in: str
    minutes: float
    man_minutes: float
    deeds: tuple[DeedLine, ...]
    open: tuple[str, ...]
    restored: str
    references: tuple[str, ...]
    notes: tuple[str, ...]
    next_shift: str
    leading: tuple[tuple[str, float], ...]
    candidate: str = ""

    def record(self) -> Mapping[str, object]:
        """The same for a JSON document."""
        return asdict(self)


def summary(desk: Desk) -> Summary:
    """The summary of a session as it stands, ended or not."""
    state = desk.state
    model = desk.model
    return Summary(
        model=model.name,
        title=model.title,
        subject=model.subject,
        how=state.end.how if state.end else UNFINISHED,
        found=state.end.what if state.end else "",
        complaint=tuple(words.reading_words(model, reading) for reading in _complained(state)),
        seen_in=_seen_in(state),
        minutes=state.course.minutes,
        man_minutes=state.course.man_minutes,
        deeds=tuple(_deed_line(desk, deed) for deed in state.deeds),
        open=open_items(state),
        restored=_restored(state),
        references=state.references,
        notes=state.notes,
        next_shift=_next_shift(desk),
        leading=_leading(desk),
        candidate=str(state.began.get("candidate", "")),
    )


def recap(desk: Desk) -> str:
    """Where a session stands, for who goes on with it; "" if nothing was said yet."""
    state = desk.state
    if not state.situations:
        return ""
    seen = "; ".join(words.reading_words(desk.model, reading) for reading in _complained(state))
    done = len(state.deeds)
    so_far = f"{done} thing{'s' if done != 1 else ''} done, {words.minutes_words(state.minutes)}"
    return (
        f"So far: {_seen_in(state) or 'as was said'}: {seen or 'nothing reported'}. {words.capital(so_far)}."
    )


def _complained(state: State) -> tuple[Reading, ...]:
    """What was reported one by one; what "all others normal" settled is not told again."""
    return state.readings[: state.named]


def _seen_in(state: State) -> str:
    name = state.situations[0] if state.situations else ""
    return state.model.situations[name].title if name in state.model.situations else ""


def _restored(state: State) -> str:
    return (
        "everything"
        if not state.unrestored
        else "not yet: " + words.settings_words(state.model, state.unrestored)
    )


def _deed_line(desk: Desk, deed: Deed) -> DeedLine:
    told = _told(desk, deed)
    showed = deed.answer
    if told == PROVED:
        count = deed.answer.count(";") + 1
        showed = f"{count} signs, each as it should be" if count > 1 else "as it should be"
    return DeedLine(words.deed_title(desk.model, deed.what, deed.name), deed.minutes, showed, told)


def _told(desk: Desk, deed: Deed) -> str:
    """How much a reading moved the chances of the faults: much, some, little, nothing."""
    before, after = deed.readings
    if deed.what == "verify":
        return PROVED if desk.state.repairs and desk.state.repairs[-1].proof == "passed" else "not proved"
    if deed.what not in ("check", "look"):
        return "-"
    if before == after or deed.timeline is None:
        return "nothing"
    readings = desk.state.readings
    reasoner = desk.wake()
    first = reasoner.belief(deed.timeline, readings[:before])
    second = reasoner.belief(deed.timeline, readings[:after])
    if not (first.possible and second.possible):
        return "a contradiction"
    return moved_words(moved_bits(first, second))


def _leading(desk: Desk) -> tuple[tuple[str, float], ...]:
    if desk.state.phase in ("seen", "reports", "others", "now") or not desk.belief.possible:
        return ()
    best = [d for d in desk.belief.leaders if d.probability >= 0.01][:4]
    return tuple((words.set_words(desk.model, d.faults), d.probability) for d in best)


def _next_shift(desk: Desk) -> str:
    """The one thing that whoever takes over must know."""
    state = desk.state
    left = open_items(state)
    if left:
        return f"{words.capital(left[0])}."
    how = state.end.how if state.end else UNFINISHED
    if (
        how == RECTIFIED
        and state.last_repair
        and state.last_repair.plan
        and state.last_repair.plan.not_as_seen
    ):
        names = ", ".join(state.model.conditions[n].title for n in state.last_repair.plan.not_as_seen)
        return f"It was proved, but not as it was seen ({names}): watch for it there."
    if how == RECTIFIED:
        return "Nothing is open. If it comes back, begin from the readings above."
    if how == NO_FAULT_FOUND:
        seen = ", ".join(words.reading_words(state.model, reading) for reading in _complained(state)[:3])
        return f"Watch for: {seen or 'the complaint'}."
    if how in (HANDED_OVER, UNFINISHED) and state.phase in ("work", "ended"):
        return "No repair is proved. The leading explanations stand above with their chances."
    return "The fault is still there."
