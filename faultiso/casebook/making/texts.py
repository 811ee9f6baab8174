"""The texts of a drawn case, composed from the titles of its model."""

from __future__ import annotations

import re
from collections.abc import Iterator
from random import Random

from faultiso.base.figures import capital, listed
from faultiso.casebook.case import Seen
from faultiso.casebook.following import Followed
from faultiso.casebook.lints.giveaway import named_in
from faultiso.casebook.making.draw import Drawn
from faultiso.casebook.making.lessons import LESSONS, Lesson
from faultiso.model.system import Model

MOST_AIMS = 2
_REST_GOOD = (
    "All else as it should be.",
    "Nothing else out of the ordinary.",
    "The rest was looked at: good.",
)
_REST_OPEN = ("", "", "The rest was not looked at.", "No time to look at more.")
_END = ("", "", "Please look into it.", "For attention.")
_NOTHING = "Is there anything here that a good system would not show?"
WIRING = "97"  # the section of wiring in every chapter of the public code
_PLAIN_TITLES = ("Not as usual", "Written up once more", "Something for the day shift")


def shown_words(model: Model, sign: str, answer: str) -> str:
    """ "pressure 1 2,700 psi", "pump 1 caution lit"."""
    part = model.indications[sign]
    return f"{part.title} {part.outcome_titles.get(answer, answer.replace('_', ' '))}"


def write_up(model: Model, drawn: Drawn, random: Random) -> str:
    """The complaint as a crew would put it: where, what, what else."""
    visits = [_visit(model, seen) for seen in drawn.seen]
    text = visits[0] + "".join(f" Then {visit}" for visit in visits[1:])
    rest = random.choice(_REST_GOOD if drawn.seen[-1].others == "normal" else _REST_OPEN)
    return " ".join(part for part in (capital(text), rest, random.choice(_END)) if part)


def _visit(model: Model, seen: Seen) -> str:
    told = listed([shown_words(model, name, answer) for name, answer in seen.reports.items()])
    return f"{model.situations[seen.setting.situation].title}: {told}."


def title(model: Model, drawn: Drawn, random: Random) -> str:
    """The first report if it names nothing that is faulty, else words that say nothing."""
    seen = drawn.seen[0]
    told = [capital(shown_words(model, name, answer)) for name, answer in seen.reports.items()]
    where = capital(model.situations[seen.setting.situation].title)
    good = [text for text in (*told, where) if not named_in(text, model, drawn.truth)]
    return good[0] if good else random.choice(_PLAIN_TITLES)


def hints(model: Model, drawn: Drawn, way: Followed) -> list[str]:
    """Weak: the question of the lesson; stronger: a first step; strongest: where it is."""
    found = [lessons(drawn)[0].hint]
    if way.steps:
        found.append(f"A first step that pays: {way.steps[0].title}.")
    units = [model.components[model.faults[fault].component].title for fault in drawn.truth]
    strongest = f"Ask of each check what it says of this: {listed(units)}." if units else _NOTHING
    return [*found, strongest]


def lessons(drawn: Drawn) -> list[Lesson]:
    """What a case teaches: that of the kind that was asked for, then what its other kinds tell most."""
    kinds = dict.fromkeys(
        (*([drawn.asked] if drawn.asked else []), *(k for k in LESSONS if k in drawn.kinds))
    )
    return [LESSONS[kind] for kind in kinds][:MOST_AIMS]


def good_solution(model: Model, drawn: Drawn, way: Followed) -> str:
    """The best way in sentences, and what was wrong."""
    faults = [model.faults[name] for name in drawn.truth]
    wrong = [f"{model.components[fault.component].title}, {fault.title}" for fault in faults]
    truth = f"What is wrong: {'; '.join(wrong)}." if wrong else "Nothing is wrong."
    steps = " ".join(_sentences(model, way))
    end = "" if way.end == "verified" else f" {capital(way.end)}."
    return f"{truth} {steps}{end}".strip()


def _sentences(model: Model, way: Followed) -> Iterator[str]:
    for step in way.steps:
        if step.name in model.repairs:
            yield f"{capital(step.title)}, as the approved data say; proved as the complaint was."
        else:
            yield f"{capital(step.title)}: {step.outcome}."


def approved_data(model: Model, drawn: Drawn) -> str:
    """Chapter and section of what is faulty, where the model gives its public code."""
    codes = [model.components[model.faults[fault].component].code for fault in drawn.truth]
    code = next((code for code in codes if re.fullmatch("[0-9]{2,4}", code)), "")
    if len(code) < 3 or code[2:] == WIRING:
        return f"{code[:2]}-{WIRING}" if code[2:] == WIRING else code[:2]
    return f"{code[:2]}-{code[2]}0"
