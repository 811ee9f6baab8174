"""Drawn cases: valid, different, as asked for, the same for the same seed, and good to read."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from faultiso.base.problems import UsageError
from faultiso.belief.reasoner import Reasoner
from faultiso.casebook.case import KINDS, LEVELS
from faultiso.casebook.checking import check_case
from faultiso.casebook.lints.giveaway import named_in
from faultiso.casebook.load import load_case_text
from faultiso.casebook.making.draw import Drawer, Drawn
from faultiso.casebook.making.generate import LIKELY, Count, Made, Maker, Wish
from faultiso.casebook.making.lessons import AIMS, LESSONS, wanted_kinds
from faultiso.casebook.making.shows import Shows
from faultiso.casebook.making.texts import approved_data, title, write_up
from faultiso.casebook.models import Models
from faultiso.casebook.stock import as_stocked
from faultiso.model.expected import expected
from faultiso.network.timeline import start
from tests.benchmarks.apprentice import drawn, minutes, spearman
from tests.models.shipped import NAMES, reasoner_of

DC = "whinchat-dc-power"
CART = "workshop-power-cart"
RANKED = 0.8  # least rank correlation of score and minutes, as many cases of each level


@pytest.fixture(scope="module")
def twelve() -> list[Made]:
    return drawn(DC, 12, seed=2)[1]


def test_each_is_valid_and_no_two_are_alike(twelve: list[Made]) -> None:
    assert len(twelve) == 12
    for made in twelve:
        loaded = load_case_text(made.text, f"{made.name}.yaml", Models())
        assert loaded.problems == () and loaded.case is not None and loaded.model is not None
        assert loaded.case.difficulty in LEVELS
    assert all_different(twelve)
    for made in twelve[:3]:
        checked = check_case(made.case, as_stocked(reasoner_of(DC).model, made.case))
        assert checked.problems == ()
        assert checked.findings is not None and checked.findings.complaint_given_truth >= LIKELY


def all_different(cases: list[Made]) -> bool:
    keys = [
        (
            made.case.truth,
            made.case.now.situation,
            [(s.setting.situation, s.reports, s.others) for s in made.case.seen],
        )
        for made in cases
    ]
    return all(one != other for place, one in enumerate(keys) for other in keys[:place])


def test_the_same_seed_draws_the_same_cases(twelve: list[Made]) -> None:
    """By another reasoner: nothing depends on what was computed before."""
    model = reasoner_of(DC).model
    again = list(Maker(Reasoner(model), DC, Models(), Path()).make(Wish(4, seed=2), Count()))
    assert [made.text for made in again] == [made.text for made in twelve[:4]]
    other = drawn(DC, 4, seed=3)[1]
    assert [made.case.truth for made in other] != [made.case.truth for made in again]


def test_what_is_reported_is_what_the_truth_most_likely_shows(twelve: list[Made]) -> None:
    shows = Shows(reasoner_of(DC))
    model = shows.model
    for made in twelve:
        for seen in made.case.seen:
            likely = shows.likely(seen.setting.situation, frozenset(made.case.truth))
            for name, answer in seen.reports.items():
                low, high = model.indications[name].ranges.get(likely[name], (0, 0))
                assert answer == likely[name] or low <= float(answer.split()[0]) <= high


@pytest.mark.parametrize(
    "kind", ["intermittent", "double", "false indication", "nothing wrong", "misleading complaint"]
)
def test_a_kind_that_is_asked_for(kind: str) -> None:
    maker = Maker(reasoner_of(DC), DC, Models(), Path())
    (made,) = maker.make(Wish(1, kinds=frozenset({kind}), seed=1), Count())
    assert kind in made.case.kinds
    assert made.case.aims[0].name == LESSONS[kind].aim and made.case.hints[0] == LESSONS[kind].hint


def test_a_level_that_is_asked_for() -> None:
    _, cases, count = drawn(DC, 2, seed=1, level="hard")
    assert [made.case.difficulty for made in cases] == ["hard", "hard"]
    assert count.drawn >= count.tried >= 2


def test_what_cannot_be_found_is_given_up() -> None:
    """Nothing is wrong, and that very hard: there is no such case."""
    maker, count = Maker(reasoner_of(DC), DC, Models(), Path()), Count()
    assert list(maker.make(Wish(1, "very hard", frozenset({"nothing wrong"})), count)) == []
    assert count.drawn > 10


def test_kinds_and_aims_by_name() -> None:
    assert wanted_kinds(("single",), ("bring_it_out",)) == {"single", "intermittent"}
    with pytest.raises(UsageError, match="written by hand"):
        wanted_kinds(("beyond the model",), ())
    with pytest.raises(UsageError, match="nearest: double"):
        wanted_kinds(("doubel",), ())
    with pytest.raises(UsageError, match="nearest: latched"):
        wanted_kinds((), ("latchd",))
    assert set(LESSONS) <= set(KINDS) and len(AIMS) == len(LESSONS)


@pytest.mark.parametrize("name", NAMES)
def test_what_most_likely_shows_with_nothing_wrong_is_normal(name: str) -> None:
    shows = Shows(reasoner_of(name))
    for situation in shows.model.situations:
        assert shows.likely(situation, frozenset()) == shows.normal(situation)
        assert shows.wrong(situation, frozenset()) == ()


def test_what_shows_agrees_with_the_exact_chances() -> None:
    """By the belief of the whole model given that set, which is another way to the same."""
    import numpy as np

    from faultiso.belief.diagnoses import Listed

    reasoner, chosen = reasoner_of(CART), frozenset({"pump.worn", "display.dead"})
    shows = Shows(reasoner)
    for situation in ("in_use", "at_pressure"):
        belief = reasoner.belief(start(shows.model.situations[situation].values), ())
        signs = belief.open_to(Listed((chosen,), np.ones(1)))
        for name, outcome in shows.likely(situation, chosen).items():
            assert signs[name].outcomes[int(signs[name].given[0].argmax())] == outcome


def test_texts_give_nothing_away() -> None:
    drawer = Drawer(Shows(reasoner_of(CART)))
    model = drawer.model
    found = [drawer.draw(Random(f"texts/{number}")) for number in range(60)]
    cases = [case for case in found if case is not None]
    assert len(cases) > 30
    for case in cases:
        assert not named_in(title(model, case, Random(1)), model, case.truth)
        assert not any(named_in(lesson.text + lesson.hint, model, case.truth) for lesson in LESSONS.values())
        text = write_up(model, case, Random(1))
        assert "_" not in text and text[0].isupper() and ".." not in text


def test_the_chapter_comes_from_the_public_code() -> None:
    model = reasoner_of(DC).model
    by_code = {
        part.code: part.faults[0].name for part in model.components.values() if part.code and part.faults
    }
    for code, fault in by_code.items():
        case = Drawn((fault,), (), None, (), 0)  # type: ignore[arg-type]
        section = approved_data(model, case)
        assert section in (f"{code[:2]}-{code[2]}0", f"{code[:2]}-97")
    assert approved_data(model, Drawn((), (), None, (), 0)) == ""  # type: ignore[arg-type]


def test_latched_means_that_it_shows_because_of_what_was() -> None:
    maker = Maker(reasoner_of(CART), CART, Models(), Path())
    (made,) = maker.make(Wish(1, kinds=frozenset({"latched"}), seed=4), Count())
    model, case = maker.model, made.case
    shows = Shows(maker.reasoner)
    situations = [seen.setting.situation for seen in case.seen]
    kept = [
        name
        for situation in situations
        for name, outcome in shows.after(situation, case.now.situation, frozenset(case.truth)).items()
        if outcome != expected(model, model.situations[case.now.situation].values, case.truth)[name]
    ]
    assert kept


@pytest.mark.long
def test_two_hundred_cases_of_four_levels_and_an_apprentice() -> None:
    """Fifty of each level, all valid, none equal; what is computed to be difficult takes a careless apprentice
    longer, in each model and over both."""
    pairs: dict[str, list[tuple[float, float]]] = {}
    for name, number in ((DC, 40), (CART, 10)):
        cases: list[Made] = []
        for level in LEVELS:
            reasoner, found, _ = drawn(name, number, seed=11, level=level)
            assert len(found) == number and {made.case.difficulty for made in found} == {level}
            cases += found
        assert all_different(cases)
        for made in cases:
            loaded = load_case_text(made.text, f"{made.name}.yaml", Models())
            assert loaded.case is not None and loaded.problems == ()
        scores = [made.findings.difficulty.score for made in cases if made.findings.difficulty]
        took = [minutes(made.case, reasoner, plays=10) for made in cases]
        pairs[name] = list(zip(scores, took, strict=True))
    pairs["both"] = [pair for found in pairs.values() for pair in found]
    found_out = {name: spearman(*zip(*found, strict=True)) for name, found in pairs.items()}
    print("rank correlation", {name: round(figure, 2) for name, figure in found_out.items()})
    assert len(pairs["both"]) == 200
    assert min(found_out.values()) > RANKED
