"""A sheet of labels for units: a phone that reads one opens the unit's form.

The symbols are QR codes (ISO/IEC 18004) drawn by a library, with error
correction level Q: about a quarter of a dirty or scratched label may be lost.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from html import escape
from urllib.parse import quote, urlsplit

import segno

from voicecheck.errors import UsageError
from voicecheck.store.unit_status import UnitStatus

_STYLE = """
@page { size: A4; margin: 12mm }
body { margin: 0; font: 12pt/1.3 sans-serif; color: #000; background: #fff }
main { display: grid; grid-template-columns: repeat(2, 1fr); gap: 6mm }
section { border: 0.4mm solid #000; padding: 5mm; break-inside: avoid }
h2 { margin: 0; font-size: 28pt } p { margin: 1mm 0; overflow-wrap: anywhere }
svg { width: 60mm; height: 60mm; display: block }
"""


def form_address(address: str, unit: str) -> str:
    """Return the address of a unit's form.

    Args:
        address: of the server, for example https://fleet.example:8765.
        unit: the machine.

    Raises:
        UsageError: that is no address of a server.
    """
    parts = urlsplit(address)
    if parts.scheme not in ("http", "https") or not parts.netloc or parts.query:
        raise UsageError(
            f"{address!r} is no address of a server: give one like "
            "https://fleet.example:8765"
        )
    return f"{address.rstrip('/')}/walks/new?unit={quote(unit, safe='')}"


def label_sheet(address: str, units: Iterable[UnitStatus]) -> str:
    """Return the sheet as one HTML page that needs nothing else, for printing."""
    labels = "\n".join(_label(form_address(address, one.unit), one) for one in units)
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">\n'
        f"<title>Unit labels</title><style>{_STYLE}</style></head>\n"
        f"<body><main>\n{labels}\n</main></body></html>\n"
    )


def _label(address: str, unit: UnitStatus) -> str:
    drawn = io.BytesIO()
    code = segno.make(address, error="q", micro=False, boost_error=False)
    code.save(drawn, kind="svg", xmldecl=False, svgns=False, border=4, title=unit.unit)
    return (
        f"<section><h2>{escape(unit.unit)}</h2>{drawn.getvalue().decode()}"
        f"<p>{escape(unit.title or unit.checklist)}</p>"
        f"<p>Walk round it before each shift: {escape(address)}</p></section>"
    )
