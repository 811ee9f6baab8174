"""The rows of an indication or check do not say what it shows when none of them matches.

Wrong:

    components: {lamp: {faults: {dead: {rate: 1e-5}}}}
    indications:
      light: {kind: light, outcomes: [lit, out], rules: [{when: {lamp.dead: present}, then: out}]}

Right:

    components: {lamp: {faults: {dead: {rate: 1e-5}}}}
    indications:
      light:
        kind: light
        outcomes: [lit, out]
        rules: [{when: {lamp.dead: present}, then: out}, {then: lit}]
"""

from __future__ import annotations

from collections.abc import Iterable

from faultiso.base.problems import Problem
from faultiso.model.system import Model


def check(model: Model) -> Iterable[Problem]:
    """Every indication and check whose last row has a ``when``."""
    for sign in model.signs():
        if sign.rules[-1].when:
            example = f"{{then: {sign.outcomes[0]}}}"
            message = f"the last row of {sign.name} has a when; expected a row without one, such as {example}"
            yield Problem("default_row", sign.rules[-1].where, message)
