"""Access codes: shown once, kept as a slow salted hash, tries slowed down."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from dataclasses import dataclass

ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""Without 0, 1, I, L, O and U, which are mistaken for others."""
LENGTH = 10
"""Of 30 letters each: 49 bits, far more than can be tried through the throttle."""
FREE_TRIES = 5
"""Wrong codes in a row before there is a wait."""
FIRST_WAIT_S = 5.0
LONGEST_WAIT_S = 900.0

_N, _R, _P = 2**14, 8, 1
"""Cost of scrypt (RFC 7914): about 50 ms and 16 MiB a try; the figures that its
author gives for interactive logins (Percival 2009)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CodeHash:
    """What is kept of a code."""

    salt: str
    """Hexadecimal."""
    hash: str
    """Hexadecimal."""


def new_code() -> str:
    """Return a code in two halves, such as K7MWP-3XQ9T."""
    letters = "".join(secrets.choice(ALPHABET) for _ in range(LENGTH))
    return f"{letters[: LENGTH // 2]}-{letters[LENGTH // 2 :]}"


def hash_code(code: str, salt: str | None = None) -> CodeHash:
    """Return the hash of a code; spaces, dashes and small letters do not matter.

    Args:
        code: as it was typed.
        salt: of a hash to compare with, hexadecimal; None: a new one.
    """
    salt = secrets.token_hex(16) if salt is None else salt
    plain = "".join(letter for letter in code.upper() if letter.isalnum())
    found = hashlib.scrypt(
        plain.encode()[:200], salt=bytes.fromhex(salt), n=_N, r=_R, p=_P, dklen=32
    )
    return CodeHash(salt=salt, hash=found.hex())


def same_code(code: str, kept: CodeHash) -> bool:
    """Tell whether a code is the one whose hash was kept, in constant time."""
    return hmac.compare_digest(hash_code(code, kept.salt).hash, kept.hash)


def wait_after(failures: int) -> float:
    """Return how many seconds must pass after so many wrong codes in a row."""
    if failures < FREE_TRIES:
        return 0.0
    return float(
        min(LONGEST_WAIT_S, FIRST_WAIT_S * 2 ** min(failures - FREE_TRIES, 20))
    )
