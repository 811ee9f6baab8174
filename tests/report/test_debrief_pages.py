"""The debrief, the briefing and the choice of cases as pages: whole, harmless, readable without anything else."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from faultiso.assessment.debrief import Debrief, debrief, record
from faultiso.assessment.review import Memory, reviewed
from faultiso.base.notice import PRINTED, full_notice
from faultiso.casebook.case import Aim
from faultiso.practice.history import Done
from faultiso.report.html import page_html
from faultiso.report.json_output import document
from faultiso.report.page import (
    Caution,
    Column,
    Details,
    Heading,
    Items,
    KeyValues,
    Lines,
    Outline,
    Page,
    Picture,
    Snippet,
    Table,
    Text,
)
from faultiso.report.pages.briefing import HOW, briefing_page
from faultiso.report.pages.debrief import debrief_page, debrief_paper, verdict_sentences
from faultiso.report.pages.practised import choice_page
from faultiso.report.terminal import Look, render
from faultiso.session.desk import events_of
from tests.practice.frame import CART, CASES, case_of, worked
from tests.practice.test_answers import do, done
from tests.practice.test_practice import FITTED

CASE, MODEL = case_of(CART)
WAY = ("overheat light", "note <b>so far</b>", "set parked, mains off", "low level light", "set mains on, motor stopped",
       "believe fan thermostat 60, cooler fan 20", "replace the cooler fan", "fan test", "dispute it ran",
       "replace the fan thermostat", "let it cool", "verify", "finish")  # fmt: skip

HOSTILE = (
    "</p></td></table><script>alert(1)</script><img src=x onerror=alert(2)> {{ 7*7 }} {% raw %} ]]> <!-- "
    "\x1b[31mred\x1b]0;title\x07 \u202eevil\u2066 \x00 & \" ' =1+1 [bold]b[/bold] "
) + "long " * 900

MEMORY = Memory()


def debriefed(lines: tuple[str, ...] = WAY) -> Debrief:
    play = done(lines)
    return debrief(reviewed(CASE, MODEL, events_of(play.desk.log.entries), MEMORY))


@pytest.fixture(scope="module")
def found() -> Debrief:
    return debriefed()


VOID = {"meta", "br", "hr", "img", "link", "input"}


class Reader(HTMLParser):
    """Tags, attributes and text of a document; fails where a tag is not closed in order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str, str]] = []
        self.text: list[str] = []
        self._open: list[str] = []
        self.feed(text)
        self.close()
        assert self._open == [], self._open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]
        if tag not in VOID:
            self._open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_endtag(self, tag: str) -> None:
        assert self._open and self._open[-1] == tag, (tag, self._open)
        self._open.pop()

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] not in ("style", "script"):
            self.text.append(data)

    @property
    def words(self) -> str:
        return " ".join(" ".join(self.text).split())


NEVER_TAGS = {
    "script",
    "link",
    "iframe",
    "object",
    "embed",
    "img",
    "form",
    "base",
    "a",
    "image",
    "use",
    "foreignobject",
}
NEVER_ATTRIBUTES = {"src", "href", "srcset", "xlink:href", "action", "formaction", "background", "data"}


def is_alone_and_harmless(text: str) -> Reader:
    """A document that loads nothing, runs nothing, closes what it opens, and says what it is."""
    reader = Reader(text)
    assert not NEVER_TAGS & set(reader.tags)
    for tag, name, value in reader.attributes:
        assert name not in NEVER_ATTRIBUTES and not name.startswith("on"), (tag, name)
        assert name == "xmlns" or "http" not in value
    assert "@import" not in text and "url(" not in text
    assert re.sub(r'xmlns="http://www\.w3\.org/2000/svg"', "", text).count("http") == 0
    assert not {"\x1b", "\u202e", "\u2066", "\x00", "\x07"} & set(text)
    assert reader.words.count("not approved maintenance data") >= 2
    return reader


def svgs(text: str) -> list[ElementTree.Element]:
    return [ElementTree.fromstring(svg) for svg in re.findall(r"<svg.*?</svg>", text, re.DOTALL)]


def test_the_page_is_as_recorded(found: Debrief, golden: Callable[[str, str], None]) -> None:
    golden("debrief-hot-cart.html", page_html(debrief_paper(found, "XXXX-XXXX")))


@pytest.mark.parametrize(
    ("name", "look"), [("80", Look(80)), ("40", Look(40)), ("plain", Look(80, plain=True))]
)
def test_the_screen_is_as_recorded(
    name: str, look: Look, found: Debrief, golden: Callable[[str, str], None]
) -> None:
    files = [("Log", "HOME/sessions/0001-hot-cart.jsonl"), ("Debrief", "HOME/reports/0001-hot-cart.html")]
    text = render(debrief_page(found, files, "XXXX-XXXX"), look)
    golden(f"debrief-hot-cart-{name}.txt", text)
    assert text.isascii()
    assert all(len(line) <= look.width for line in text.split("\n") if "HOME/" not in line)


def test_the_page_stands_alone(found: Debrief) -> None:
    text = page_html(debrief_paper(found, "XXXX-XXXX"))
    reader = is_alone_and_harmless(text)
    assert full_notice(MODEL.subject) in reader.words and PRINTED in reader.words
    assert "XXXX-XXXX" in reader.words
    assert len(svgs(text)) == 1
    assert reader.tags.count("title") == 2 and '<html lang="en">' in text


def test_every_table_has_a_caption_and_named_columns(found: Debrief) -> None:
    text = page_html(debrief_paper(found))
    tables = re.findall(r"<table>.*?</table>", text, re.DOTALL)
    assert len(tables) >= 5
    for table in tables:
        assert re.search(r"<caption>\s*\S", table)
        heads = re.findall(r'<th scope="col"[^>]*>(.*?)</th>', table)
        assert heads and all(head.strip() for head in heads)
        for row in re.findall(r"<tr>(.*?)</tr>", table.split("<tbody>")[1], re.DOTALL):
            assert re.findall(r'data-head="(.*?)"', row) == heads


def test_the_picture_says_the_same_as_its_table(found: Debrief) -> None:
    text = page_html(debrief_paper(found))
    assert "The same figures stand in the table below." in text
    words = " ".join(svgs(text)[0].itertext())
    for title in (*found.course.titles, "nothing wrong"):
        assert title in words and f">{title}</td>" in text


def test_everything_that_a_person_did_is_on_the_page(found: Debrief) -> None:
    words = is_alone_and_harmless(page_html(debrief_paper(found, "R"))).words
    for step in found.steps:
        assert step.title in words
    assert "you said" in words and "fan thermostat 60 %, cooler fan 20 %" in words
    assert "it ran" in words and CASE.good_solution.split(".")[0] in words
    assert "Serviceable units removed: replace the cooler fan." in words
    assert "What could tell nothing, and why" in words
    assert "(critical)" in words


def test_the_verdict_in_sentences(found: Debrief) -> None:
    told = list(verdict_sentences(found))
    assert told[0].startswith("Rectified and verified: replace the cooler fan; replace the fan thermostat")
    assert told[1] == "That is right. It was fan thermostat: never switches the fan on."
    assert told[2] == "Serviceable units removed: replace the cooler fan. Open: nothing."
    unfinished = list(verdict_sentences(debriefed(FITTED)))
    assert unfinished[0] == "Unfinished." and "The work is not at an end." in unfinished[1]
    assert "Open: not restored: test gauge" in unfinished[-1]


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"truth": (), "beyond_model": True}, "not on the data sheet: the right end was to stop and refer"),
        ({"truth": ()}, "Nothing was wrong: it was normal behaviour."),
        ({"right_end": "deferred"}, "Right: deferred."),
    ],
)
def test_the_truth_in_a_sentence(fields: dict[str, object], told: str, found: Debrief) -> None:
    case = replace(CASE, **fields)  # type: ignore[arg-type]
    outcome = replace(found.verdict, right=False, left_behind=("fluid.air_left_in",))
    other = replace(found, case=case, truth=() if "truth" in fields else found.truth, verdict=outcome)
    sentences = list(verdict_sentences(other))
    assert told in sentences[1]
    assert "left something behind: the fluid itself: air left in after work on a line." in sentences[2]


# hostile texts


def hostile() -> Debrief:
    """A debrief of which every free text is as bad as it can be."""
    case = replace(
        CASE, name=HOSTILE, title=HOSTILE, write_up=HOSTILE, good_solution=HOSTILE, approved_data=HOSTILE,
        aims=(Aim("a", HOSTILE, HOSTILE),), hints=(HOSTILE,), says={"crew": (HOSTILE,)},
    )  # fmt: skip
    titles = {
        name: replace(part, title=HOSTILE, faults=tuple(replace(f, title=HOSTILE) for f in part.faults))
        for name, part in MODEL.components.items()
    }
    signs = {name: replace(part, title=HOSTILE) for name, part in MODEL.indications.items()}
    checks = {name: replace(part, title=HOSTILE) for name, part in MODEL.checks.items()}
    repairs = {name: replace(part, title=HOSTILE) for name, part in MODEL.repairs.items()}
    cautions = {name: replace(part, title=HOSTILE) for name, part in MODEL.cautions.items()}
    model = replace(
        MODEL, title=HOSTILE, components=titles, indications=signs, checks=checks, repairs=repairs,
        cautions=cautions,
    )  # fmt: skip
    play = worked(name=(case, model), mode="quiet")
    play.desk.log.entries[0].data["candidate"] = HOSTILE  # type: ignore[index]
    for line in (f"ref {HOSTILE}", f"note {HOSTILE}", "hint", "ask crew", f"dispute {HOSTILE}"):
        play.take(line)
    for name in ("overheat_light", "fan_push", "replace_fan"):
        play.do(name)
        do(play, "")
    play.take("refer")
    found = debrief(reviewed(case, model, events_of(play.desk.log.entries), MEMORY))
    return replace(found, candidate=HOSTILE, mode=HOSTILE, lesson=HOSTILE, found=HOSTILE)


@pytest.fixture(scope="module")
def bad() -> Debrief:
    return hostile()


def test_hostile_texts_are_harmless_on_the_page(bad: Debrief) -> None:
    text = page_html(debrief_paper(bad, HOSTILE))
    reader = is_alone_and_harmless(text)
    assert "<script>alert(1)</script>" in reader.words, "it is there as text"
    assert "{{ 7*7 }}" in reader.words and "49" not in re.sub(r"[^ ]*\d\.\d[^ ]*", "", reader.words).split()
    assert len(text) < 1_000_000
    for svg in svgs(text):
        assert not {e.tag.rpartition("}")[2] for e in svg.iter()} & NEVER_TAGS


@pytest.mark.parametrize("look", [Look(40), Look(80), Look(80, plain=True)])
def test_hostile_texts_are_harmless_on_the_screen(bad: Debrief, look: Look) -> None:
    text = render(debrief_page(bad, [("Log", HOSTILE)], HOSTILE), look)
    assert not {"\x1b", "\u202e", "\u2066", "\x00", "\x07"} & set(text)
    assert len(text) < 200_000


def test_hostile_texts_are_harmless_in_json(bad: Debrief) -> None:
    text = document(record(bad), MODEL.subject)
    assert text.isascii() and not {"\x1b", "\x00", "\x07"} & set(text)
    assert json.loads(text)["title"]


def test_hostile_texts_are_harmless_in_the_briefing(bad: Debrief) -> None:
    page = briefing_page(bad.case, bad.model, HOSTILE)
    is_alone_and_harmless(page_html(page))
    assert not {"\x1b", "\u202e"} & set(render(page))
    choice = choice_page([bad.case], 1, [Done(HOSTILE, HOSTILE, True, True, 1.0, (HOSTILE,))], {HOSTILE: 0.0})
    is_alone_and_harmless(page_html(choice))
    assert not {"\x1b", "\u202e"} & set(render(choice))


def test_any_block_of_any_text_is_harmless() -> None:
    inner = (Heading(HOSTILE), Text(HOSTILE), Lines((HOSTILE,)), Items((HOSTILE,)), Caution(HOSTILE))
    blocks = (
        *inner, Items((HOSTILE,), numbered=True), Snippet(1, HOSTILE, 1), Outline(((1, "1", HOSTILE),)),
        KeyValues(((HOSTILE, HOSTILE),)), Details(HOSTILE, inner), Text(HOSTILE, quiet=True), Heading(HOSTILE, 2),
        Table((Column(HOSTILE), Column("n", "number")), ((HOSTILE, HOSTILE),), HOSTILE),
        Picture(HOSTILE, "<svg></svg>", HOSTILE),
    )  # fmt: skip
    reader = is_alone_and_harmless(page_html(Page(HOSTILE, "generic", blocks, (Caution(HOSTILE),))))
    assert reader.words.count("<script>alert(1)</script>") >= 15
    assert full_notice("generic") in reader.words


# before the first step


@pytest.mark.parametrize("name", CASES)
def test_the_briefing_tells_what_was_reported_and_nothing_that_is_hidden(name: str) -> None:
    case, model = case_of(name)
    text = " ".join(render(briefing_page(case, model, "quiet"), Look(1000)).split())
    assert " ".join(case.write_up.split()) in text and HOW in text and "not approved maintenance data" in text
    for fault in case.truth:
        assert fault not in text
    for hidden in (case.good_solution, *case.hints, *(aim.text for aim in case.aims)):
        assert " ".join(hidden.split()) not in text


def test_the_choice_of_cases_tells_how_it_went() -> None:
    cases = [case_of(name)[0] for name in CASES]
    done_before = [
        Done("0001", "hot-cart", True, False, 80.0, ("latched",)),
        Done("0002", "first-light", True, True, 9.0, ()),
    ]
    text = " ".join(
        render(choice_page(cases, len(cases), done_before, {"latched": 0.0, "good": 1.0}), Look(200)).split()
    )
    assert "Still weak: latched." in text
    assert "0001 hot-cart right end 80" in text and "0002 first-light well 9" in text
    assert [text.index(f"{case.name} {case.title}") for case in cases]
    empty = render(choice_page(cases, len(cases), [], {}))
    assert "Worked last" not in empty and "weak" not in empty


def test_the_cases_that_come_next_are_numbered() -> None:
    cases = [case_of(name)[0] for name in CASES[:9]]
    text = render(choice_page(cases, len(CASES), [], {}), Look(120))
    assert [f"  {n}  {case.name}" in text for n, case in enumerate(cases, 1)] == [True] * 9
    assert f"{len(CASES)} cases in all" in text
