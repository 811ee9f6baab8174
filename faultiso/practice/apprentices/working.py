"""A case worked by a simulated apprentice, question by question, to an ordinary end."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from faultiso.base.problems import UsageError
from faultiso.casebook.case import Case
from faultiso.model.system import Model
from faultiso.practice import hazards
from faultiso.practice.apprentices.apprentice import Apprentice
from faultiso.practice.apprentices.choosing import DEFER, FINISH, HAND_OVER, VERIFY, choose
from faultiso.practice.apprentices.mind import Mind
from faultiso.practice.apprentices.room import Room
from faultiso.practice.practice import Practice
from faultiso.practice.terms import Terms
from faultiso.session.desk import Lines, Log
from faultiso.session.state import State

MOST_LINES = 240  # questions answered, after which the work is handed over as it is
MOST_REFUSED = 5  # choices that came to nothing, one after the other
STATED_UNITS = 3
TYPED = (VERIFY, FINISH, DEFER)


def work(
    case: Case,
    model: Model,
    apprentice: Apprentice,
    log: Log | None = None,
    terms: Terms | None = None,
    room: Room | None = None,
) -> Practice:
    """The case worked to its end, in quiet mode unless ``terms`` say otherwise.

    ``log``: by default it is kept in memory; ``room``: what is shared with other sessions of the same case.
    """
    room = room or Room(case, model)
    play = room.begin(Lines() if log is None else log, terms or Terms("quiet"))
    mind, refused = Mind(room, apprentice), 0
    for _ in range(MOST_LINES):
        if play.ended or refused >= MOST_REFUSED:
            break
        refused = 0 if _answered(play, mind) else refused + 1
    if not play.ended:
        play.do(HAND_OVER)
    return play


def _answered(play: Practice, mind: Mind) -> bool:
    """Answer one question; whether anything came of it."""
    before, written = play.desk.state, len(play.desk.log.entries)
    asked = play.question().name
    if asked == "work":
        _take_up(play, choose(mind, before), mind)
    else:
        play.take(_ANSWERS[asked](mind, before))
        if len(play.desk.log.entries) == written:
            play.take("")
    mind.hear(before, play.desk.state)
    return len(play.desk.log.entries) > written


def _take_up(play: Practice, chosen: str, mind: Mind) -> None:
    written = len(play.desk.log.entries)
    if chosen.partition(" ")[0] in TYPED:
        play.take(chosen)
    else:
        try:
            play.do(chosen)
            play.settle()
        except UsageError:
            pass
    if len(play.desk.log.entries) == written:
        mind.refused.add(chosen)


# the other questions


def _hazards(mind: Mind, state: State) -> str:
    """The numbers of the hazards that belong to the step, less those that are left out."""
    pick = state.pick
    assert pick is not None
    own = {name for name, _ in pick.cautions}
    kept = [
        str(number)
        for number, name in enumerate(hazards.offered(mind.model, pick), 1)
        if name in own and not mind.chance.happens("precaution", mind.apprentice.skipped_precautions)
    ]
    return " ".join(kept)


def _belief(mind: Mind, state: State) -> str:
    """The leading units in per cent; who does not reason names one of them, surely."""
    units = list(mind.room.units(mind.understood(state)).items())[:STATED_UNITS]
    if mind.chance.happens("reasoned belief", mind.apprentice.skill):
        whole = sum(p for _, p in units)  # several faults at once may come to more than 1
        return ", ".join(
            f"{name} {percent}" for name, p in units if (percent := int(100 * p / max(whole, 1))) > 0
        )
    name, _ = mind.chance.one_of("which unit", units)
    return f"{name} {mind.chance.one_of('how sure', (50, 60, 70, 80, 90))}"


def _reference(mind: Mind, state: State) -> str:
    """Chapter and section of the unit by the model's component codes, or those of another unit."""
    pick = state.pick
    assert pick is not None
    own = _chapters(mind.model, pick.name)
    wrong = mind.chance.happens("reference", mind.apprentice.wrong_references)
    if not wrong:
        return own[0] if own else f"task for {pick.name.replace('_', ' ')}"
    codes = {_chapter(part.code) for part in mind.model.components.values() if part.code}
    others = sorted(codes - set(own))
    return mind.chance.one_of("which reference", others) if others else "nk"


def _chapters(model: Model, repair: str) -> list[str]:
    """Chapters of what a repair mends, its own unit first."""
    made = model.repairs[repair]
    parts = dict.fromkeys([made.component, *(model.faults[fault].component for fault in made.clears)])
    codes = [model.components[name].code for name in parts if name in model.components]
    return list(dict.fromkeys(_chapter(code) for code in codes if code))


def _chapter(code: str) -> str:
    """ "2913" -> "29-13"."""
    return f"{code[:2]}-{code[2:4]}"


def _inspection(mind: Mind, state: State) -> str:
    return "2" if mind.chance.happens("inspection", mind.apprentice.impatience) else "1"


_ANSWERS: Mapping[str, Callable[[Mind, State], str]] = {
    "belief": _belief,
    "hazards": _hazards,
    "ready": lambda mind, state: "ready",
    "reference": _reference,
    "inspection": _inspection,
}
