"""What the coach says after a step: what it was worth, and what would have been better from there."""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.assessment.worth import Worth, action_words, worth
from faultiso.model.silence import speaking
from faultiso.session import words
from faultiso.session.desk import Desk
from faultiso.session.replies import Reply, Said
from faultiso.session.state import Deed

SURE = 0.9  # probability of what leads from which a reading can only confirm it
_TOLD = {
    "much": "that told much",
    "some": "that told something",
    "little": "that told little",
    "nothing": "that told nothing new: what is likely shows the same whatever is wrong",
}


def coach(before: Desk, after: Desk) -> tuple[Reply, ...]:
    """The coach's words on what was done last; none where there is nothing to say."""
    deed = after.state.deeds[-1]
    if deed.what not in ("check", "look", "repair"):
        return ()
    said = "; ".join(sentences(before, worth(before, after, deed), deed))
    return (Said(f"Coach: {said}.", indent=2),) if said else ()


def sentences(before: Desk, found: Worth, deed: Deed) -> Iterator[str]:
    if found.silent is not None:
        yield _silent(before, found, deed)
    elif found.told == "nothing" and _sure(before):
        yield "it confirms what was already likely"
    elif found.told:
        yield _TOLD[found.told]
    if found.chance is not None:
        yield f"the chance that it was this unit was {words.in_hundred(found.chance)} in 100"
    if not found.as_good and found.best is not None:
        yield f"better from there: {better(found)}"
    elif found.expected is not None and found.told not in ("", "nothing"):
        yield "as good a step as any"


def _sure(before: Desk) -> bool:
    leading = before.belief.leaders[:1] if before.can_tell else ()
    return bool(leading) and leading[0].probability >= SURE


def better(found: Worth) -> str:
    """What would have been best, with its minutes and what it would have saved."""
    assert found.best is not None
    return f"{action_words(found.best)}; on average {found.loss:.0f} min less to the end"


def _silent(before: Desk, found: Worth, deed: Deed) -> str:
    """Why it could show nothing else, and where it can speak."""
    silent = found.silent
    assert silent is not None
    why = words.settings_words(before.model, silent.because) or "in these conditions"
    speaks = [f'"{situation.title}"' for situation in speaking(before.model, deed.name)]
    where = f"; it can speak in: {', '.join(speaks[:3])}" if speaks else ""
    return f"that tells you nothing: it can show nothing else ({why}){where}"
