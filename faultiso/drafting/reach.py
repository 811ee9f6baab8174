"""Which rows of which tables can ever count, in given settings of the conditions.

What a quantity can be is worked out from what decides it, each name by itself: a row that is said to be out
of reach surely is, one that is said to be in reach may need a combination that cannot be.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from faultiso.model.parts import Cause, Match, Quantity, Rule
from faultiso.model.system import Model

Setting = Mapping[str, str]
#: a table's row: the name of the part, and the number of the row from 0 on
Row = tuple[str, int]


def rows_reached(model: Model, settings: Sequence[Setting]) -> tuple[set[Row], set[Row]]:
    """Rows that may match in one of the settings at least, and responses of causes, in one count a part."""
    kept = _kept(model, settings)
    rows: set[Row] = set()
    responses: set[Row] = set()
    for setting in settings:
        view = _View(model, setting, kept)
        for part in (*model.quantities.values(), *model.signs()):
            rows |= {(part.name, number) for number in view.matching(part.rules)}
        for quantity in model.quantities.values():
            if view.undecided(quantity):
                responses |= {(quantity.name, number) for number in _acting(quantity, view)}
    return rows, responses


def responses_of(quantity: Quantity) -> Iterator[tuple[Cause, int, Match]]:
    """Every response of every cause: its number in one count, and when it acts."""
    number = 0
    for cause in quantity.causes:
        for response in cause.responses:
            yield cause, number, response.when
            number += 1


def _acting(quantity: Quantity, view: _View) -> Iterator[int]:
    """The first response of each cause that holds in the setting."""
    done: set[int] = set()
    for cause, number, when in responses_of(quantity):
        if id(cause) not in done and view.holds(when):
            done.add(id(cause))
            yield number


def _kept(model: Model, settings: Sequence[Setting]) -> dict[str, frozenset[str]]:
    """What remembered quantities and signs with a memory can be from any setting before."""
    names = [quantity.name for quantity in model.quantities.values() if quantity.remember]
    names += [sign.name for sign in model.indications.values() if sign.memory]
    kept: dict[str, frozenset[str]] = dict.fromkeys(names, frozenset())
    while True:
        views = [_View(model, setting, kept) for setting in settings]
        wider = {name: kept[name].union(*(view.possible(name) for view in views)) for name in names}
        if wider == kept:
            return kept
        kept = wider


class _View:
    """What everything can be in one setting, whatever is wrong."""

    def __init__(self, model: Model, setting: Setting, kept: Mapping[str, frozenset[str]]) -> None:
        self._model, self._setting, self._kept = model, setting, kept
        self._known: dict[str, frozenset[str]] = {}

    def holds(self, when: Match) -> bool:
        """Whether what is said of conditions holds."""
        return all(self._setting[name] in wanted for name, wanted in when.items() if name in self._setting)

    def possible(self, name: str) -> frozenset[str]:
        if name in self._setting:
            return frozenset((self._setting[name],))
        if name in self._model.faults:
            return frozenset(("present", "absent"))
        if name not in self._known:
            self._known[name] = self._worked_out(name) | self._kept.get(name, frozenset())
        return self._known[name]

    def matching(self, rules: Sequence[Rule]) -> Iterator[int]:
        """The rows that may match before one that surely does, and that one."""
        for number, rule in enumerate(rules):
            found = [(self.possible(name), wanted) for name, wanted in rule.when.items()]
            if all(possible & set(wanted) for possible, wanted in found):
                yield number
                if all(possible <= set(wanted) for possible, wanted in found):
                    return

    def undecided(self, quantity: Quantity) -> bool:
        """Whether it may be that no row matches, so that causes act."""
        rows = [quantity.rules[number] for number in self.matching(quantity.rules)]
        return not rows or not all(
            self.possible(name) <= set(wanted) for name, wanted in rows[-1].when.items()
        )

    def _worked_out(self, name: str) -> frozenset[str]:
        quantity = self._model.quantities.get(name)
        if quantity is None:
            sign = self._model.indications.get(name) or self._model.checks[name]
            return self._of_rules(sign.rules)
        found = self._of_rules(quantity.rules)
        return found | self._of_causes(quantity) if self.undecided(quantity) else found

    def _of_rules(self, rules: Sequence[Rule]) -> frozenset[str]:
        given = [rules[number] for number in self.matching(rules)]
        return frozenset().union(*({rule.then} if rule.then else self.possible(rule.like) for rule in given))

    def _of_causes(self, quantity: Quantity) -> frozenset[str]:
        found = {quantity.levels[0], *(level for level, chance in quantity.leak.items() if chance > 0)}
        for cause in quantity.causes:
            response = next((each for each in cause.responses if self.holds(each.when)), None)
            states = self.possible(cause.source) if response else frozenset()
            found |= {
                level
                for state in states & set(response.gives if response else ())
                for level, chance in (response.gives[state].items() if response else ())
                if chance > 0
            }
        return frozenset(found)
