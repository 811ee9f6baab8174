"""A limit of time for work that is done piece by piece, the weightiest first."""

from __future__ import annotations

import time
from collections.abc import Callable

Clock = Callable[[], float]


class Limit:
    """Seconds from when it is made; ``clock`` counts them."""

    def __init__(self, seconds: float, clock: Clock = time.monotonic) -> None:
        self._clock, self._end = clock, clock() + seconds

    @property
    def up(self) -> bool:
        return self._clock() >= self._end
