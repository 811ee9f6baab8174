"""Why each reading was as it was, once the truth is known."""

from __future__ import annotations

from dataclasses import dataclass

from faultiso.belief.evidence import Reading, nearest_level
from faultiso.belief.observed import sign_of
from faultiso.casebook.case import Case
from faultiso.model.dependence import dependences
from faultiso.model.expected import expected
from faultiso.model.silence import hushed, silence
from faultiso.model.system import Model
from faultiso.session import words
from faultiso.session.state import State


@dataclass(frozen=True)
class Shown:
    """A reading in words, and why it was so."""

    reading: str
    why: str


def why_shown(case: Case, model: Model, state: State) -> tuple[Shown, ...]:
    """The readings that were reported one by one, and all that were read at work; each of them once."""
    named = [*state.readings[: state.named], *state.readings[state.reports :]]
    found: dict[Shown, None] = {}
    for reading in named:
        conditions = state.course.timeline.moments[reading.moment].conditions
        why = _why(case, model, reading, dict(conditions))
        found[Shown(words.reading_words(model, reading), why)] = None
    return tuple(found)


def _why(case: Case, model: Model, reading: Reading, conditions: dict[str, str]) -> str:
    sign = sign_of(model, reading.sign)
    outcome = reading.outcome or nearest_level(float(reading.number or 0.0), sign)
    if reading.sign in model.indications:
        silent = silence(model, reading.sign, conditions)
        quiet = silent or hushed(model, reading.sign, conditions)
        if quiet is not None and quiet.outcome == outcome:
            because = words.settings_words(model, quiet.because) or "these conditions"
            return (
                f"it could show nothing else ({because})" if silent else f"it is kept quiet there ({because})"
            )
    if outcome == expected(model, conditions)[reading.sign]:
        return "as with nothing wrong there"
    felt = [name for name in case.truth if name in dependences(model)[reading.sign].faults]
    if felt:
        return f"because of {words.set_words(model, felt)}"
    return "nothing hidden explains it: a slip, something by chance, or what the work changed"
