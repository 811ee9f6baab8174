"""Choice of checks: checks that could not change any belief.

Share = 1 - wasted / all checks and looks. Wasted: a sign that could show nothing else in those conditions,
or a check that takes minutes and of which every likely cause shows the same. Never wasted: a check of the
prescribed order, a second independent witness before a removal, and one look again at what was read before.
"""

from __future__ import annotations

from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.session import words

READING = ("check", "look")


def choice(review: Review, rubric: Rubric) -> Mark:
    readings = sum(passage.deed.what in READING for passage in review.done)
    if not readings:
        return Mark("choice", None, (Reason("nothing was read"),))
    lost = wasted(review)
    return Mark("choice", 1.0 - len(lost) / readings, tuple(_reason(review, place) for place in lost))


def wasted(review: Review) -> tuple[int, ...]:
    """Places of the steps that could not tell anything."""
    seen: dict[str, int] = {}
    found = []
    for place, (passage, worth) in enumerate(zip(review.done, review.worths, strict=True)):
        deed = passage.deed
        if deed.what not in READING:
            continue
        seen[deed.name] = seen.get(deed.name, 0) + 1
        idle = worth.told == "nothing" and deed.minutes > 0 and not worth.as_good
        useless = worth.silent is not None or idle
        if useless and deed.name not in review.case.prescribed_order and seen[deed.name] != 2:
            found.append(place)
    return tuple(found)


def _reason(review: Review, place: int) -> Reason:
    deed, worth = review.done[place].deed, review.worths[place]
    title = words.deed_title(review.model, deed.what, deed.name)
    if worth.silent is not None:
        why = words.settings_words(review.model, worth.silent.because) or "these conditions"
        return Reason(f"{title} could show nothing else ({why})", place + 1, deed.line)
    return Reason(f"{title}: whatever is likely shows the same there", place + 1, deed.line)
