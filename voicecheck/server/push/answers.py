"""What the addresses of a push answer when something is wrong: JSON, ASCII only."""

from __future__ import annotations

import json
from collections.abc import Mapping

from starlette.responses import Response


def failure(
    status: int, text: str, headers: Mapping[str, str] | None = None
) -> Response:
    """Return {"error": text}, as a sentence for a person."""
    # escaped, so that half a surrogate pair from a request cannot break it
    body = json.dumps({"error": text}).encode("ascii")
    return Response(body, status, headers, media_type="application/json")
