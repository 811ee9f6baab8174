"""From sections that were read and found right to the frozen Model."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import cached_property
from itertools import pairwise
from typing import Any, Literal, TypeVar

from faultiso.base.problems import Where
from faultiso.language.levels import Levels, Raw
from faultiso.language.nodes import Word
from faultiso.model.parts import (
    SEVERITIES,
    Cause,
    Caution,
    Chances,
    Change,
    Check,
    Component,
    Condition,
    Deferral,
    Fault,
    Indication,
    Intermittent,
    LeftBehind,
    Link,
    Match,
    Place,
    Quantity,
    Repair,
    Response,
    Rule,
    SeverityClass,
    Situation,
    Verification,
    Work,
)
from faultiso.model.system import Model, Review

T = TypeVar("T")


def build_model(raw: Raw, file: str = "", digest: str = "") -> Model:
    """The Model of sections without a mistake."""
    builder = _Builder(raw)
    return Model(
        name=str(raw["model"]),
        title=str(raw["title"]),
        one_fault=raw.get("assume") == "one fault",
        review=_review(raw),
        conditions=builder.section("conditions", _condition),
        situations=builder.section("situations", builder.situation),
        components=builder.section("components", _component),
        quantities=builder.section("quantities", _quantity),
        indications=builder.section("indications", builder.indication),
        checks=builder.section("checks", builder.check),
        repairs=builder.section("repairs", builder.repair),
        cautions=builder.section("cautions", _caution),
        zones=builder.section("zones", _place),
        access=builder.section("access", _place),
        equipment=builder.section("equipment", _place),
        people=builder.section("people", _place),
        flow=_flow(raw.get("flow", ())),
        deferrals=builder.section("deferrals", _deferral),
        file=file,
        digest=digest,
        **_some(raw, "subject", "about", "flight_hours_at_risk", "refer_minutes"),
    )


class _Builder:
    """What a part needs to know of other sections: levels that are read, faults of a component, values."""

    def __init__(self, raw: Raw) -> None:
        self.raw = raw
        self.levels = Levels(raw)

    def section(self, name: str, make: Callable[[str, Raw], T]) -> dict[str, T]:
        return {str(key): make(str(key), record) for key, record in self.raw.get(name, {}).items()}

    def situation(self, name: str, record: Raw) -> Situation:
        values = {str(key): _start(condition) for key, condition in self.levels.conditions.items()}
        values |= {str(key): str(value) for key, value in record.get("set", {}).items()}
        return Situation(name=name, values=values, **_head(name, record))

    def indication(self, name: str, record: Raw) -> Indication:
        reading = self.reading(record, "indication")
        misread = {"misread": self.raw["misread"]} if "misread" in self.raw else {}
        own = _some(record, "kind", "memory", "delay", "misread", "place", "also")
        return Indication(name=name, **_head(name, record), **reading, **(misread | own))

    def check(self, name: str, record: Raw) -> Check:
        own = _some(record, "miss", "false_alarm", "asks", "source", "also")
        reading = self.reading(record, "check")
        return Check(name=name, **_head(name, record), **reading, **own, work=_work(record))

    def reading(self, record: Raw, what: str) -> dict[str, Any]:
        """Outcomes, rules and instrument, with what is not given taken from what is read."""
        outcomes = tuple(str(outcome) for outcome in self.levels.outcomes(record) or ())
        if "reads" in record:
            rules: tuple[Rule, ...] = (Rule(like=str(record["reads"]), where=_where(record["reads"])),)
        else:
            rules = tuple(_rule(rule) for rule in record["rules"])
        chain = self.levels.chain(record)
        titles: Mapping[str, str] = next(
            (link[key] for link in chain for key in ("outcome_titles", "level_titles") if key in link), {}
        )
        ranges = self.levels.inherited(record, "ranges") or {}
        return {
            "outcomes": outcomes,
            "rules": rules,
            "unit": str(self.levels.inherited(record, "unit") or ""),
            "tolerance": self.levels.inherited(record, "tolerance") or 0.0,
            "ranges": {str(level): span for level, span in ranges.items() if level in outcomes},
            "outcome_titles": {
                str(level): str(title) for level, title in titles.items() if level in outcomes
            },
        }

    def repair(self, name: str, record: Raw) -> Repair:
        clears = dict.fromkeys(fault for word in record["clears"] for fault in self.cleared(word))
        verification = _verification(record["verify"]) if "verify" in record else Verification()
        own = _some(record, "component", "fails", "price", "also")
        own.setdefault("component", _only_component(record["clears"]))
        work = _work(record)
        needs = tuple({**self.needed_by_all, **match} for match in work.needs or ({},))
        work = replace(work, needs=needs if self.needed_by_all else work.needs)
        return Repair(
            name=name,
            clears=tuple(clears),
            work=work,
            verification=verification,
            **_head(name, record),
            **own,
        )

    @cached_property
    def needed_by_all(self) -> dict[str, tuple[str, ...]]:
        """The conditions in which every repair is made that says nothing else of them."""
        (match,) = _alternatives(self.raw["repairs_need"]) if "repairs_need" in self.raw else ({},)
        return dict(match)

    def cleared(self, word: str) -> list[str]:
        """A fault, or all the faults of a component."""
        if word in self.levels.faults:
            return [str(word)]
        return [name for name, (component, _) in self.levels.faults.items() if component == word]


def _review(raw: Raw) -> Review:
    place = _where(raw["state"] if "state" in raw else raw["model"])
    return Review(where=place, **_some(raw, "author", "reviewer", "state", "version", "syllabus"))


def _some(record: Raw, *names: str) -> dict[str, Any]:
    """Those of the fields that are there, words as plain text; the rest keep the defaults of the part."""
    return {name: _plain(record[name]) for name in names if name in record}


def _plain(value: Any) -> Any:
    if isinstance(value, Word):
        return str(value)
    return tuple(_plain(item) for item in value) if isinstance(value, tuple) else value


def _head(name: str, record: Raw) -> dict[str, Any]:
    title = record.get("title") or name.rpartition(".")[2].replace("_", " ")
    return {"title": str(title), "where": record["where"]} | _some(record, "about")


def _where(word: Word) -> Where:
    return word.where


def _start(condition: Raw) -> str:
    return str(condition.get("start", condition["values"][0]))


def _match(read: Mapping[Word, tuple[Word, ...]]) -> Match:
    return {str(name): tuple(str(value) for value in values) for name, values in read.items()}


def _alternatives(read: Any) -> tuple[Match, ...]:
    """One set of condition values, or a list of alternatives."""
    if read is None:
        return ()
    return tuple(_match(match) for match in (read if isinstance(read, tuple) else (read,)) if match)


def _chances(read: Mapping[Word, float] | None) -> Chances:
    return {str(name): chance for name, chance in (read or {}).items()}


def _condition(name: str, record: Raw) -> Condition:
    return Condition(
        name=name,
        start=_start(record),
        changes={str(value): _change(change) for value, change in record.get("to", {}).items()},
        value_titles=_titles(record.get("value_titles")),
        **_head(name, record),
        **_some(record, "values", "settable", "must_restore", "also"),
    )


def _titles(read: Mapping[Word, Word] | None) -> dict[str, str]:
    return {str(name): str(title) for name, title in (read or {}).items()}


def _effort(record: Raw) -> dict[str, Any]:
    who = {"who": str(record["who"][0])} if record.get("who") else {}
    effort = _some(record, "minutes", "people", "equipment", "access", "hazards")
    return {"needs": _alternatives(record.get("needs"))} | effort | who


def _change(record: Raw) -> Change:
    return Change(**_effort(record))


def _work(record: Raw) -> Work:
    return Work(
        sets=_titles(record.get("sets")),
        disturbs=_chances(record.get("disturbs")),
        may_leave=tuple(
            LeftBehind(str(fault), chance) for fault, chance in record.get("may_leave", {}).items()
        ),
        **_effort(record),
        **_some(record, "swaps", "resets", "zone"),
    )


def _component(name: str, record: Raw) -> Component:
    faults = tuple(_fault(name, str(key), fault) for key, fault in record.get("faults", {}).items())
    own = _some(record, "replaceable", "zone", "access", "code", "also")
    return Component(name=name, faults=faults, **_head(name, record), **own)


def _fault(component: str, name: str, record: Raw) -> Fault:
    comes_and_goes = record.get("intermittent")
    intermittent = comes_and_goes and Intermittent(
        brought_out_by=_alternatives(comes_and_goes["brought_out_by"]),
        **_some(comes_and_goes, "share", "otherwise"),
    )
    return Fault(
        name=f"{component}.{name}",
        component=component,
        intermittent=intermittent or None,
        caused_by=_chances(record.get("caused_by")),
        severity=_severity(record.get("severity", "")),
        **_head(name, record),
        **_some(record, "rate", "source", "also"),
    )


def _severity(said: str) -> SeverityClass | Literal[""]:
    """The class by its word, whether that or its number is said."""
    for number, word in SEVERITIES.items():
        if said in (number, word):
            return word
    return ""


def _rule(record: Raw) -> Rule:
    return Rule(when=_match(record.get("when", {})), where=record["where"], **_some(record, "then", "like"))


def _cause(record: Raw) -> Cause:
    by_fault = "fault" in record
    cases = record.get("cases") or (record,)
    source = str(record["fault"] if by_fault else record["quantity"])
    return Cause(source, tuple(_response(case, record, by_fault) for case in cases), record["where"])


def _response(case: Raw, cause: Raw, by_fault: bool) -> Response:
    """A case holds where its own conditions and those of the whole cause do."""
    when = {**_match(cause.get("when", {})), **_match(case.get("when", {}))}
    gives = {"present": case["gives"]} if by_fault else case["gives"]
    return Response(when, {str(level): _chances(chances) for level, chances in gives.items()})


def _quantity(name: str, record: Raw) -> Quantity:
    return Quantity(
        name=name,
        rules=tuple(_rule(rule) for rule in record.get("rules", ())),
        causes=tuple(_cause(cause) for cause in record.get("causes", ())),
        leak=_chances(record.get("leak")),
        ranges={str(level): span for level, span in record.get("ranges", {}).items()},
        level_titles=_titles(record.get("level_titles")),
        **_head(name, record),
        **_some(record, "levels", "unit", "remember", "zone", "also"),
    )


def _verification(record: Raw) -> Verification:
    return Verification(
        needs=_alternatives(record.get("needs")), **_some(record, "minutes", "checks", "about", "inspection")
    )


def _only_component(clears: Iterable[str]) -> str:
    """The component that all cleared faults belong to, or "" if there are several."""
    components = {word.partition(".")[0] for word in clears}
    return str(components.pop()) if len(components) == 1 else ""


def _caution(name: str, record: Raw) -> Caution:
    return Caution(
        name=name, **_head(name, record), **_some(record, "text", "precaution", "critical", "source")
    )


def _place(name: str, record: Raw) -> Place:
    return Place(name=name, **_head(name, record), **_some(record, "minutes", "zone", "also"))


def _deferral(name: str, record: Raw) -> Deferral:
    own = _some(record, "covers", "interval", "placard", "never_with", "provided", "allowed")
    return Deferral(name=name, **_head(name, record), **own)


def _flow(lines: Iterable[Any]) -> tuple[Link, ...]:
    links: dict[tuple[str, str], Link] = {}
    for line in lines:
        path, carries = (
            (line["path"], line.get("carries", "fluid")) if isinstance(line, dict) else (line, "fluid")
        )
        for source, target in pairwise(path):
            link = Link(str(source), str(target), str(carries), source.where)
            links.setdefault((link.source, link.target), link)
    return tuple(links.values())
