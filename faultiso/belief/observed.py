"""Observations as people and scripts give them -> a timeline and readings.

``NAME=OUTCOME`` was seen in the present conditions, ``NAME=OUTCOME@SITUATION`` in a situation of the model
(in Python also ``"NAME@SITUATION": outcome``, for outcomes that are no text).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from faultiso.base.nearest import nearest, plain
from faultiso.base.numbers import Ambiguous, NotANumber, NotKnown, Understood, read_number
from faultiso.base.problems import UsageError
from faultiso.belief.evidence import Reading
from faultiso.model.parts import Check, Indication
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline, moment

#: an outcome, a number in the sign's unit, weights of a doubtful reading, or None for "not known"
Answer = str | float | Mapping[str, float] | None
Observations = Mapping[str, Answer] | Iterable[tuple[str, Answer]]


def unknown(kind: str, name: str, names: Sequence[str]) -> UsageError:
    """The error for a name that the model does not have."""
    close = nearest(name, names)
    return UsageError(f"no {kind} is called {name!r}" + (f"; nearest: {close}" if close else ""))


def conditions_of(model: Model, settings: Mapping[str, str], situation: str = "") -> dict[str, str]:
    """A complete set of condition values: a situation (or the start), and what differs from it."""
    if situation and situation not in model.situations:
        raise unknown("situation", situation, list(model.situations))
    found = dict(model.situations[situation].values if situation else model.start)
    for name, value in settings.items():
        if name not in model.conditions:
            raise unknown("condition", name, list(model.conditions))
        if value not in model.conditions[name].values:
            expected = ", ".join(model.conditions[name].values)
            raise UsageError(f"condition {name} cannot be {value!r}; expected one of: {expected}")
        found[name] = value
    return found


def sign_of(model: Model, name: str) -> Indication | Check:
    """An indication or check by its name, or by its title where no other has it; UsageError else."""
    sign = model.indications.get(name) or model.checks.get(name)
    return sign if sign is not None else _titled(model, name)


def _titled(model: Model, name: str) -> Indication | Check:
    signs: list[Indication | Check] = [*model.indications.values(), *model.checks.values()]
    found = [sign for sign in signs if plain(name) in (plain(sign.name), plain(sign.title))]
    if len(found) == 1:
        return found[0]
    called = {sign.title: sign.name for sign in signs} | {sign.name: sign.name for sign in signs}
    close = called.get(nearest(name, called), "")
    raise UsageError(f"no indication or check is called {name!r}" + (f"; nearest: {close}" if close else ""))


def observed(
    model: Model, observations: Observations, conditions: Mapping[str, str]
) -> tuple[Timeline, tuple[Reading, ...]]:
    """Situations come in the order in which they are first named; the present is the last moment."""
    pairs = observations.items() if isinstance(observations, Mapping) else observations
    items = [_placed(name, answer) for name, answer in pairs]
    now = moment(conditions)
    moments = {s: moment(conditions_of(model, {}, s)) for _, s, _ in items if s}
    order = [m for m in dict.fromkeys(moments.values()) if m != now]
    timeline = Timeline((*order, now))
    readings = []
    for name, situation, answer in items:
        at = timeline.moments.index(moments[situation]) if situation else timeline.now
        sign = _in_place(sign_of(model, name))
        reading = reading_of(sign, answer, at)
        if reading is not None:
            readings.append(reading)
    return timeline, tuple(readings)


def _in_place(sign: Indication | Check) -> Indication | Check:
    """UsageError for a check that swaps units: after it faults sit in other places than before."""
    if isinstance(sign, Check) and sign.work.swaps:
        pairs = " and ".join(f"{a} with {b}" for a, b in sign.work.swaps)
        raise UsageError(
            f"{sign.name} swaps {pairs}, and from then on faults sit elsewhere: that can be told only step "
            "by step, in faultiso isolate"
        )
    return sign


def _placed(name: str, answer: Answer) -> tuple[str, str, Answer]:
    """Sign, situation (empty: now), answer."""
    sign, _, situation = name.partition("@")
    if isinstance(answer, str) and "@" in answer:
        answer, _, situation = answer.rpartition("@")
    return sign.strip(), situation.strip(), answer


def normal_readings(
    model: Model, timeline: Timeline, at: int, reported: Collection[str]
) -> tuple[Reading, ...]:
    """Every indication that was not reported at a moment, as it shows there when nothing is wrong."""
    from faultiso.model.expected import expected

    normal = expected(model, timeline.moments[at].conditions)
    return tuple(Reading(name, normal[name], moment=at) for name in model.indications if name not in reported)


def reading_of(sign: Indication | Check, answer: Answer, at: int) -> Reading | None:
    """The reading that an answer stands for; None for "not known", which is no evidence."""
    if answer is None:
        return None
    if isinstance(answer, Mapping):
        return Reading(sign.name, doubtful=_doubtful(sign, answer), moment=at)
    if isinstance(answer, str):
        return _from_text(sign, answer.strip(), at)
    return Reading(sign.name, number=float(answer), moment=at)


def _doubtful(sign: Indication | Check, answer: Mapping[str, float]) -> tuple[tuple[str, float], ...]:
    for outcome, weight in answer.items():
        if outcome not in sign.outcomes:
            raise _no_outcome(sign, outcome)
        if not 0 <= weight < float("inf"):
            raise UsageError(f"a likelihood is a number from 0 up; {sign.name} {outcome} has {weight}")
    if not any(answer.values()):
        raise UsageError(
            f"the likelihoods given for {sign.name} are all 0; at least one outcome must be possible"
        )
    return tuple(answer.items())


def _from_text(sign: Indication | Check, text: str, at: int) -> Reading | None:
    if text in sign.outcomes:
        return Reading(sign.name, outcome=text, moment=at)
    number = read_number(text, sign.unit)
    match number:
        case NotKnown():
            return None
        case Understood() if sign.ranges:
            return Reading(sign.name, number=number.value, moment=at)
        case Ambiguous():
            raise UsageError(f"{sign.name}: {number.question}")
        case NotANumber() if sign.ranges and text[:1].isdigit():
            raise UsageError(f"{sign.name}: {number.reason}")
    raise _no_outcome(sign, text)


def _no_outcome(sign: Indication | Check, text: str) -> UsageError:
    close = nearest(text, sign.outcomes)
    hint = f"; nearest: {close}" if close else ""
    number = f", a number in {sign.unit}" if sign.ranges else ""
    return UsageError(
        f"{sign.name} cannot be {text!r}; expected {', '.join(sign.outcomes)}{number}, or nk{hint}"
    )
