"""The question that is open in practice, from the log alone: a session that was stopped asks it again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from faultiso.base.numbers import show_number
from faultiso.practice import hazards
from faultiso.practice.commands import ALWAYS, CLASSROOM, WORK, voices
from faultiso.session.asking import inspection, inspection_open
from faultiso.session.prompt import Offer
from faultiso.session.replies import Listing, Question, Reply, Said, Warned
from faultiso.session.state import Pick

if TYPE_CHECKING:
    from faultiso.practice.practice import Practice

BELIEF = "What do you believe? Letters of a unit, then per cent, commas between; Enter: nothing to say."
HAZARDS = "Which hazards belong to it? Numbers with blanks between, Enter for none."
READY = "Type ready to do it, Enter to choose again"
DATA = "Approved data you would open for this (chapter or task; nk: not known)"


def question(play: Practice) -> Question:
    """What is asked now."""
    state = play.desk.state
    if state.pick is not None:
        return _about_pick(play, state.pick)
    if state.repairs and inspection_open(play.desk):
        return inspection(play.desk)
    return _work(play)


def _key(play: Practice) -> tuple[object, ...]:
    return (len(play.desk.log.entries),)


def _about_pick(play: Practice, pick: Pick) -> Question:
    model, key = play.desk.model, _key(play)
    if play.asks_belief:
        return Question("belief", "> ", key, Offer(("quit", "help", "data")), (Said(BELIEF),))
    if play.names_hazards and hazards.to_be_named(play.desk.state):
        titles = tuple((model.cautions[name].title, "") for name in hazards.offered(model, pick))
        return Question("hazards", "Numbers > ", key, Offer(("quit",)), (Said(HAZARDS), Listing(titles)))
    if not pick.ready:
        return Question("ready", f"{READY} > ", key, Offer(ALWAYS), _cautions(play, pick))
    return Question("reference", "> ", key, Offer(("quit", "help", "data")), (Said(DATA),))


def _cautions(play: Practice, pick: Pick) -> tuple[Reply, ...]:
    """The cautions of what is about to be done: in full once for each set of conditions."""
    told = play.desk.state.told
    new = tuple(sorted({name for name, where in pick.cautions if (name, where) not in told}))
    again = tuple(sorted({name for name, _ in pick.cautions} - set(new)))
    return (Warned(new, again),)


def _work(play: Practice) -> Question:
    minutes = f"{show_number(round(play.desk.state.minutes))} min"
    commands = (*WORK, *(CLASSROOM if play.mode == "classroom" else ()))
    offer = Offer(commands, play.desk.choices, (*play.things(), *voices(play)))
    return Question("work", f"{minutes} > ", ("work", *_key(play)), offer, play.time_words())
