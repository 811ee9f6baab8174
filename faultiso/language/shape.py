"""The shape of a model file: one table from which reading, messages and the JSON Schema all come."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from faultiso.base.nearest import listed
from faultiso.language.groups import Either, Field, Gives, ListOf, Pair, Record, Settings, Table, When
from faultiso.language.kinds import CHANCE, Duration, Level, Name, Number, OneOf, Reader, Ref, Text, YesNo
from faultiso.language.nodes import MapNode, Node, Word
from faultiso.model.parts import SEVERITIES


@dataclass(frozen=True)
class Section(Table):
    """Named things: each record learns the place of its name."""

    def read(self, node: Node, reader: Reader) -> dict[Word, Any] | None:
        if isinstance(node, MapNode):
            entries = tuple((key, _placed(key, inner)) for key, inner in node.entries)
            node = MapNode(entries, node.where)
        return super().read(node, reader)


def _placed(key: Word, node: Node) -> Node:
    if isinstance(node, MapNode):
        return MapNode(node.entries, key.where)
    return node if node else Word.at(node, key.where) if isinstance(node, Word) else node


def exactly_one(what: str, *names: str) -> Callable[[MapNode, Reader], None]:
    """Exactly one of these keys must be there."""

    def judge(node: MapNode, reader: Reader) -> None:
        given = [key for key, _ in node.entries if key in names]
        if not given:
            reader.wrong("missing", node.where, f"{what} needs {listed(names)}")
        elif len(given) > 1:
            message = f"{what} takes only one of {listed(names, 'and')}"
            reader.wrong("key", given[1].where, message)

    return judge


def _ref(*kinds: str) -> Ref:
    return Ref(kinds)


def _names(*kinds: str) -> ListOf:
    return ListOf(Ref(kinds))


_TEXT = Text()
_LEVEL = Level()
_LEVELS = ListOf(_LEVEL, least=2, example="[normal, low]")
_MINUTES = Field(Number(0, 1e6, "a number of minutes"), "minutes that it takes")
_TITLE = Field(_TEXT, "what people call it")
_ABOUT = Field(Text(empty=True), "what it is and means, for the apprentice")
_ALSO = Field(ListOf(_TEXT), "other words that people use for it")
_SOURCE = Field(_TEXT, "where the figures or the method come from; or that they are invented")
_UNIT = Field(_TEXT, "unit of its numbers, such as psi")
_RANGES = Field(
    Table(_TEXT, Pair(Number(-1e12, 1e12), "[2620, 2780]", ordered=True), "{normal: [2620, 2780]}"),
    "lowest and highest number of each level, in unit",
)
_TOLERANCE = Field(Number(0, 1e12), "plus or minus (two sigma) of the instrument, in unit")
_CONDITIONS = When(("condition",))
_NEEDS = Field(
    Either(_CONDITIONS, ListOf(_CONDITIONS, least=1)),
    "conditions in which it can be done; a list gives alternatives",
)
_TITLES = Table(_TEXT, _TEXT, "{idle: running at idle}")
_CHANCES = Table(_TEXT, CHANCE, "{low: 0.001}")

_EFFORT = {
    "minutes": _MINUTES,
    "people": Field(Number(0, 100, "a number of people", whole=True), "how many people it takes"),
    "who": Field(ListOf(_ref("kind of person"), most=1), "the kind of person that it takes"),
    "equipment": Field(_names("piece of equipment"), "ground equipment; its minutes count once"),
    "access": Field(_names("access panel"), "panels to open; their minutes count once"),
    "hazards": Field(_names("caution"), "cautions that are shown before the step"),
    "needs": _NEEDS,
}

_WORK = _EFFORT | {
    "zone": Field(_ref("zone"), "where it is done"),
    "sets": Field(Settings(), "conditions that stay so until restored"),
    "disturbs": Field(Table(_ref("fault"), CHANCE), "faults that it may silence without curing them"),
    "swaps": Field(
        ListOf(Pair(_ref("component", "spare"), "[switch_1, spare]")),
        "components that change places, faults and all; or a component and spare",
    ),
    "may_leave": Field(Table(_ref("fault"), CHANCE), "faults that the work may introduce"),
    "resets": Field(_names("quantity", "indication"), "what remembers, and forgets by this"),
}


def _rule(when: tuple[str, ...], like: tuple[str, ...]) -> Record:
    fields = {
        "when": Field(When(when), "all of these must hold; without it the row always matches"),
        "then": Field(_TEXT, "what it then is or shows"),
        "like": Field(Ref(like), "it then has the same-named level as this"),
    }
    return Record("a rule", fields, exactly_one("a rule", "then", "like"))


_CASE = Record(
    "a case",
    {"when": Field(_CONDITIONS, "conditions in which it counts"),
     "gives": Field(Gives(), "the probability of each level", required=True)},
)  # fmt: skip


def _judge_cause(node: MapNode, reader: Reader) -> None:
    exactly_one("a cause", "fault", "quantity")(node, reader)
    exactly_one("a cause", "gives", "cases")(node, reader)


_CAUSE = Record(
    "a cause",
    {"fault": Field(_ref("fault"), "the fault that acts"),
     "quantity": Field(_ref("quantity"), "the quantity that acts"),
     "when": Field(_CONDITIONS, "conditions in which it acts"),
     "gives": Field(Gives(), "the probability of each level that it brings about"),
     "cases": Field(ListOf(_CASE, least=1), "what it gives in which conditions; the first match counts")},
    _judge_cause,
)  # fmt: skip

_CHANGE = Record("a change", dict(_EFFORT))

_CONDITION = Record(
    "a condition",
    {"title": _TITLE, "about": _ABOUT, "also": _ALSO,
     "values": Field(ListOf(_LEVEL, least=1, example="[off, on]"), "what it can be", required=True),
     "start": Field(_TEXT, "what it is at the beginning; default: the first value"),
     "to": Field(Table(_TEXT, _CHANGE, "{idle: {minutes: 8}}"), "what it takes to bring it to a value"),
     "settable": Field(YesNo(), "no: the technician cannot change it"),
     "must_restore": Field(YesNo(), "yes: it must be back at its start at the end"),
     "value_titles": Field(_TITLES, "words for people for each value")},
)  # fmt: skip

_SITUATION = Record(
    "a situation",
    {"title": _TITLE, "about": _ABOUT,
     "set": Field(Settings(), "what differs from the start")},
)  # fmt: skip


def _place(what: str, *more: str) -> Record:
    extra = {"minutes": _MINUTES, "zone": Field(_ref("zone"), "the zone it belongs to")}
    return Record(
        what, {"title": _TITLE, "about": _ABOUT, "also": _ALSO} | {name: extra[name] for name in more}
    )


_CAUTION = Record(
    "a caution",
    {"title": _TITLE,
     "text": Field(_TEXT, "what is shown before the step", required=True),
     "precaution": Field(_TEXT, "what is done against it"),
     "critical": Field(YesNo(), "yes: leaving it out fails a case"),
     "source": _SOURCE},
)  # fmt: skip

_INTERMITTENT = Record(
    "intermittent",
    {"brought_out_by": Field(Either(_CONDITIONS, ListOf(_CONDITIONS)), "what brings it out", required=True),
     "share": Field(CHANCE, "share of visits in those conditions in which it shows", required=True),
     "otherwise": Field(CHANCE, "share of all other visits in which it shows")},
)  # fmt: skip

_FAULT = Record(
    "a fault",
    {"title": _TITLE, "about": _ABOUT, "also": _ALSO, "source": _SOURCE,
     "rate": Field(Number(0, 1, "a rate per flight hour"), "failures per flight hour", required=True),
     "severity": Field(OneOf((*SEVERITIES.values(), *SEVERITIES)), "the worst that it may lead to"),
     "intermittent": Field(_INTERMITTENT, "when it comes and goes"),
     "caused_by": Field(Table(_ref("fault"), CHANCE, "{pump.bearing: 0.4}"), "faults that cause it")},
)  # fmt: skip

_COMPONENT = Record(
    "a component",
    {"title": _TITLE, "about": _ABOUT, "also": _ALSO,
     "zone": Field(_ref("zone"), "where it is"),
     "replaceable": Field(YesNo(), "yes: it can be replaced as a unit"),
     "access": Field(_names("access panel"), "panels to open to get at it"),
     "code": Field(_TEXT, "public component code, such as 2913"),
     "faults": Field(Section(Name(), _FAULT, "{worn: {rate: 1e-5}}"), "the ways in which it fails")},
)  # fmt: skip

_CARRIES = ("fluid", "air", "power", "signal", "shaft", "fuel", "heat", "light", "cable")
_FLOW = Either(
    Record("a flow line", {"path": Field(ListOf(_ref("component"), least=2), "what it passes", required=True),
                           "carries": Field(OneOf(_CARRIES), "what flows; default: fluid")}),
    ListOf(_ref("component"), least=2, example="[pump, filter]"),
)  # fmt: skip

_HIDDEN = ("condition", "fault", "quantity")
_SHOWN = (*_HIDDEN, "indication")
_READABLE = ("quantity", "indication", "fault")

_QUANTITY = Record(
    "a quantity",
    {"title": _TITLE, "about": _ABOUT, "also": _ALSO, "unit": _UNIT, "ranges": _RANGES,
     "zone": Field(_ref("zone"), "where it is felt or measured"),
     "levels": Field(_LEVELS, "its levels, quiet one first, worst last", required=True),
     "rules": Field(ListOf(_rule(_HIDDEN, ("quantity",))), "rows of a decision table; the first match wins"),
     "causes": Field(ListOf(_CAUSE), "what acts on it when no rule matches; the worst level wins"),
     "leak": Field(_CHANCES, "chance of a level with nothing modelled wrong"),
     "remember": Field(YesNo(), "yes: it keeps its worst level until reset"),
     "level_titles": Field(_TITLES, "words for people for each level")},
)  # fmt: skip

_KINDS = ("light", "message", "gauge", "sound", "trace", "feel", "button")
_READING = {
    "reads": Field(Ref(_READABLE), "what it shows; short for one rule {like: ...}"),
    "rules": Field(
        ListOf(_rule(_SHOWN, _READABLE), least=1), "rows of a decision table, the last without when"
    ),
    "outcomes": Field(_LEVELS, "what it can show, the quiet outcome first"),
    "unit": _UNIT,
    "ranges": _RANGES,
    "tolerance": _TOLERANCE,
    "outcome_titles": Field(_TITLES, "words for people for each outcome"),
}

_INDICATION = Record(
    "an indication",
    {"title": _TITLE, "about": _ABOUT, "also": _ALSO,
     "kind": Field(OneOf(_KINDS), "light, message, gauge, sound, trace, feel or button", required=True),
     "memory": Field(OneOf(("latched", "stored")), "how it keeps what it showed until reset"),
     "delay": Field(Duration(), "time until it shows, such as 20 s"),
     "misread": Field(CHANCE, "chance that it is misread"),
     "place": Field(_ref("zone"), "where it is seen or heard")} | _READING,
    exactly_one("an indication", "reads", "rules"),
)  # fmt: skip

_CHECK = Record(
    "a check",
    {"title": _TITLE, "about": _ABOUT, "also": _ALSO, "source": _SOURCE,
     "miss": Field(CHANCE, "chance that it shows the quiet outcome although another is right"),
     "false_alarm": Field(CHANCE, "chance that it shows another outcome although the quiet one is right"),
     "asks": Field(_TEXT, "the question that it puts to somebody")} | _READING | _WORK,
    exactly_one("a check", "reads", "rules"),
)  # fmt: skip

_VERIFY = Record(
    "verify",
    {"minutes": _MINUTES, "about": _ABOUT, "needs": _NEEDS,
     "checks": Field(_names("check"), "the checks that prove it"),
     "inspection": Field(YesNo(), "yes: an independent inspection is called for")},
)  # fmt: skip

_REPAIR = Record(
    "a repair",
    {"title": _TITLE, "about": _ABOUT, "also": _ALSO,
     "component": Field(_ref("component"), "the component that is replaced or serviced"),
     "clears": Field(_names("fault", "component"), "faults, or a component, that it cures", required=True),
     "fails": Field(CHANCE, "chance that it removes nothing"),
     "price": Field(Number(0, 1e12, "a price"), "what the parts cost, in any money"),
     "verify": Field(_VERIFY, "how it is proved")} | _WORK,
)  # fmt: skip

_DEFERRAL = Record(
    "a deferral",
    {"title": _TITLE,
     "covers": Field(_names("fault"), "the faults with which it may be put off", required=True),
     "interval": Field(_TEXT, "how long, such as 10 days"),
     "placard": Field(_TEXT, "what is placarded"),
     "provided": Field(_TEXT, "on which conditions"),
     "never_with": Field(_names("deferral"), "deferrals that must not be open together with it"),
     "allowed": Field(YesNo(), "no: it must not be put off")},
)  # fmt: skip

_HOURS = Field(Number(1e-6, 1e6, "a number of flight hours"), "prior of a fault = 1 - exp(-rate * hours)")


def _section(about: str, record: Record) -> Field:
    return Field(Section(Name(), record), about)


MODEL = Record(
    "a model",
    {
        "model": Field(Name(hyphens=True), "its short name, such as workshop-power-cart", required=True),
        "title": Field(_TEXT, "its name for people", required=True),
        "subject": Field(OneOf(("invented", "training_rig", "generic")), "invented, training_rig or generic",
                         required=True),
        "about": Field(_TEXT, "one or two sentences"),
        "author": Field(_TEXT, "who wrote it"),
        "reviewer": Field(_TEXT, "who reviewed it: another person"),
        "state": Field(OneOf(("draft", "reviewed", "withdrawn")), "draft, reviewed or withdrawn"),
        "version": Field(_TEXT, "its version"),
        "syllabus": Field(_TEXT, "what it serves in the syllabus"),
        "assume": Field(OneOf(("independent", "one fault")), "one fault, or independent faults"),
        "flight_hours_at_risk": _HOURS,
        "refer_minutes": Field(Number(0, 1e6, "a number of minutes"), "what it costs to stop and refer"),
        "repairs_need": Field(_CONDITIONS, "conditions in which repairs are made, unless one says otherwise"),
        "misread": Field(CHANCE, "chance that a seen indication is misread"),
        "conditions": _section("what is known and can be set", _CONDITION),
        "situations": _section("named sets of condition values", _SITUATION),
        "zones": _section("parts of the aircraft or rig", _place("a zone")),
        "access": _section("panels to open", _place("an access panel", "minutes", "zone")),
        "equipment": _section("ground equipment to fetch", _place("equipment", "minutes")),
        "people": _section("kinds of person", _place("a kind of person")),
        "cautions": _section("hazards and precautions", _CAUTION),
        "components": _section("what can fail, be replaced or serviced", _COMPONENT),
        "flow": Field(ListOf(_FLOW), "what feeds what"),
        "quantities": _section("hidden states with levels", _QUANTITY),
        "indications": _section("what can be seen or heard at no cost", _INDICATION),
        "checks": _section("what can be done to learn something", _CHECK),
        "repairs": _section("what removes faults", _REPAIR),
        "deferrals": _section("the training deferral sheet", _DEFERRAL),
    },
)  # fmt: skip
