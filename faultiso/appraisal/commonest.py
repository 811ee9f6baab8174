"""The write-up that a model makes one expect most often."""

from __future__ import annotations

from faultiso.appraisal.signatures import signatures
from faultiso.appraisal.testability import LEAST
from faultiso.appraisal.ways import belief_after
from faultiso.appraisal.writeups import write_ups
from faultiso.base.problems import UsageError
from faultiso.belief.belief import Belief
from faultiso.belief.reasoner import Reasoner


def after_commonest(reasoner: Reasoner) -> Belief:
    """The belief after it, of the person at work. UsageError where no indication shows any fault."""
    found = write_ups(signatures(reasoner), LEAST)
    if not found:
        raise UsageError(
            f"no indication of {reasoner.model.name} shows any fault well; say what was read with --observe"
        )
    return belief_after(found[0], reasoner)
