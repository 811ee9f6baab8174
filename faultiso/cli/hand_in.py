"""``faultiso hand-in``: one file with a session's log and the model it was worked with."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from faultiso.cli.errors import DONE


def hand_in(
    session: Annotated[
        str, typer.Argument(metavar="SESSION", help="Its number, or the file of its log.", show_default=False)
    ],
    to: Annotated[
        Path, typer.Option("--to", metavar="FOLDER", help="Where the file goes.", show_default=False)
    ],
) -> int:
    """Write log and model into one file; the receipt is handed in separately."""
    from faultiso.base.journal import receipt_of
    from faultiso.cli.streams import show
    from faultiso.report.page import KeyValues, Page
    from faultiso.session.home import find_log, hand_in, home

    place = home()
    log = find_log(place, session)
    target = hand_in(place, log, to)
    pairs = (("Written", str(target)), ("Receipt", receipt_of(log.entries[-1].own)))
    show(Page(f"Session {log.name} handed in", blocks=(KeyValues(pairs),)))
    return DONE
