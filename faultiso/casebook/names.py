"""Every name and outcome of a case must be one of its model."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError
from faultiso.belief.evidence import weights
from faultiso.belief.observed import reading_of, sign_of
from faultiso.casebook.case import VOICES
from faultiso.language.kinds import Reader
from faultiso.language.names import among, judge_reference
from faultiso.language.nodes import Word
from faultiso.model.system import Model

Raw = Mapping[str, Any]


def judge_names(raw: Raw, model: Model, reader: Reader) -> None:
    """Tell every name that the model does not have, and every value or outcome that never is."""
    names = _names(model)
    for reference in reader.references:
        judge_reference(reference, names, reader)
    for match in reader.matches:
        for word, values in match.items():
            if word in model.conditions:
                among(values, model.conditions[word].values, f'"{word}"', reader)
    for group, key in (("seen", "reports"), ("pins", "shows")):
        for record in raw.get(group, ()):
            _judge_signs(record.get(key, {}), model, reader, not_known=group == "seen")
    for key in ("kinds", "truth", "prescribed_order", "no_spare", "critical_precautions"):
        _distinct(raw.get(key, ()), reader)


def _names(model: Model) -> dict[str, Mapping[str, object]]:
    """Kind -> everything of that kind by name."""
    return {
        "situation": model.situations, "condition": model.conditions, "component": model.components,
        "fault": model.faults, "indication": model.indications, "check": model.checks,
        "repair": model.repairs, "caution": model.cautions, "quantity": model.quantities,
        "voice": dict.fromkeys(VOICES),
    }  # fmt: skip


def _judge_signs(signs: Mapping[Word, Word], model: Model, reader: Reader, not_known: bool) -> None:
    for name, answer in signs.items():
        if name in model.indications or name in model.checks:
            _judge_answer(name, answer, model, reader, not_known)


def _judge_answer(name: Word, answer: Word, model: Model, reader: Reader, not_known: bool) -> None:
    """An outcome of the sign, a number that fits one of its levels, or "nk" where nothing need be known."""
    sign = sign_of(model, name)
    if answer[:1].isdigit() and sign.ranges and answer not in sign.outcomes:
        _judge_number(name, answer, model, reader)
    elif answer not in sign.outcomes and not (not_known and answer.casefold() in ("nk", "not known")):
        number = f", or a number in {sign.unit}" if sign.ranges else ""
        message = f'"{name}" never shows "{answer[:40]}"; expected {listed(sign.outcomes)}{number}'
        reader.wrong("outcome", answer.where, message, nearest(answer, sign.outcomes))


def _judge_number(name: Word, answer: Word, model: Model, reader: Reader) -> None:
    sign = sign_of(model, name)
    try:
        reading = reading_of(sign, answer, 0)
        if reading is not None:
            weights(reading, sign)
    except UsageError as error:
        reader.wrong("outcome", answer.where, str(error))


def _distinct(words: Iterable[Word], reader: Reader) -> None:
    seen: set[str] = set()
    for word in words:
        if word in seen:
            reader.wrong("duplicate", word.where, f'"{word}" stands twice in this list')
        seen.add(word)
