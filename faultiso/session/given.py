"""What was given on the command line: readings, conditions, what the others are; each as an event."""

from __future__ import annotations

from collections.abc import Sequence

from faultiso.base.problems import UsageError
from faultiso.belief.evidence import weights
from faultiso.belief.observed import conditions_of, reading_of, sign_of
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.answering import others as settle_others
from faultiso.session.desk import Desk
from faultiso.session.events import Event


def give(desk: Desk, observe: Sequence[str], settings: Sequence[str], others: str) -> None:
    """Record what was given, situation by situation; what is missing is asked later.

    UsageError names what is wrong before anything is recorded.
    """
    if others not in ("", "normal", "unknown"):
        raise UsageError(f'--others is "normal" or "unknown"; found "{others}"')
    model = desk.model
    now = conditions_of(model, dict(_pair(text, "--set") for text in settings))
    seen = [_observation(desk, text) for text in observe]
    places = list(dict.fromkeys(situation for situation, _ in seen))
    for situation in sorted(places, key=lambda name: name == ""):  # what is so now comes last
        there = conditions_of(model, {}, situation) if situation else now
        desk.record(kinds.SEEN, settings=dict(there), situation=situation)
        for name, event in seen:
            if name == situation:
                desk.record(event.kind, **event.data)
    if not places:
        return
    desk.record(kinds.REPORTS_DONE)
    settle_others(desk, others or "unknown")
    if settings or "" in places:
        desk.record(kinds.PLACED, settings=dict(now), situation="")


def _pair(text: str, option: str) -> tuple[str, str]:
    name, mark, value = text.partition("=")
    if not mark or not name.strip() or not value.strip():
        raise UsageError(f'{option} wants NAME=VALUE; found "{text[:60]}"')
    return name.strip(), value.strip()


def _observation(desk: Desk, text: str) -> tuple[str, Event]:
    """NAME=OUTCOME or NAME=OUTCOME@SITUATION as the situation and the event of the report."""
    name, value = _pair(text, "--observe")
    answer, _, situation = value.partition("@")
    name, _, other = name.partition("@")  # NAME@SITUATION=OUTCOME is understood as well
    situation = (situation or other).strip()
    if situation:
        conditions_of(desk.model, {}, situation)
    sign = sign_of(desk.model, name.strip())
    reading = reading_of(sign, answer.strip(), 0)
    kept: str | float | None = None
    if reading is not None:
        weights(reading, sign)
        kept = reading.outcome or reading.number
    data = {"sign": sign.name, "answer": kept, "typed": text, "words": words.answer_words(sign, kept)}
    return situation, Event(kinds.REPORTED, data)
