"""``faultiso where``: the path of everything that is written."""

from __future__ import annotations

from faultiso.cli.errors import DONE
from faultiso.cli.isolate import Json


def where(json: Json = False) -> int:
    """Where your files are; FAULTISO_HOME moves them all."""
    import sys

    from faultiso.cli.streams import show
    from faultiso.report.json_output import document
    from faultiso.report.page import KeyValues, Page, Text
    from faultiso.session.home import FOLDERS, home

    place = home()
    paths = {
        "home": place.root,
        **{name: getattr(place, name) for name in FOLDERS},
        "settings": place.settings,
    }
    if json:
        sys.stdout.write(document({name: str(path) for name, path in paths.items()}))
        return DONE
    pairs = tuple(
        (name, str(path) + ("" if path.exists() else "   (not made yet)")) for name, path in paths.items()
    )
    show(
        Page(
            "Your files",
            blocks=(KeyValues(pairs), Text("FAULTISO_HOME names another place for all of them.")),
        )
    )
    return DONE
