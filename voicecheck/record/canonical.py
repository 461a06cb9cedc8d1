"""Canonical JSON and its hash, in one place."""

from __future__ import annotations

import hashlib
from typing import Any

import rfc8785


def canonical(data: Any) -> bytes:
    """Return JSON data in the one form that is hashed.

    Args:
        data: str, int, float, bool, None, and lists and dicts of them.

    Returns:
        UTF-8 text after RFC 8785: sorted keys, no spaces, shortest numbers.

    Raises:
        ValueError: not JSON (NaN, infinity, an integer beyond 2**53, half a
            surrogate pair, another type).
    """
    try:
        return rfc8785.dumps(data)
    except (rfc8785.CanonicalizationError, UnicodeError) as error:
        raise ValueError(f"this cannot be written as JSON: {error}") from error


def sha256_of(data: Any) -> str:
    """Return the SHA-256 of the canonical form of JSON data, in lower-case hex."""
    return hashlib.sha256(canonical(data)).hexdigest()
