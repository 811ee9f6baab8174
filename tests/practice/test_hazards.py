"""The list of hazards to choose from: wrong ones among them, and an order that gives nothing away."""

from __future__ import annotations

import pytest

from faultiso.base.problems import UsageError
from faultiso.practice import hazards
from faultiso.session.state import Pick
from tests.practice.frame import ONE_FOR_EACH_MODEL, case_of

MODELS = {case_of(name)[1].name: case_of(name)[1] for name in ONE_FOR_EACH_MODEL}


def picks() -> list[tuple[str, Pick]]:
    """Every check and repair of every model that has a hazard, as it would be picked."""
    found = []
    for model in MODELS.values():
        for part in (*model.checks.values(), *model.repairs.values()):
            own = frozenset((name, ()) for name in part.work.hazards)
            if own:
                found.append((model.name, Pick("check", part.name, ready=False, cautions=own)))
    return found


def offered(model: str, pick: Pick) -> tuple[str, ...]:
    return hazards.offered(MODELS[model], pick)


@pytest.mark.parametrize(("model", "pick"), picks(), ids=lambda each: getattr(each, "name", each))
def test_the_list_has_all_right_ones_and_wrong_ones(model: str, pick: Pick) -> None:
    offer, own = offered(model, pick), {name for name, _ in pick.cautions}
    assert own < set(offer) <= set(MODELS[model].cautions)
    wrong = len(MODELS[model].cautions) - len(own)
    assert len(offer) == len(set(offer))
    assert min(min(hazards.WRONG_ONES), wrong) <= len(offer) - len(own) <= max(hazards.WRONG_ONES)
    assert offer == offered(model, pick), "the same in every session"


def test_the_length_of_the_list_does_not_tell_how_many_are_right() -> None:
    """Every number of wrong ones comes up, whatever the number of right ones; few right ones are as many as any."""
    wrong: dict[int, list[int]] = {}
    for model, pick in picks():
        wrong.setdefault(len(pick.cautions), []).append(len(offered(model, pick)) - len(pick.cautions))
    usual = {right: counts for right, counts in wrong.items() if len(counts) >= 20}
    assert len(usual) > 1
    assert all(set(counts) == set(hazards.WRONG_ONES) for counts in usual.values())
    means = [sum(counts) / len(counts) for counts in usual.values()]
    assert max(means) - min(means) < 1


def test_the_place_in_the_list_tells_nothing() -> None:
    """Over all steps of all models a right one stands as often in the first half as in the second."""
    places = [
        (offer.index(name) + 0.5) / len(offer)
        for model, pick in picks()
        for offer in [offered(model, pick)]
        for name, _ in pick.cautions
    ]
    assert len(places) > 150
    assert abs(sum(places) / len(places) - 0.5) < 0.06
    first = [offered(model, pick)[0] in {n for n, _ in pick.cautions} for model, pick in picks()]
    last = [offered(model, pick)[-1] in {n for n, _ in pick.cautions} for model, pick in picks()]
    share = sum(len(pick.cautions) / len(offered(model, pick)) for model, pick in picks()) / len(first)
    for ends in (first, last):
        assert abs(sum(ends) / len(ends) - share) < 0.15


def test_no_hazard_is_always_right_or_always_wrong_where_it_is_offered() -> None:
    """Who ticks the same ones everywhere does not get through."""
    right = [{name for name, _ in pick.cautions} == set(offered(model, pick)) for model, pick in picks()]
    assert not any(right)


@pytest.mark.parametrize(
    ("line", "named"),
    [
        ("", ()), ("  ", ()), ("1", ("a",)), ("3 1", ("c", "a")), ("1,2", ("a", "b")), ("2, 2 2", ("b",)),
    ],
)  # fmt: skip
def test_numbers_name(line: str, named: tuple[str, ...]) -> None:
    assert hazards.named_in(line, ("a", "b", "c")) == named


@pytest.mark.parametrize("line", ["0", "4", "x", "1 x", "-1", "\u00b2", "\u0661", "1;2", "9" * 400])
def test_anything_else_is_a_slip(line: str) -> None:
    with pytest.raises(UsageError, match="Numbers from 1 to 3"):
        hazards.named_in(line, ("a", "b", "c"))
