"""The commands of practice. What was answered has happened: there is no undo, and nothing is ranked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from faultiso.base.problems import UsageError
from faultiso.base.text import one_line
from faultiso.belief.observed import sign_of
from faultiso.practice import ending
from faultiso.practice.believing import belief_facts, stated_in
from faultiso.practice.sheet import sheet
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.answering import begin_with, offered, set_conditions
from faultiso.session.commands import settable_things
from faultiso.session.prompt import MOST_SHOWN, Choices, Command
from faultiso.session.replies import Facts, Listing, Proposal, Reply, Said
from faultiso.session.search import Findable, search
from faultiso.session.views import for_name, proof_proposal, restore_of

if TYPE_CHECKING:
    from faultiso.practice.practice import Practice

Replies = tuple[Reply, ...]

HINT_MINUTES = 10.0
ASK_MINUTES = 2.0
ALWAYS = ("help", "data", "ref", "note", "dispute", "quit")
WORK = (
    *ALWAYS, "ask", "believe", "hint", "set", "restore", "repair", "verify", "finish", "defer", "refer",
    "undo", "why", "rank",
)  # fmt: skip
CLASSROOM = ("vote", "back")
VOICES = {
    "crew": "the crew",
    "log": "the log of earlier write-ups",
    "uplift": "the fluid uplift record",
    "colleague": "a colleague",
}

HELP = (
    ("letters", "find a check, a look or a repair; a number picks from the list"),
    ("ask", "ask the crew, read the log or the uplift record"),
    ("data", "the data sheet: what is normal, what each light means when"),
    ("set, restore", "bring a condition to a value; put back what work left set"),
    ("believe", "say what you believe, in per cent: believe filter 50, switch 20"),
    ("hint", f"a hint from a colleague; {HINT_MINUTES:.0f} min on the job's clock each"),
    ("ref", "name the approved data that you would open"),
    ("repair, verify", "change or service something; prove it"),
    ("finish, defer, refer", "end the work"),
    ("note, dispute", "a line for the record; dispute the last reading"),
    ("quit", "save and leave"),
)


def run(play: Practice, command: Command) -> Replies:
    """What a command does. UsageError: one sentence, and the same question."""
    return _COMMANDS[command.name](play, command.rest)


def _help(play: Practice, rest: str) -> Replies:
    more = (("vote, back", "count hands for the next step; go back to before a step"),)
    lines = [line for line in HELP if play.mode != "examination" or line[0] != "hint"]
    return (Facts("What can be typed", (*lines, *(more if play.mode == "classroom" else ()))),)


def _data(play: Practice, rest: str) -> Replies:
    return sheet(play.desk.model, rest)


def _reference(play: Practice, rest: str) -> Replies:
    if not rest:
        raise UsageError("ref, then the chapter or task that you would open.")
    play.desk.record(kinds.REFERENCED, text=rest)
    return (Said("Kept as typed.", indent=2),)


def _note(play: Practice, rest: str) -> Replies:
    if not rest:
        raise UsageError("note, then the line that is to stand in the record.")
    play.desk.record(kinds.NOTED, text=rest)
    return (Said("Noted.", indent=2),)


def _dispute(play: Practice, rest: str) -> Replies:
    """The last reading that was shown, disputed; an instructor will see it first."""
    log = play.desk.log.entries
    last = next((e for e in reversed(log) if e.event in (kinds.READ, kinds.REPORTED)), None)
    if last is None:
        raise UsageError("Nothing has been read yet.")
    sign = str(last.data["sign"])
    play.desk.record(kinds.DISPUTED, line=last.number, sign=sign, text=one_line(rest, 500))
    title = sign_of(play.desk.model, sign).title
    return (Said(f"Kept: you dispute {title} {last.data.get('words', '')}. The work goes on.", indent=2),)


def _ask(play: Practice, rest: str) -> Replies:
    checks = tuple(Findable(c.name, c.title, c.also) for c in play.desk.model.checks.values() if c.asks)
    asked = (*voices(play), *checks)
    found = search(rest, asked) if rest else asked
    if not found:
        raise UsageError(f'Nobody and no record is called "{rest[:40]}".')
    if len(found) > 1:
        return offered(play.desk, Choices(found[:MOST_SHOWN], max(0, len(found) - MOST_SHOWN)))
    return ask_of(play, found[0].name)


def voices(play: Practice) -> tuple[Findable, ...]:
    """Who and what can be asked beside the checks that ask, each with its minutes."""
    price = words.minutes_words(ASK_MINUTES)
    return tuple(Findable(name, VOICES[name], note=price) for name in VOICES if _can_be_asked(play, name))


def _can_be_asked(play: Practice, name: str) -> bool:
    """The crew by the model's own questions, where it has them; a colleague if there is something to say."""
    if name == "crew":
        return not any(check.asks for check in play.desk.model.checks.values())
    return name != "colleague" or bool(play.case.says.get("colleague"))


def ask_of(play: Practice, name: str) -> Replies:
    """What a voice says, at its minutes; a check that asks is a check like others."""
    if name not in VOICES:
        return play.do(name)
    says = play.case.says.get(name, ()) or ("Nothing more than what is written.",)
    play.desk.record(kinds.ASKED, whom=name, says=list(says), minutes=ASK_MINUTES)
    return tuple(Said(line, indent=2) for line in says)


def _hint(play: Practice, rest: str) -> Replies:
    hints, given = play.case.hints, play.desk.state.hints
    if play.mode == "examination":
        raise UsageError("There are no hints in an examination.")
    if given >= len(hints):
        raise UsageError("There are no more hints.")
    play.desk.record(kinds.HINTED, number=given + 1, text=hints[given], minutes=HINT_MINUTES)
    return (Said(f"{hints[given]} ({HINT_MINUTES:.0f} min)", indent=2),)


def _believe(play: Practice, rest: str) -> Replies:
    says = stated_in(play.desk.model, rest)
    play.desk.record(kinds.BELIEVED, says=says, before="")
    return (belief_facts(play.desk.model, says),)


def _set(play: Practice, rest: str) -> Replies:
    places, things = settable_things(play.desk)
    found = search(rest.replace("=", " "), (*places, *things)) if rest else places
    if not found:
        raise UsageError("set, then letters of a condition and of its value: set mains on.")
    if len(found) > 1:
        return offered(play.desk, Choices(found[:MOST_SHOWN], max(0, len(found) - MOST_SHOWN)))
    return set_named(play, found[0].name)


def set_named(play: Practice, name: str) -> Replies:
    """Bring a condition to a value, named "condition=value", or all of a situation, named "=situation"."""
    condition, _, value = name.partition("=")
    wanted = {condition: value}
    if not condition:
        values = play.desk.model.situations[value].values
        wanted = words.differing(play.desk.state.course.conditions, values)
    if not wanted:
        return (Said("It is so already."),)
    return set_conditions(play.desk, wanted, echo=True)


def _restore(play: Practice, rest: str) -> Replies:
    names = tuple(play.desk.state.unrestored)
    if not names:
        return (Said("Everything is restored."),)
    things = [Findable(name, play.desk.model.conditions[name].title) for name in names]
    found = search(rest, things) if rest else tuple(things)
    if not found:
        raise UsageError(f'Nothing that is open is called "{rest[:40]}".')
    return begun(play, restore_of(play.desk, found[0].name))


def _repair(play: Practice, rest: str) -> Replies:
    model = play.desk.model
    things = tuple(Findable(r.name, r.title, r.also) for r in model.repairs.values())
    if not rest:
        raise UsageError("repair, then letters of what is to be changed or serviced.")
    found = search(rest, things)
    if not found:
        raise UsageError(f'No repair is called "{rest[:40]}".')
    if len(found) > 1:
        return offered(play.desk, Choices(found[:MOST_SHOWN], max(0, len(found) - MOST_SHOWN)))
    return begin_with(play.desk, for_name(play.desk, "repair", found[0].name), echo=True)


def _verify(play: Practice, rest: str) -> Replies:
    if play.desk.state.last_repair is None:
        raise UsageError("Nothing has been repaired yet.")
    return begun(play, proof_proposal(play.desk))


def begun(play: Practice, proposal: Proposal) -> Replies:
    """Take it up; what cannot be done from here is said, and finish offers to hand it over."""
    if proposal.kind == "hand over":
        return (Said(f"{words.capital(proposal.reason)}. finish offers to hand it over."),)
    return begin_with(play.desk, proposal, echo=True)


def _finish(play: Practice, rest: str) -> Replies:
    return ending.finish(play.desk)


def _refer(play: Practice, rest: str) -> Replies:
    return ending.end_as(play.desk, "refer") or ()


def _defer(play: Practice, rest: str) -> Replies:
    return ending.defer(play.desk, rest)


def _quit(play: Practice, rest: str) -> Replies:
    play.desk.record(kinds.LEFT)
    return (Said("Saved. Go on with: faultiso resume"),)


def _never(play: Practice, rest: str) -> Replies:
    raise UsageError("No: in practice what was answered has happened, and what comes next is your choice.")


def _vote(play: Practice, rest: str) -> Replies:
    """ "vote gauge 12, quantity 5": hands for each; the choice remains with who leads the class."""
    if not rest:
        raise UsageError("vote, then letters and hands for each: vote test gauge 12, quantity 5.")
    options, counts = [], []
    for part in filter(None, (piece.strip() for piece in rest.split(","))):
        letters, _, number = part.rpartition(" ")
        if not letters or not (number.isascii() and number.isdigit()):
            raise UsageError(f'"{part[:40]}": letters of something that can be done, then the hands for it.')
        options.append(_meant(play, letters))
        counts.append(int(number[:6]))
    play.desk.record(kinds.VOTED, options=options, counts=counts)
    ranked = sorted(zip(counts, options, strict=True), reverse=True)
    titles = {thing.name: thing.title for thing in play.things()}
    play.desk.choices = tuple(Findable(name, titles[name]) for _, name in ranked)
    rows = tuple((titles[name], f"{count} {'hand' if count == 1 else 'hands'}") for count, name in ranked)
    return (Listing(rows, title="The class would do", hint="a number does it"),)


def _meant(play: Practice, letters: str) -> str:
    """The one thing that the letters of a vote mean."""
    found = search(letters, play.things())
    if not found:
        raise UsageError(f'Nothing that can be done is called "{letters[:40]}".')
    if len(found) > 1:
        titles = "; ".join(thing.title for thing in found[:3])
        raise UsageError(f'"{letters[:40]}" fits {len(found)} things: {titles}. More letters, please.')
    return found[0].name


def _back(play: Practice, rest: str) -> Replies:
    deeds = play.desk.state.deeds
    if not deeds:
        raise UsageError("Nothing was done yet.")
    if not rest:
        rows = tuple((words.deed_title(play.desk.model, d.what, d.name), d.answer) for d in deeds)
        return (Listing(rows, title="What was done", hint="back, then the number to go back to before it"),)
    if not (rest.isascii() and rest.isdigit() and 1 <= int(rest[:6]) <= len(deeds)):
        raise UsageError(f"back, then a number from 1 to {len(deeds)}.")
    play.desk.record(kinds.STEPPED_BACK, line=play.begun_at(int(rest) - 1))
    return (Said(f"Back to {words.minutes_words(play.desk.state.minutes)}. The log keeps both ways."),)


_COMMANDS: Mapping[str, Callable[[Practice, str], Replies]] = {
    "help": _help, "data": _data, "ref": _reference, "note": _note, "dispute": _dispute, "ask": _ask,
    "hint": _hint, "believe": _believe, "set": _set, "restore": _restore, "repair": _repair,
    "verify": _verify, "finish": _finish, "defer": _defer, "refer": _refer, "quit": _quit,
    "undo": _never, "why": _never, "rank": _never, "vote": _vote, "back": _back,
}  # fmt: skip
