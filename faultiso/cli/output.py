"""One answer in every kind of output: files that are wanted, then the screen or the document."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from faultiso.base.notice import Subject
    from faultiso.report.csv_safe import Value
    from faultiso.report.page import Page

Files = Sequence[tuple[str, str]]


@dataclass(frozen=True)
class Output:
    """How an answer looks, each part made when it is wanted. ``screen`` is told which files were written,
    ``rows`` have a cell for each title of ``head``; ``rows_are``: what the screen calls the file of rows."""

    subject: Subject
    screen: Callable[[Files], Page]
    paper: Callable[[], Page]
    head: Sequence[str]
    rows: Callable[[], Iterable[Sequence[Value]]]
    record: Callable[[], Mapping[str, Any]]
    rows_are: str = "Rows"


def deliver(output: Output, csv: Path | None, html: Path | None, json: bool) -> None:
    """Write the files, whole or not at all; then show the page, or one JSON document."""
    from faultiso.cli.streams import say, show
    from faultiso.report.json_output import document

    files = _written(output, csv, html)
    if json:
        for _, name in files:
            say(f"Written: {name}")
        sys.stdout.write(document(output.record(), output.subject))
    else:
        show(output.screen(files))


def _written(output: Output, csv: Path | None, html: Path | None) -> list[tuple[str, str]]:
    from faultiso.report.csv_safe import csv_text
    from faultiso.session.home import write_bytes_whole

    files = []
    if csv:
        write_bytes_whole(csv, csv_text(output.head, output.rows(), output.subject).encode("utf-8"))
        files.append((output.rows_are, str(csv)))
    if html:
        write_page(html, output.paper())
        files.append(("Page", str(html)))
    return files


def write_page(path: Path, page: Page) -> None:
    """The page as an HTML file, whole or not at all."""
    from faultiso.report.html import page_html
    from faultiso.session.home import write_whole

    write_whole(path, page_html(page))
