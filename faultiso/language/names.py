"""Every name and level that the sections refer to must be there: judged when all of them are known."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from faultiso.base.nearest import listed, nearest
from faultiso.language.kinds import Reader, Reference, a_kind
from faultiso.language.levels import Levels, Raw, source_of
from faultiso.language.nodes import Word, line_of

_KINDS = {
    "condition": "conditions", "component": "components", "quantity": "quantities",
    "indication": "indications", "check": "checks",
    "repair": "repairs", "caution": "cautions", "zone": "zones", "access panel": "access",
    "piece of equipment": "equipment", "kind of person": "people", "deferral": "deferrals",
}  # fmt: skip
_ONE_NAME_SPACE = ("condition", "component", "quantity", "indication", "check", "repair")


def judge_names(raw: Raw, reader: Reader) -> None:
    """Tell every name that stands for nothing, every level that does not exist, every name given twice."""
    levels = Levels(raw)
    names: dict[str, Mapping[str, object]] = {kind: raw.get(section, {}) for kind, section in _KINDS.items()}
    names |= {"fault": levels.faults, "spare": {"spare": None}}
    _judge_name_space(names, reader)
    for reference in reader.references:
        judge_reference(reference, names, reader)
    for match in reader.matches:
        for word, values in match.items():
            among(values, levels.of(word), f'"{word}"', reader)
    for name, condition in levels.conditions.items():
        _judge_condition(name, condition, reader)
    for name, quantity in levels.quantities.items():
        _judge_quantity(name, quantity, levels, reader)
    for name, sign in (*levels.indications.items(), *levels.checks.items()):
        _judge_sign(name, sign, levels, reader)


def _judge_name_space(names: Mapping[str, Mapping[str, object]], reader: Reader) -> None:
    first: dict[str, tuple[str, Word]] = {}
    for kind in _ONE_NAME_SPACE:
        for word in names[kind]:
            if word == "spare" and isinstance(word, Word):
                reader.wrong("duplicate", word.where, '"spare" means a known good unit; use another name')
            if word in first and isinstance(word, Word):
                other, place = first[word]
                line = line_of(place.where, word.where)
                message = f'"{word}" is already {a_kind((other,))} ({line}); use another name'
                reader.wrong("duplicate", word.where, message)
            elif isinstance(word, Word):
                first[word] = (kind, word)


def judge_reference(reference: Reference, names: Mapping[str, Mapping[str, object]], reader: Reader) -> None:
    """Tell a word that is no name of its kinds; ``names``: kind -> everything of that kind by name."""
    word, kinds = reference.word, reference.kinds
    if any(word in names[kind] for kind in kinds):
        return
    component, dot, fault = word.partition(".")
    faults = [name for name in names["fault"] if name.startswith(f"{component}.")]
    if dot and "fault" in kinds and component in names["component"]:
        own = [name.partition(".")[2] for name in faults]
        close = nearest(fault, own)
        message = f'{component} has no fault "{fault}"; it has {listed(own, "and")}'
        reader.wrong("name", word.where, message, f"{component}.{close}" if close else "")
        return
    for kind, there in names.items():
        if word in there:
            close = nearest(f"{word}.", faults) or (faults[0] if faults else "") if "fault" in kinds else ""
            message = f'"{word}" is {a_kind((kind,))}; expected {a_kind(kinds)}'
            reader.wrong("name", word.where, message, close if kind == "component" else "")
            return
    valid = list(dict.fromkeys(name for kind in kinds for name in names[kind]))
    expected = f"; expected {listed(valid)}" if valid else "; the model has none"
    reader.wrong("name", word.where, f'no {listed(kinds)} is called "{word}"{expected}', nearest(word, valid))


def among(words: Iterable[str], levels: tuple[str, ...] | None, whose: str, reader: Reader) -> None:
    """Tell every word that is none of the levels; ``whose`` names what has these levels."""
    for word in words:
        if levels and word not in levels and isinstance(word, Word):
            message = f'{whose} is never "{word}"; expected {listed(levels)}'
            reader.wrong("level", word.where, message, nearest(word, levels))


def _distinct(words: Iterable[str], reader: Reader) -> None:
    seen: set[str] = set()
    for word in words:
        if word in seen and isinstance(word, Word):
            reader.wrong("duplicate", word.where, f'"{word}" stands twice in this list')
        seen.add(word)


def _judge_condition(name: str, condition: Raw, reader: Reader) -> None:
    values = condition.get("values")
    _distinct(values or (), reader)
    start = (condition["start"],) if "start" in condition else ()
    among((*start, *condition.get("to", ()), *condition.get("value_titles", ())), values, f'"{name}"', reader)


def _judge_quantity(name: str, quantity: Raw, levels: Levels, reader: Reader) -> None:
    own = quantity.get("levels")
    _distinct(own or (), reader)
    whose = f'"{name}"'
    among((*quantity.get("leak", ()), *quantity.get("level_titles", ())), own, whose, reader)
    _judge_ranges(quantity, own, whose, reader)
    _judge_rules(quantity, own, whose, levels, reader)
    for cause in quantity.get("causes", ()):
        for case in (cause, *cause.get("cases", ())):
            _judge_gives(cause, case.get("gives"), own, whose, levels, reader)


def _judge_gives(
    cause: Raw, gives: Raw | None, own: tuple[str, ...] | None, whose: str, levels: Levels, reader: Reader
) -> None:
    source = cause.get("quantity")
    for level, chance in (gives or {}).items():
        by_level = isinstance(chance, Mapping)
        if by_level and source is not None:
            among((level,), levels.of(source), f'"{source}"', reader)
            among(chance, own, whose, reader)
        elif by_level or source is not None:
            example = (
                "{starved: {low: 0.7}}, a group for each level of the quantity" if source else "{low: 0.7}"
            )
            if isinstance(level, Word):
                reader.wrong("shape", level.where, f"expected gives such as {example}")
        else:
            among((level,), own, whose, reader)


def _judge_ranges(record: Raw, own: tuple[str, ...] | None, whose: str, reader: Reader) -> None:
    among(record.get("ranges", ()), own, whose, reader)


def _judge_rules(
    record: Raw, own: tuple[str, ...] | None, whose: str, levels: Levels, reader: Reader
) -> None:
    settled: dict[str, set[str]] = {}
    for rule in record.get("rules", ()):
        when = rule.get("when", {})
        if "then" in rule:
            among((rule["then"],), own, whose, reader)
        if "like" in rule:
            _judge_like(rule["like"], settled.get(rule["like"], set()), own, whose, levels, reader)
        if len(when) == 1:
            for name, values in when.items():
                settled.setdefault(name, set()).update(values)


def _judge_like(
    source: Word, settled: set[str], own: tuple[str, ...] | None, whose: str, levels: Levels, reader: Reader
) -> None:
    """What is read may only show levels that the reader has, but for those that earlier rows have settled."""
    theirs = levels.of(source)
    missing = [
        level for level in theirs or () if own is not None and level not in own and level not in settled
    ]
    if missing:
        message = f'"{source}" can be {listed(missing)}, which {whose} cannot show; add it to the list'
        reader.wrong("level", source.where, message)


def _judge_sign(name: str, sign: Raw, levels: Levels, reader: Reader) -> None:
    whose = f'"{name}"'
    own = levels.outcomes(sign)
    _distinct(sign.get("outcomes", ()), reader)
    if own is None and not source_of(sign):
        reader.wrong(
            "missing", sign["where"], f"{whose} needs outcomes: what it can show, the quiet one first"
        )
    among(sign.get("outcome_titles", ()), own, whose, reader)
    _judge_ranges(sign, own, whose, reader)
    _judge_rules(sign, own, whose, levels, reader)
    if "reads" in sign:
        _judge_like(sign["reads"], set(), own, whose, levels, reader)
