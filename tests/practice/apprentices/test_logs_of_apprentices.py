"""Their sessions are ordinary ones: they end, replay, repeat themselves for a seed, and hang on no truth."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from faultiso.base.journal import Entry, read, verify
from faultiso.base.problems import InvalidModel
from faultiso.casebook.library import case_files
from faultiso.practice.apprentices.apprentice import HABITS, WAYS, Apprentice, cohort
from faultiso.practice.apprentices.chance import Chance
from faultiso.practice.apprentices.many import work_many, worked_in
from faultiso.practice.apprentices.room import Room
from faultiso.practice.apprentices.working import MOST_LINES, work
from faultiso.session.desk import Lines, events_of
from faultiso.session.home import Home, logs
from faultiso.session.kept import kept_case
from faultiso.session.replaying import replay
from tests.practice.apprentices import shop

SAMPLE = ("monday-morning", "red-light", "one-reset", "no-green", "boarding-noise", "first-taxi")
QUICK = ("monday-morning", "red-light")


def told(entries: list[Entry] | tuple[Entry, ...]) -> list[tuple[str, Any]]:
    """What a log says, without when it was written and which tool and files it was begun with."""
    return [
        (e.event, {k: v for k, v in e.data.items() if k not in ("file", "case_file", "candidate")})
        for e in entries
    ]


def anybody(seed: int) -> Apprentice:
    """An apprentice with every knob turned at random."""
    luck = Chance(seed, "anybody")
    habits = {habit: round(luck.number(habit), 3) for habit in HABITS}
    return Apprentice(round(luck.number("skill"), 3), luck.one_of("way", WAYS), seed=seed, **habits)


def worked_at_all(name: str, apprentice: Apprentice) -> None:
    case, model = shop.read(name)
    log = Lines()
    play = work(case, model, apprentice, log, room=shop.room(name))
    assert play.ended and log.entries[-1].event == "ended"
    assert sum(entry.event == "ended" for entry in log.entries) == 1
    again = replay(model, events_of(log.entries))
    assert replace(again, model=model) == play.desk.state


@pytest.mark.parametrize("name", SAMPLE)
def test_anybody_comes_to_an_end_that_replays(name: str) -> None:
    for seed in range(4):
        worked_at_all(name, anybody(seed))


@pytest.mark.long
@pytest.mark.parametrize("name", [*case_files()])
def test_anybody_comes_to_an_end_at_every_case(name: str) -> None:
    for seed in range(6):
        worked_at_all(name, anybody(seed + 10))
    worked_at_all(name, Apprentice(1.0))
    shop.room.cache_clear()


def test_who_never_comes_to_an_end_hands_over(monkeypatch: pytest.MonkeyPatch) -> None:
    from faultiso.practice.apprentices import working

    monkeypatch.setattr(working, "choose", lambda mind, state: "run_light")
    state = work(*shop.read("red-light"), Apprentice(), room=shop.room("red-light")).desk.state
    assert state.end is not None and state.end.how == "handed over with open items"
    assert len(state.deeds) <= MOST_LINES
    monkeypatch.setattr(working, "choose", lambda mind, state: "verify")
    state = work(*shop.read("red-light"), Apprentice(), room=shop.room("red-light")).desk.state
    assert state.end is not None and not state.deeds


def test_the_same_seed_writes_the_same_log_whoever_was_in_the_room_before() -> None:
    for name in QUICK:
        first, second, other = Lines(), Lines(), Lines()
        work(*shop.read(name), anybody(2), first, room=Room(*shop.read(name)))
        work(*shop.read(name), anybody(2), second, room=shop.room(name))
        work(*shop.read(name), replace(anybody(2), seed=99), other, room=shop.room(name))
        assert told(first.entries) == told(second.entries) != told(other.entries)


class Disguised(Room):
    """A room in which nothing but what the world answers is that of the case."""

    def __init__(self, name: str) -> None:
        case, model = shop.read(name)
        super().__init__(case, model)
        self.case = replace(
            case, truth=(), seed=case.seed + 1, pins=(), right_end="refer", kinds=(), hints=(), aims=(),
            good_solution="", approved_data="", critical_precautions=(), prescribed_order=(),
        )  # fmt: skip


def test_what_is_hidden_makes_no_difference_to_what_they_do() -> None:
    for name in QUICK:
        for apprentice in (anybody(1), anybody(3), Apprentice(1.0)):
            open_log, disguised = Lines(), Lines()
            work(*shop.read(name), apprentice, open_log, room=shop.room(name))
            work(*shop.read(name), apprentice, disguised, room=Disguised(name))
            assert told(open_log.entries)[1:] == told(disguised.entries)[1:]


def paths() -> Iterator[Path]:
    return (case_files()[name] for name in QUICK)


@pytest.mark.parametrize("processes", [1, 2])
def test_many_write_logs_that_can_be_graded_later(tmp_path: Path, processes: int) -> None:
    heard: list[tuple[int, int]] = []
    who = cohort(3, 5)
    found = work_many(paths(), who, tmp_path, processes, lambda done, total: heard.append((done, total)))
    assert [(w.candidate, w.case) for w in found] == [(f"000{n}", case) for n in (1, 2, 3) for case in QUICK]
    assert [done for done, _ in heard] == [3, 6] and {total for _, total in heard} == {6}
    for worked, apprentice in zip(found, (a for a in who for _ in QUICK), strict=True):
        assert verify(worked.log, worked.receipt) == ()
        alone = Lines()
        work(*shop.read(worked.case), apprentice, alone, room=shop.room(worked.case))
        assert told(read(worked.log)) == told(alone.entries)
    for log in logs(Home(tmp_path)):
        case, model = kept_case(Home(tmp_path), log)
        end = replay(model, events_of(list(log.entries))).end
        (worked,) = [w for w in found if w.log == log.path]
        assert (worked.case, worked.candidate) == (case.name, log.begun["candidate"])
        assert end is not None and end.how == worked.how


def test_a_bad_case_is_told_before_anything_is_worked(tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("case: bad\n", encoding="utf-8")
    with pytest.raises(InvalidModel):
        work_many([*paths(), bad], cohort(1), tmp_path / "home")
    assert not (tmp_path / "home" / "sessions").exists()


def test_who_goes_on_works_only_what_is_left(tmp_path: Path) -> None:
    cases, people = [case_files()[name] for name in QUICK], cohort(3)
    first = work_many(cases[:1], people[:2], tmp_path)
    stopped = logs(Home(tmp_path))[0].path
    stopped.write_bytes(b"".join(stopped.read_bytes().splitlines(keepends=True)[:-1]))
    there = worked_in(tmp_path)
    assert there == {(each.candidate, each.case) for each in first if each.log != stopped}
    told: list[tuple[int, int]] = []
    work_many(cases, people, tmp_path, progress=lambda done, of: told.append((done, of)), there=there)
    assert told[-1] == (5, 5)
    assert worked_in(tmp_path) == {(f"{number:04d}", name) for number in (1, 2, 3) for name in QUICK}
    assert work_many(cases, people, tmp_path, there=worked_in(tmp_path)) == ()
