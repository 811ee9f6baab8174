"""The shape of a case file: one table from which reading, messages and the JSON Schema all come."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from faultiso.casebook.case import ENDS, KINDS, LEVELS, STAGES, VOICES
from faultiso.language.groups import Field, ListOf, Record, Settings, Table
from faultiso.language.kinds import Name, Number, OneOf, Reader, Ref, Schema, Text, YesNo, found
from faultiso.language.nodes import Node, Word

MOST_SEEN, MOST_PINS, MOST_LINES, MOST_HINTS = 8, 20, 40, 3
LARGEST_SEED = 2**31 - 1


@dataclass(frozen=True)
class Spelling:
    """A text of a fixed form; ``what`` names the form, with an example."""

    pattern: str
    what: str

    def read(self, node: Node, reader: Reader) -> Word | None:
        if isinstance(node, Word) and re.fullmatch(self.pattern, node):
            return node
        reader.wrong("shape", node.where, f"expected {self.what}; found {found(node)}")
        return None

    def schema(self) -> Schema:
        return {"type": ["string", "number"], "pattern": f"^{self.pattern}$"}


_TEXT = Text()
_LINES = ListOf(_TEXT, least=1, most=MOST_LINES)
_SIGNS = Table(Ref(("indication", "check")), _TEXT, "{pump_1_caution: lit}")
_DIFFERS = Field(Settings(), "conditions that differ from the situation")
_SITUATION = Field(Ref(("situation",)), "a situation of the model", required=True)

_SEEN = Record(
    "a report",
    {"situation": _SITUATION,
     "differs": _DIFFERS,
     "reports": Field(_SIGNS, "what was seen: an outcome, a number with its unit, or nk", required=True),
     "others": Field(OneOf(("normal", "unknown")), "what all other indications were; default: unknown")},
)  # fmt: skip

_NOW = Record("now", {"situation": _SITUATION, "differs": _DIFFERS})

_PIN = Record(
    "a pin",
    {"situation": Field(Ref(("situation",)), "a situation of the model; default: as things stand now"),
     "differs": _DIFFERS,
     "shows": Field(_SIGNS, "what is read then: an outcome, or a number with its unit", required=True)},
)  # fmt: skip

_AIM = Record(
    "an aim",
    {"aim": Field(Name(), "a short name, the same in every case with this aim", required=True),
     "text": Field(_TEXT, "what is learned, in a sentence", required=True),
     "syllabus": Field(_TEXT, "the place in the syllabus")},
)  # fmt: skip

CASE = Record(
    "a case",
    {
        "case": Field(Name(hyphens=True), "its short name, the same as that of its file", required=True),
        "title": Field(_TEXT, "what people call it; gives nothing away", required=True),
        "model": Field(_TEXT, "the name of a model, or a path from the folder of this file", required=True),
        "stage": Field(OneOf(STAGES), "for whom it is", required=True),
        "difficulty": Field(OneOf(LEVELS), "as case check computes it"),
        "kinds": Field(ListOf(OneOf(KINDS), least=1), "what kind of case it is, for the instructor",
                       required=True),
        "write_up": Field(_TEXT, "the complaint as the crew worded it", required=True),
        "seen": Field(ListOf(_SEEN, least=1, most=MOST_SEEN, example="[{situation: parked}]"),
                      "what the crew reported, in which conditions", required=True),
        "now": Field(_NOW, "how things stand when the work begins", required=True),
        "truth": Field(ListOf(Ref(("fault",)), most=8), "the faults that are present; [] = nothing is wrong",
                       required=True),
        "seed": Field(Number(0, LARGEST_SEED, "a seed", whole=True), "the number of the draw that answers",
                      required=True),
        "pins": Field(ListOf(_PIN, most=MOST_PINS), "readings that are fixed by hand"),
        "beyond_model": Field(YesNo(), "yes: the model cannot explain what is read; the right end is refer"),
        "says": Field(Table(Ref(("check", "voice")), _LINES, "{crew: It came on at once.}"),
                      f"what is said when asked, by check, or under {', '.join(VOICES)}"),
        "aims": Field(ListOf(_AIM, least=1, most=8), "what is learned", required=True),
        "approved_data": Field(Spelling(r"[0-9]{2}(-[0-9]{2})?", "chapter and section such as 29-10"),
                               "the chapter that is to be named, by the public code"),
        "prescribed_order": Field(ListOf(Ref(("check",)), most=MOST_LINES), "checks in a prescribed order"),
        "no_spare": Field(ListOf(Ref(("repair",)), most=MOST_LINES),
                          "repairs for which no part is in the store"),
        "critical_precautions": Field(ListOf(Ref(("caution",)), most=MOST_LINES),
                                      "cautions of the model whose omission fails the case"),
        "hints": Field(ListOf(_TEXT, least=1, most=MOST_HINTS), "weak, stronger, strongest", required=True),
        "good_solution": Field(_TEXT, "a good way through, for the debrief", required=True),
        "right_end": Field(OneOf(ENDS), "how the work should end", required=True),
        "author": Field(_TEXT, "who wrote it", required=True),
        "reviewer": Field(_TEXT, "who reviewed it: another person"),
        "state": Field(OneOf(("draft", "reviewed", "withdrawn")), "draft, reviewed or withdrawn"),
        "version": Field(_TEXT, "its version", required=True),
        "model_version": Field(_TEXT, "the version of the model that it was tried with"),
        "model_digest": Field(Spelling("[0-9a-f]{8,64}", "8 to 64 characters of a digest such as 1f09ab27"),
                              "the digest of that model, or how it begins"),
        "notes": Field(_TEXT, "for authors and instructors"),
    },
)  # fmt: skip


def json_schema() -> dict[str, Any]:
    """The shape as JSON Schema, draft 2020-12, so that an editor completes and checks while you write."""
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "faultiso case"}
    return head | {"description": "A training aid; not approved maintenance data."} | CASE.schema()
