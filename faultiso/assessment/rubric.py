"""Rubric files: weights, gates and thresholds by which a session becomes proposed marks."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from faultiso.assessment.grade import CRITERIA
from faultiso.base.nearest import nearest
from faultiso.base.problems import InvalidModel, UsageError
from faultiso.language.groups import Field, Record
from faultiso.language.kinds import Name, Number, OneOf, Reader, Text, YesNo
from faultiso.language.nodes import Refused
from faultiso.language.sources import Sources, file_bytes
from faultiso.model.system import Review

SHIPPED = ("default", "examination")
THRESHOLDS = {
    "enough_belief": 0.8, "least_belief": 0.2, "one_witness": 0.7, "stopped_short": 0.25,
    "half_mended": 0.5, "data_only_named": 0.6, "minutes_for_all": 1.0,
}  # fmt: skip
REVIEW = ("author", "reviewer", "state", "version")
GATES = ("critical_precautions", "unrestored")
_WEIGHTS = Record("weights", {name: Field(Number(0, 100, "a weight"), "per cent") for name in CRITERIA})
_GATES = Record("gates", {name: Field(YesNo(), "whether it fails a session") for name in GATES})
_LIMITS = Record(
    "thresholds", {name: Field(Number(0, 100, "a share"), "see the file") for name in THRESHOLDS}
)
RUBRIC = Record(
    "a rubric",
    {
        "rubric": Field(Name(hyphens=True), "its short name", required=True),
        "title": Field(Text(), "what people call it", required=True),
        "author": Field(Text(), "who wrote it"),
        "reviewer": Field(Text(), "another person"),
        "state": Field(OneOf(("draft", "reviewed", "withdrawn")), "how far it is"),
        "version": Field(Text(), "of the rubric"),
        "pass_mark": Field(Number(0, 100, "a mark"), "from which a session is passed", required=True),
        "weights": Field(_WEIGHTS, "per cent by criterion; 0 leaves one out", required=True),
        "gates": Field(_GATES, "what fails a session whatever the total"),
        "thresholds": Field(_LIMITS, "figures of the criteria"),
    },
)


@dataclass(frozen=True)
class Rubric:
    """``digest``: SHA-256 of the text, by which marks know it."""

    name: str
    title: str
    pass_mark: float
    weights: Mapping[str, float]
    gates: Mapping[str, bool]
    thresholds: Mapping[str, float]
    review: Review = field(default_factory=Review)
    digest: str = ""


@cache
def shipped_rubric(name: str = "default") -> Rubric:
    """A rubric that comes with faultiso."""
    return read_rubric(Path(str(files("faultiso.assessment") / "rubrics" / f"{name}.yaml")))


def find_rubric(named: str) -> Rubric:
    """The rubric of that file or of that name; InvalidModel with everything that is wrong with it."""
    if named in SHIPPED:
        return shipped_rubric(named)
    path = Path(named)
    if not named.endswith((".yaml", ".yml")):
        close = nearest(named, SHIPPED)
        hint = f"; nearest: {close}" if close else ""
        raise UsageError(
            f'no rubric is called "{named}"; expected {", ".join(SHIPPED)} or a .yaml file{hint}'
        )
    return read_rubric(path)


def read_rubric(path: Path) -> Rubric:
    """The rubric in a file; InvalidModel with every problem of it in one run."""
    file = str(path)
    sources = Sources(what="rubric")
    try:
        data = file_bytes(path, file, "rubric")
        tree = sources.tree(data, file)
    except Refused as refused:
        raise InvalidModel((refused.problem,)) from None
    reader = Reader(sources.problems)
    raw = (RUBRIC.read(tree, reader) if tree is not None else None) or {}
    if not sources.problems:
        _judge(raw, reader)
    if sources.problems:
        raise InvalidModel(tuple(sorted(sources.problems, key=lambda problem: problem.where)))
    return _built(raw, hashlib.sha256(data).hexdigest())


def _judge(raw: Mapping[str, Any], reader: Reader) -> None:
    total = sum(raw["weights"].get(name, 0.0) for name in CRITERIA)
    if abs(total - 100) > 1e-6:
        where = raw["rubric"].where
        reader.wrong("sum", where, f"the weights sum to {total:g}, not to 100")
    limits = {**THRESHOLDS, **raw.get("thresholds", {})}
    if limits["least_belief"] >= limits["enough_belief"]:
        reader.wrong("order", raw["rubric"].where, "least_belief must be below enough_belief")


def _built(raw: Mapping[str, Any], digest: str) -> Rubric:
    texts: dict[str, Any] = {key: str(raw[key]) for key in REVIEW if key in raw}
    limits = raw.get("thresholds", {})
    return Rubric(
        name=str(raw["rubric"]),
        title=str(raw["title"]),
        pass_mark=float(raw["pass_mark"]),
        weights={name: float(raw["weights"].get(name, 0.0)) for name in CRITERIA},
        gates={name: bool(raw.get("gates", {}).get(name, True)) for name in GATES},
        thresholds={name: float(limits.get(name, usual)) for name, usual in THRESHOLDS.items()},
        review=Review(**texts),
        digest=digest,
    )
