"""A truth and its complaint, drawn by a numbered stream: what is wrong, where it shows, what is reported."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from random import Random

from faultiso.casebook.case import Seen, Setting
from faultiso.casebook.making.shows import Faults, Shows
from faultiso.model.dependence import Dependence, dependences
from faultiso.model.parts import Indication
from faultiso.model.silence import silence

ANY = 0.45  # how difficult a case is to be, 0 to 1, where nothing is asked for
MOST_DOUBLES, MOST_NOTHING = 0.65, 0.15  # shares of them among the most difficult, and among the easiest
MOST_REPORTED = 3  # signs of one visit, where the others are not known
WHOLE = (
    0.9  # share, among the easiest, of visits in which all that is wrong is told, and that the rest is good
)
GOOD_TOO = 0.3  # share of visits in which something is told that is as it should be
TWICE = 0.35  # share of cases in which something was seen in two situations
TOLD_AS_NUMBER = 0.5
_SHOWN_BY_INSTRUMENTS = ("light", "message", "gauge", "button")


@dataclass(frozen=True)
class Drawn:
    """``kinds`` as far as truth and complaint alone say them; ``asked``: that which was asked for, or ""."""

    truth: tuple[str, ...]
    seen: tuple[Seen, ...]
    now: Setting
    kinds: tuple[str, ...]
    seed: int
    asked: str = ""

    @property
    def key(self) -> object:
        """What two cases have in common that are alike: truth, reports, conditions."""
        visits = [(s.setting.situation, tuple(sorted(s.reports.items())), s.others) for s in self.seen]
        return self.truth, tuple(visits), self.now.situation


class Drawer:
    """Draws from one model; a draw is None where it shows nothing, or not what is asked for."""

    def __init__(self, shows: Shows) -> None:
        self.shows, self.model = shows, shows.model

    def draw(self, random: Random, kind: str = "", lean: float = ANY) -> Drawn | None:
        """A case in outline; ``kind``: the one that is asked for, "" for any.

        ``lean``: towards easy (0) or difficult (1). Two faults at once and few reports are difficult, mostly.
        """
        truth = self._truth(random, kind or self._usual(random, lean))
        places = [] if truth is None else self._places(truth)
        if truth is None or not places:
            return None
        seen = [self._visit(random, random.choice(places), truth, lean)]
        if truth and random.random() < TWICE:
            rest = [s for s in self.model.situations if s != seen[0].setting.situation]
            seen += [self._visit(random, random.choice(rest), truth, lean)] if rest else []
        drawn = Drawn(tuple(sorted(truth)), tuple(seen), self._now, (), random.randrange(2**31))
        kinds = tuple(self._kinds(drawn, truth))
        if kind not in ("", "misleading complaint") and kind not in kinds:
            return None
        return replace(drawn, kinds=kinds, asked=kind)

    # what is wrong

    def _truth(self, random: Random, kind: str) -> Faults | None:
        """The faults; None where the model has none of that kind."""
        if kind == "nothing wrong":
            return frozenset()
        pool = [name for name in self.model.faults if self._may_be(name, kind)]
        if not pool or (kind == "double" and self.model.one_fault):
            return None
        first = self._one_of(random, pool)
        if kind != "double":
            return frozenset((first,))
        unit = self.model.faults[first].component
        rest = [name for name, fault in self.model.faults.items() if fault.component != unit]
        return frozenset((first, self._one_of(random, rest))) if rest else None

    @staticmethod
    def _usual(random: Random, lean: float) -> str:
        number, nothing = random.random(), MOST_NOTHING * (1 - lean)
        if number < nothing:
            return "nothing wrong"
        return "double" if number < nothing + MOST_DOUBLES * lean else ""

    def _one_of(self, random: Random, faults: list[str]) -> str:
        """A component first and then one of its faults, so that those with many do not come more often."""
        unit = random.choice(sorted({self.model.faults[name].component for name in faults}))
        return random.choice([name for name in faults if self.model.faults[name].component == unit])

    def _may_be(self, fault: str, kind: str) -> bool:
        if kind == "intermittent":
            return self.model.faults[fault].intermittent is not None
        return kind != "false indication" or fault in self._of_instruments

    @cached_property
    def _of_instruments(self) -> frozenset[str]:
        """The faults that act on no quantity, only on lights, messages, gauges and buttons."""
        inside = {fault for name in self.model.quantities for fault in self._depend[name].faults}
        felt = [i.name for i in self.model.indications.values() if i.kind not in _SHOWN_BY_INSTRUMENTS]
        outside = {fault for name in felt for fault in self._depend[name].faults}
        return frozenset(self.model.faults) - inside - outside

    @cached_property
    def _depend(self) -> dict[str, Dependence]:
        return dict(dependences(self.model))

    # where it shows, and what is reported

    def _places(self, truth: Faults) -> list[str]:
        """The situations in which something of it shows, of several faults something of each."""
        if not truth:
            return [s for s in self.model.situations if self._odd(s)]
        return [s for s in self.model.situations if self.shows.wrong(s, truth) and self._all_show(s, truth)]

    def _all_show(self, situation: str, truth: Faults) -> bool:
        shown = self.shows.likely(situation, truth)
        return len(truth) < 2 or all(
            self.shows.likely(situation, truth - {fault}) != shown for fault in truth
        )

    def _odd(self, situation: str) -> tuple[str, ...]:
        """The indications that look wrong there although they are not."""
        shown = self.shows.normal(situation)
        return tuple(n for n, i in self.model.indications.items() if shown[n] != i.outcomes[0])

    def _visit(self, random: Random, situation: str, truth: Faults, lean: float) -> Seen:
        """What is reported there: mostly what is wrong, at times all of it, or something good besides."""
        wrong = self.shows.wrong(situation, truth) if truth else self._odd(situation)
        shown = self.shows.likely(situation, truth)
        whole = len(wrong) <= MOST_REPORTED and random.random() < WHOLE * (1 - lean)
        most = min(MOST_REPORTED, len(wrong))
        names = list(wrong) if whole or not wrong else random.sample(wrong, random.randint(1, most))
        good = [name for name in shown if name not in wrong]
        if good and (not names or random.random() < GOOD_TOO):
            names.append(random.choice(good))
        reports = {name: self._told(random, self.model.indications[name], shown[name]) for name in names}
        return Seen(Setting(situation), reports, "normal" if whole else "unknown")

    @staticmethod
    def _told(random: Random, sign: Indication, outcome: str) -> str:
        """The outcome, or a round number well inside its range."""
        if outcome not in sign.ranges or random.random() >= TOLD_AS_NUMBER:
            return outcome
        low, high = sign.ranges[outcome]
        step = 10.0 ** math.floor(math.log10(max(high - low, 1e-9) / 6))
        number = round((low + (high - low) * random.uniform(0.25, 0.75)) / step) * step
        return f"{number:.6g} {sign.unit}".strip() if low <= number <= high else outcome

    @cached_property
    def _now(self) -> Setting:
        """The situation that is nearest to how things stand before anybody has touched anything."""

        def changed(name: str) -> int:
            values = self.model.situations[name].values
            return sum(values[condition] != value for condition, value in self.model.start.items())

        return Setting(min(self.model.situations, key=changed))

    # what kind of case that is

    def _kinds(self, drawn: Drawn, truth: Faults) -> Iterator[str]:
        if not truth:
            yield "nothing wrong"
            return
        yield {1: "single", 2: "double"}[len(truth)]
        if any(self.model.faults[fault].intermittent for fault in truth):
            yield "intermittent"
        if truth <= self._of_instruments:
            yield "false indication"
        wrong = {s.setting.situation: self.shows.wrong(s.setting.situation, truth) for s in drawn.seen}
        signs = {name for s in drawn.seen for name in s.reports if name in wrong[s.setting.situation]}
        if any(self._kept(s, drawn.now.situation, truth) for s in drawn.seen):
            yield "latched"
        conditions = self.model.situations[drawn.now.situation].values
        silent = {name for name in signs if silence(self.model, name, conditions)}
        if silent:
            yield "inhibited"
        if not set(self.shows.wrong(drawn.now.situation, truth)) & (signs - silent) and signs - silent:
            yield "condition dependent"

    def _kept(self, seen: Seen, now: str, truth: Faults) -> bool:
        """Whether something that is reported shows now because of what was, and would not show else."""
        situation, normal = seen.setting.situation, self.shows.normal(now)
        after, alone = self.shows.after(situation, now, truth), self.shows.likely(now, truth)
        return any(after[name] not in (alone[name], normal[name]) for name in seen.reports)
