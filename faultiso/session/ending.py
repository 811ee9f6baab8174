"""The ways in which work ends. With anything not restored it cannot end as complete."""

from __future__ import annotations

from faultiso.model.parts import Deferral
from faultiso.session import events as kinds
from faultiso.session import words
from faultiso.session.desk import Desk
from faultiso.session.replies import Listing, Reply, Said
from faultiso.session.search import Findable
from faultiso.session.state import State

RECTIFIED = "rectified and verified"
NO_FAULT_FOUND = "no fault found"
REFERRED = "referred"
DEFERRED = "deferred"
HANDED_OVER = "handed over with open items"
UNFINISHED = "unfinished"
LEADS = 0.5  # from this chance on a set of faults leads clearly enough to be deferred


def open_items(state: State) -> tuple[str, ...]:
    """What another shift would have to finish, one sentence each."""
    found = [f"not restored: {words.value_words(state.model, n, v)}" for n, v in state.unrestored.items()]
    last = state.last_repair
    if last is not None:
        title = state.model.repairs[last.name].title
        if last.proof != "passed":
            found.append(f"not proved: {title}")
    for repair in state.repairs:
        if repair.inspected == "not yet":
            found.append(f"not inspected by a second person: {state.model.repairs[repair.name].title}")
    return tuple(found)


def finish(desk: Desk) -> tuple[Reply, ...]:
    """End the work as complete, or say what stands against it and offer the ways on."""
    state = desk.state
    if state.unrestored:
        return not_yet(desk)
    left = open_items(state)
    last = state.last_repair
    if last is not None and not left:
        titles = dict.fromkeys(desk.model.repairs[repair.name].title for repair in state.repairs)
        return _ended(desk, RECTIFIED, "; ".join(titles))
    if last is None and desk.belief.possible and desk.belief.none_modelled > 0.5:
        return no_fault_found(desk)
    desk.choices = (Findable("hand over", "hand it over as it is"), Findable("refer", "refer it"))
    why = "; ".join(left) or "no repair is made and proved"
    said = Said(f"Not complete: {why}. Enter goes on with the work, or:")
    return (said, Listing((("hand it over as it is", ""), ("refer it", ""))))


def not_yet(desk: Desk) -> tuple[Reply, ...]:
    """Something is still as the work left it: restore it, or hand over with it open."""
    from faultiso.session.views import restore_of

    rows, choices = [], []
    for name in desk.state.unrestored:
        offer = restore_of(desk, name)
        rows.append((offer.title, words.minutes_words(offer.minutes)))
        choices.append(Findable(name, offer.title))
    rows.append(("hand it over with this open", ""))
    desk.choices = (*choices, Findable("hand over", "hand it over with this open"))
    still = words.settings_words(desk.model, desk.state.unrestored)
    return (Said(f"Not yet. {words.capital(still)}."), Listing(tuple(rows)))


def hand_over(desk: Desk) -> tuple[Reply, ...]:
    return _ended(desk, HANDED_OVER, _leading(desk))


def no_fault_found(desk: Desk) -> tuple[Reply, ...]:
    if desk.state.unrestored:
        return not_yet(desk)
    if open_items(desk.state):
        return finish(desk)
    return _ended(desk, NO_FAULT_FOUND, "nothing modelled is likely to be wrong; monitor for the complaint")


def refer(desk: Desk) -> tuple[Reply, ...]:
    return _ended(desk, REFERRED, _leading(desk))


def defer(desk: Desk, name: str) -> tuple[Reply, ...]:
    """Put the rectification off under a line of the training deferral sheet."""
    if desk.state.unrestored:
        return not_yet(desk)
    sheet = desk.model.deferrals[name]
    if not sheet.allowed:
        return (Said(f"{words.capital(sheet.title)} may not be deferred."),)
    if (against := _not_covered(desk, sheet)) is not None:
        return (Said(against),)
    parts = [sheet.title]
    parts += [f"interval {sheet.interval}"] if sheet.interval else []
    parts += [f'placard "{sheet.placard}"'] if sheet.placard else []
    parts += [f"provided: {sheet.provided}"] if sheet.provided else []
    return _ended(desk, DEFERRED, "; ".join(parts))


def _not_covered(desk: Desk, sheet: Deferral) -> str | None:
    """Why a line of the sheet does not fit what is known; None if it does."""
    named = [d for d in desk.belief.leaders if d.faults] if desk.belief.possible else []
    covered = sum(d.probability for d in named if set(d.faults) <= set(sheet.covers))
    if covered >= LEADS:
        return None
    if not named or named[0].probability < LEADS:
        return "Nothing leads clearly enough to be deferred: isolate it further, or hand it over."
    leading = words.set_words(desk.model, named[0].faults)
    return f"{words.capital(sheet.title)} does not cover what leads: {leading}."


def _leading(desk: Desk) -> str:
    """The leading explanation, in words, with its chance."""
    if not desk.belief.possible:
        return "the readings contradict each other"
    best = desk.belief.leaders[0]
    chance = words.in_hundred(best.probability)
    return f"most likely so far: {words.set_words(desk.model, best.faults)}, {chance} in 100"


def _ended(desk: Desk, how: str, what: str) -> tuple[Reply, ...]:
    desk.record(kinds.ENDED, how=how, what=what, open=list(open_items(desk.state)))
    return ()
