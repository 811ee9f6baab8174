"""Verification: every repair proved in the conditions of the complaint, with the inspection it calls for.

The mean over the repairs of: 1 where a proof was made as near to the complaint as can be brought about, 0.5
where an inspection that belongs to it is missing, 0 where nothing was proved. A repair that was proved not
to help counts as proved: to find that out is what a proof is for. A proof that passes covers all that was
repaired before it. Nothing where something was to be mended and nothing was repaired.
"""

from __future__ import annotations

from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.session.state import Repaired

NOT_INSPECTED = 0.5


def verification(review: Review, rubric: Rubric) -> Mark:
    repairs = review.state.repairs
    if review.shirked:
        return Mark("verification", 0.0, (Reason("nothing was repaired: nothing was proved"),))
    if not repairs:
        return Mark("verification", None, (Reason("nothing was repaired"),))
    steps = [place for place, passage in enumerate(review.done) if passage.deed.what == "repair"]
    last_passed = max((n for n, repair in enumerate(repairs) if repair.proof == "passed"), default=-1)
    shares, reasons = [], []
    for number, (repair, place) in enumerate(zip(repairs, steps, strict=True)):
        share, why = _share(review, repair, covered=number < last_passed)
        shares.append(share)
        if why:
            title = review.model.repairs[repair.name].title
            reasons.append(Reason(f"{title}: {why}", place + 1, review.done[place].deed.line))
    return Mark("verification", sum(shares) / len(shares), tuple(reasons))


def _share(review: Review, repair: Repaired, covered: bool) -> tuple[float, str]:
    """``covered``: whether a proof of a later repair passed."""
    if repair.proof in ("", "not known") and not covered:
        return 0.0, "not proved"
    needed = review.model.repairs[repair.name].verification.inspection
    if needed and repair.proof == "passed" and repair.inspected != "yes":
        return NOT_INSPECTED, "not inspected by a second person"
    return 1.0, ""
