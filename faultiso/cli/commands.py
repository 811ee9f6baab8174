"""The table of commands."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Command:
    """A sub-command: ``home`` is "module:name" of a function, or of a group of further commands.

    ``example`` and ``summary`` share a line of the help. ``start`` is its line on the start page, if a
    person may begin there, and ``begins`` what is run then.
    """

    name: str
    home: str
    summary: str
    example: str
    start: str = ""
    begins: str = ""


COMMANDS: tuple[Command, ...] = (
    Command(
        "practice",
        "faultiso.cli.practice:practice",
        "work a hidden fault",
        "faultiso practice first-light",
        "work a first case with a coach",
        "faultiso practice first-light",
    ),
    Command(
        "isolate",
        "faultiso.cli.isolate:isolate",
        "find a fault step by step",
        "faultiso isolate workshop-power-cart",
        "isolate a fault from your own readings",
        "faultiso isolate",
    ),
    Command(
        "resume",
        "faultiso.cli.resume:resume",
        "go on with a session",
        "faultiso resume 3",
        "go on where you stopped",
        "faultiso resume",
    ),
    Command(
        "rank",
        "faultiso.cli.rank:rank_command",
        "faults and checks, once, ranked",
        "faultiso rank tug.yaml --observe light=lit",
    ),
    Command(
        "chart",
        "faultiso.cli.chart:chart_command",
        "the whole plan, to print",
        "faultiso chart tug.yaml --observe light=lit",
    ),
    Command(
        "model",
        "faultiso.cli.model:group",
        "write, check, compare, export",
        "faultiso model check tug.yaml",
        "see which models there are",
        "faultiso model list",
    ),
    Command(
        "testability",
        "faultiso.cli.testability:testability_command",
        "what a model's signs can tell",
        "faultiso testability tug.yaml",
    ),
    Command(
        "case",
        "faultiso.cli.case:group",
        "list, check, draw, seal",
        "faultiso case check first-light.yaml",
        "see which cases there are",
        "faultiso case list",
    ),
    Command(
        "grade",
        "faultiso.cli.grade:grade",
        "marks of a session, of a class",
        "faultiso grade 3",
    ),
    Command(
        "hand-in",
        "faultiso.cli.hand_in:hand_in",
        "log and model as one file",
        "faultiso hand-in 3 --to folder",
    ),
    Command(
        "marks",
        "faultiso.cli.marks:group",
        "confirm marks, grade again",
        "faultiso marks confirm marks.jsonl",
    ),
    Command(
        "where",
        "faultiso.cli.where:where",
        "where your files are",
        "faultiso where",
        "see where your files are",
        "faultiso where",
    ),
)
