"""JSON for programs, in characters that the standard output can carry."""

from __future__ import annotations

import codecs
import json
import sys


def json_text(data: object) -> str:
    """Return data as one line of JSON.

    Letters stand as they are where the output is UTF-8; an older console would
    replace some of them, so there they are escaped.
    """
    encoding = getattr(sys.stdout, "encoding", None) or "ascii"
    try:
        plain = codecs.lookup(encoding).name == "utf-8"
    except LookupError:
        plain = False
    return json.dumps(data, ensure_ascii=not plain)
