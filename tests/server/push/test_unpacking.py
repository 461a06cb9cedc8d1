"""Packed bodies: unpacked within bounds, whatever they are."""

from __future__ import annotations

import gzip
import zlib
from typing import Any

import pytest
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.testclient import TestClient

from voicecheck.server.push.unpacking import Unpacking

MOST = 100_000


async def _echo(scope: Any, receive: Any, send: Any) -> None:
    request = Request(scope, receive)
    body = await request.body()
    answer = JSONResponse(
        {"length": len(body), "coding": request.headers.get("content-encoding")}
    )
    await answer(scope, receive, send)


CLIENT = TestClient(Unpacking(_echo, MOST))
PACKED = gzip.compress(b"x" * 5000)


def sent(body: bytes, coding: str = "gzip") -> Any:
    """Send a body with this coding."""
    return CLIENT.post("/", content=body, headers={"content-encoding": coding})


@pytest.mark.parametrize(
    ("body", "coding", "length"),
    [
        (PACKED, "gzip", 5000),
        (PACKED, "GZIP", 5000),
        (b"plain", "identity", 5),
        (gzip.compress(b""), "gzip", 0),
        (gzip.compress(b"x" * MOST), "gzip", MOST),
        (b"x" * MOST, "identity", MOST),
    ],
    ids=["gzip", "case", "plain", "empty", "longest", "longest plain"],
)
def test_what_is_inside_arrives(body: bytes, coding: str, length: int) -> None:
    """The application sees a plain body."""
    answer = sent(body, coding)

    assert answer.status_code == 200
    assert answer.json()["length"] == length
    assert answer.json()["coding"] in {None, "identity"}


@pytest.mark.parametrize(
    ("body", "coding", "status"),
    [
        (gzip.compress(b"x" * (MOST + 1)), "gzip", 413),
        (gzip.compress(bytes(100_000_000)), "gzip", 413),
        (b"x" * (MOST + 1), "identity", 413),
        (PACKED[:-4], "gzip", 400),
        (PACKED[:9], "gzip", 400),
        (PACKED + b"more", "gzip", 400),
        (PACKED + PACKED, "gzip", 400),
        (b"not packed", "gzip", 400),
        (b"", "gzip", 400),
        (zlib.compress(b"x"), "gzip", 400),
        (PACKED, "br", 415),
        (PACKED, "gzip, gzip", 415),
    ],
    ids=[
        "long",
        "bomb",
        "long plain",
        "cut",
        "head only",
        "more",
        "twice",
        "plain",
        "empty",
        "zlib",
        "brotli",
        "gzip in gzip",
    ],
)
def test_what_cannot_be_taken_is_refused(body: bytes, coding: str, status: int) -> None:
    """With a sentence, and without unpacking past the limit."""
    answer = sent(body, coding)

    assert answer.status_code == status
    assert answer.json()["error"]
