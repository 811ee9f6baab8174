"""Each knob moves what it names, over fixed seeds; what is not turned up does not happen."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from faultiso.assessment.verdict import verdict
from faultiso.belief.evidence import Reading
from faultiso.model.silence import silence
from faultiso.practice.apprentices.apprentice import POORER, Apprentice
from faultiso.practice.apprentices.mind import Mind
from faultiso.session.ending import HANDED_OVER
from faultiso.session.state import State
from tests.practice.apprentices.shop import all_ended, cart_cases, ended, read, room

SEEDS = range(4)
CASES = ("monday-morning", "red-light", "shaky-numbers")


def sessions(skill: float = 1.0, **habits: float) -> list[State]:
    return all_ended(CASES, [Apprentice(skill, seed=seed, **habits) for seed in SEEDS])


def right(names: Iterable[str], apprentices: Iterable[Apprentice]) -> float:
    chosen = list(apprentices)
    found = [verdict(*read(n), (), ended(n, a)).right for n in names for a in chosen]
    return sum(found) / len(found)


def test_with_all_skill_cases_end_rightly_and_no_hazard_is_left_out() -> None:
    best = Apprentice(1.0)
    assert right(cart_cases(), [best]) >= 5 / 6
    for name in cart_cases():
        for named in ended(name, best).hazards:
            assert named.named == tuple(c for c in named.offered if c in named.cautions)


def test_without_skill_they_mostly_do_not() -> None:
    unskilled = [Apprentice(0.0, way, seed=seed) for way in POORER for seed in range(2)]
    assert right(cart_cases(), unskilled) < 0.5


def test_the_ways_are_different_ways() -> None:
    """Who changes the most probable unit makes no check; who splits makes more of them than repairs."""
    changing = all_ended(CASES, [Apprentice(0.0, "most probable unit")])
    splitting = all_ended(CASES, [Apprentice(0.0, "half-splitting")])
    guessing = all_ended(CASES, [Apprentice(0.0, "guessing", seed=s) for s in SEEDS])
    assert count(changing, "check") == 0 < count(changing, "repair")
    assert count(splitting, "check") + count(splitting, "look") > count(splitting, "repair")
    assert len({tuple(deed.name for deed in state.deeds) for state in guessing}) > len(CASES)
    planned = Apprentice(0.0, "reference plan")
    assert [ended(n, planned).deeds for n in CASES] == [ended(n, Apprentice(1.0)).deeds for n in CASES]


def count(states: Iterable[State], what: str) -> int:
    return sum(deed.what == what for state in states for deed in state.deeds)


def test_impatience_stops_checking_and_skips_proofs_and_inspections() -> None:
    patient, impatient = sessions(), sessions(impatience=1.0)
    assert count(patient, "verify") > 0 == count(impatient, "verify")
    assert all(state.repairs and not state.repairs[-1].proof for state in impatient)
    assert {state.end.how for state in impatient if state.end} == {HANDED_OVER}
    some = sessions(impatience=0.5)
    assert 0 < count(some, "verify") < count(patient, "verify")


def silent_looks(states: Iterable[State]) -> Iterator[str]:
    for state in states:
        for deed in state.deeds:
            conditions = deed.timeline.moments[-1].conditions if deed.timeline else {}
            if deed.what == "look" and silence(state.model, deed.name, conditions):
                yield deed.name


def test_misread_indications_are_lights_that_can_say_nothing() -> None:
    assert not list(silent_looks(sessions()))
    some, many = (len(list(silent_looks(sessions(misread_indications=p)))) for p in (0.4, 1.0))
    assert 0 < some < many


def test_a_silent_light_is_taken_as_news_of_the_complaint() -> None:
    mind = Mind(room("red-light"), Apprentice(misread_indications=1.0))
    before, after = with_silent_look("red-light")
    mind.hear(before, after)
    assert after.readings[-1].moment > 0 == mind.understood(after).readings[-1].moment
    other = Mind(room("red-light"), Apprentice())
    other.hear(before, after)
    assert other.understood(after) == after


def with_silent_look(name: str) -> tuple[State, State]:
    """Just before and after the first look at a silent light."""
    state = ended(name, Apprentice(misread_indications=1.0))
    place = next(k for k, deed in enumerate(state.deeds) if deed.what == "look")
    deed = state.deeds[place]
    before = replace(state, deeds=state.deeds[:place], readings=state.readings[: deed.readings[0]])
    return before, replace(state, deeds=state.deeds[: place + 1], readings=state.readings[: deed.readings[1]])


def test_a_slip_is_another_outcome_and_is_acted_on() -> None:
    state = next(s for s in sessions() if any(deed.what == "check" for deed in s.deeds))
    place = next(k for k, deed in enumerate(state.deeds) if deed.what == "check")
    before, after = cut(state, place), cut(state, place + 1)
    mind = Mind(room(CASES[0]), Apprentice(slips=1.0))
    mind.hear(before, after)
    shown, taken = after.readings[-1], mind.understood(after).readings[-1]
    assert (taken.sign, taken.moment) == (shown.sign, shown.moment)
    assert outcome(taken) != outcome(shown)
    assert mind.understood(after).readings[:-1] == after.readings[:-1]
    assert right(CASES, some_slip(0.8)) < right(CASES, some_slip(0.0))


def cut(state: State, deeds: int) -> State:
    last = state.deeds[deeds - 1].readings[1] if deeds else state.reports
    return replace(state, deeds=state.deeds[:deeds], readings=state.readings[:last])


def outcome(reading: Reading) -> object:
    return reading.outcome if reading.number is None else reading.number


def some_slip(chance: float) -> list[Apprentice]:
    return [Apprentice(0.8, "half-splitting", slips=chance, seed=seed) for seed in SEEDS]


def left_out(states: Iterable[State]) -> float:
    named = [item for state in states for item in state.hazards]
    wanted = sum(len(item.cautions) for item in named)
    return 1 - sum(len(set(item.named) & set(item.cautions)) for item in named) / wanted


def test_precautions_are_skipped_as_often_as_it_says() -> None:
    assert left_out(sessions()) == 0
    assert 0.2 < left_out(sessions(skipped_precautions=0.4)) < 0.6
    assert left_out(sessions(skipped_precautions=1.0)) == 1


def unrestored(chance: float) -> list[State]:
    return all_ended(cart_cases(), [Apprentice(0.0, seed=seed, unrestored=chance) for seed in range(3)])


def test_what_work_left_set_stays_set_with_who_does_not_restore() -> None:
    assert not any(state.unrestored for state in unrestored(0.0))
    open_ones = [state for state in unrestored(1.0) if state.unrestored]
    assert open_ones
    assert {state.end.how for state in open_ones if state.end} == {HANDED_OVER}
    assert all("not restored" in " ".join(state.end.left_open) for state in open_ones if state.end)


def named_references(chance: float) -> list[tuple[str, str]]:
    """Of a model with component codes: the chapter of each repaired unit, and the reference that was named."""
    states = all_ended(
        ("one-reset", "no-turn"), [Apprentice(1.0, wrong_references=chance, seed=s) for s in SEEDS]
    )
    found = []
    for state in states:
        for repair in state.repairs:
            code = state.model.components[state.model.repairs[repair.name].component].code
            if code:
                found.append((f"{code[:2]}-{code[2:]}", repair.reference))
    return found


def test_wrong_references_are_those_of_other_units() -> None:
    rights, wrongs = named_references(0.0), named_references(1.0)
    assert rights and all(own == named for own, named in rights)
    assert all(named and own != named for own, named in wrongs)
    half = [own == named for own, named in named_references(0.5)]
    assert 0 < sum(half) < len(half)
