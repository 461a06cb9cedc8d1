"""Access codes by themselves."""

from __future__ import annotations

import hashlib

import pytest

from voicecheck.people.codes import (
    ALPHABET,
    FREE_TRIES,
    LONGEST_WAIT_S,
    hash_code,
    new_code,
    same_code,
    wait_after,
)


def test_scrypt_is_the_published_one() -> None:
    """RFC 7914, section 12: the vector for N = 16384, r = 8, p = 1, the cost that
    the codes are kept with."""
    found = hashlib.scrypt(
        b"pleaseletmein", salt=b"SodiumChloride", n=2**14, r=8, p=1, dklen=64
    )

    assert found.hex().startswith("7023bdcb3afd7348461c06cd81fd38eb")
    ours = hash_code("PLEASE-LET-ME-IN", b"SodiumChloride".hex())
    capitals = hashlib.scrypt(
        b"PLEASELETMEIN", salt=b"SodiumChloride", n=2**14, r=8, p=1, dklen=32
    )
    assert ours.hash == capitals.hex()


def test_a_code_opens_however_it_is_typed() -> None:
    """Small letters, spaces and the dash do not matter; any other letter does."""
    code = new_code()
    kept = hash_code(code)

    assert same_code(code.lower().replace("-", " "), kept)
    assert not same_code(code[:-1], kept)
    assert not same_code("", kept)


def test_the_same_code_is_kept_differently() -> None:
    """Each hash has a salt of its own, and does not hold the code."""
    first, second = hash_code("K7MWP-3XQ9T"), hash_code("K7MWP-3XQ9T")

    assert first.hash != second.hash
    assert "K7MWP" not in first.hash.upper()


def test_codes_are_letters_that_are_told_apart() -> None:
    """Two halves of five, none of 0 1 I L O U."""
    codes = {new_code() for _ in range(50)}

    assert len(codes) == 50
    assert set("".join(codes)) <= {*ALPHABET, "-"}
    assert not set(ALPHABET) & set("01ILOU")
    assert all(len(one) == 11 for one in codes)


@pytest.mark.parametrize(
    ("failures", "wait_s"),
    [(0, 0), (FREE_TRIES - 1, 0), (5, 5), (6, 10), (7, 20), (99, LONGEST_WAIT_S)],
)
def test_each_wrong_code_after_the_fifth_waits_longer(
    failures: int, wait_s: float
) -> None:
    """Twice as long each time, up to a quarter of an hour."""
    assert wait_after(failures) == wait_s
