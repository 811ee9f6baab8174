"""What each kind of case teaches: an aim, and a first hint that names no unit."""

from __future__ import annotations

from dataclasses import dataclass

from faultiso.base.nearest import listed, nearest
from faultiso.base.problems import UsageError
from faultiso.casebook.case import KINDS


@dataclass(frozen=True)
class Lesson:
    """The short name of an aim, its sentence, and the question with which a weak hint asks for it."""

    aim: str
    text: str
    hint: str


#: the kinds that can be drawn, each with its lesson; the most telling first
LESSONS = {
    "nothing wrong": Lesson(
        "normal_that_looks_wrong",
        "Some readings look wrong and are as they should be.",
        "What would a system in which nothing is wrong show in these conditions?",
    ),
    "intermittent": Lesson(
        "bring_it_out",
        "What comes and goes is looked for in what brings it out.",
        "What was different when it showed, and can that be brought about on the ground?",
    ),
    "double": Lesson(
        "two_at_once",
        "Two ordinary faults together can look like one rare one.",
        "Does one cause explain all that was reported, or does something stay over?",
    ),
    "latched": Lesson(
        "latched",
        "What has latched stays so, and says nothing of how things are now.",
        "Which of these signs tells of now, and which of the past?",
    ),
    "false indication": Lesson(
        "second_witness",
        "Two signs from different places part what is sensed from what senses it.",
        "Which other sign looks at the same thing from another place?",
    ),
    "misleading complaint": Lesson(
        "first_thought",
        "What is most likely at first is a candidate, not yet the fault.",
        "What else would give the same complaint, and where would the two differ?",
    ),
    "inhibited": Lesson(
        "inhibited_lights",
        "A light that is dark tells nothing where its cause is inhibited.",
        "Ask in which conditions this sign can speak at all.",
    ),
    "condition dependent": Lesson(
        "under_demand",
        "What is good at rest is proved only in the conditions of the complaint.",
        "In which conditions was it seen, and what do they ask of the system?",
    ),
    "single": Lesson(
        "halve_it",
        "A check is worth what it rules out for its minutes.",
        "What do these signs have in common, and which quick look halves it?",
    ),
}
AIMS = {lesson.aim: kind for kind, lesson in LESSONS.items()}


def wanted_kinds(kinds: tuple[str, ...], aims: tuple[str, ...]) -> frozenset[str]:
    """The kinds asked for, by name or by what they teach; UsageError for one that cannot be drawn."""
    for kind in kinds:
        if kind in KINDS and kind not in LESSONS:
            raise UsageError(f'a case of the kind "{kind}" is not drawn; it is written by hand')
        if kind not in LESSONS:
            raise _no_such("kind", kind, tuple(LESSONS))
    for aim in aims:
        if aim not in AIMS:
            raise _no_such("aim", aim, tuple(AIMS))
    return frozenset((*kinds, *(AIMS[aim] for aim in aims)))


def _no_such(what: str, word: str, words: tuple[str, ...]) -> UsageError:
    close = nearest(word, words)
    hint = f"; nearest: {close}" if close else ""
    return UsageError(f'there is no {what} "{word}" to draw; expected {listed(words)}{hint}')
