"""The conversation of ``faultiso marks confirm``: one session after the other, what needs a look first."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from faultiso.assessment.moderation import Marks, to_look_at
from faultiso.assessment.standing import Standing
from faultiso.base.problems import UsageError
from faultiso.cli.console import Console, open_console
from faultiso.report.pages.marks import session_page

HELP = "confirm; set CRITERION POINTS (then why); withdraw (then why); skip; quit"


def guide(
    marks: Marks, about: Sequence[Standing], by: str, shown: Callable[[str], str], answers: Path | None
) -> None:
    """Ask about each session that is neither confirmed nor withdrawn; what was decided is saved at once."""
    console, open_ = open_console(answers), to_look_at(about)
    if not open_:
        console.say("Nothing is left to confirm.")
    for place, each in enumerate(open_, 1):
        console.say(f"{place} of {len(open_)}")
        if not _decided(marks, each.seal, by, shown, console):
            return


def _decided(marks: Marks, seal: str, by: str, shown: Callable[[str], str], console: Console) -> bool:
    """Ask about one session until it is decided; False if the person quits."""
    console.show(session_page(marks.standing[seal], shown))
    while True:
        try:
            word, _, rest = _asked(marks.standing[seal], console).partition(" ")
            match word.casefold():
                case "confirm":
                    marks.confirm(seal, by)
                    return True
                case "set":
                    _set(marks, seal, rest, by, console)
                    console.show(session_page(marks.standing[seal], shown))
                case "withdraw":
                    marks.withdraw(seal, _reason(console), by)
                    return True
                case "skip" | "quit":
                    return word.casefold() == "skip"
                case _:
                    console.say(f"Expected: {HELP}.")
        except UsageError as slip:
            console.say(str(slip))


def _asked(standing: Standing, console: Console) -> str:
    """Enter confirms, but never past something that has to be looked at."""
    question = f"marks of {standing.called}"
    if standing.attention or standing.gates:
        return console.ask("Type confirm, set, withdraw, skip or quit > ", question).strip()
    return console.ask("Enter confirms; or set, withdraw, skip, quit > ", question).strip() or "confirm"


def _set(marks: Marks, seal: str, rest: str, by: str, console: Console) -> None:
    name, _, points = rest.replace("=", " ").strip().rpartition(" ")
    try:
        number = float(points)
    except ValueError:
        raise UsageError("Expected set CRITERION POINTS, say set evidence 4.") from None
    marks.judge(seal, name, number, "for now", by)
    marks.change(seal, name, number, _reason(console), by)


def _reason(console: Console) -> str:
    return console.ask("Why? > ", "the reason")
