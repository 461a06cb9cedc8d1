"""Canonical JSON, held against the examples of RFC 8785."""

from __future__ import annotations

import json

import pytest

from voicecheck.record.canonical import canonical, sha256_of

# RFC 8785 section 3.2.2: the input of the worked example.
RFC_INPUT = r"""
{
  "numbers": [333333333.33333329, 1E30, 4.50,
              2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}
"""
# RFC 8785 section 3.2.4: the bytes of its result.
RFC_BYTES = bytes.fromhex(
    "7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72"
    "75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a"
    "5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31"
    "65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37"
    "5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30"
    "30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d"
)


def test_the_example_of_the_standard() -> None:
    """The worked example of RFC 8785 gives the bytes printed there."""
    assert canonical(json.loads(RFC_INPUT)) == RFC_BYTES


def test_the_hash_is_of_the_canonical_bytes() -> None:
    """The hash of an empty text in JSON is that of two quotation marks.

    Worked out with `printf '""' | sha256sum`.
    """
    assert sha256_of("") == (
        "12ae32cb1ec02d01eda3581b127c1fee3b0dc53572ed6baf239721a03d82e126"
    )


def test_a_whole_number_hashes_the_same_in_both_forms() -> None:
    """4527 and 4527.0 are one number in JSON."""
    assert canonical([4527.0]) == canonical([4527]) == b"[4527]"


@pytest.mark.parametrize(
    "data",
    [
        float("nan"),
        float("inf"),
        2**53 + 1,
        "\ud800",
        {1: 2},
        pytest.param(object(), id="object"),
    ],
    ids=repr,
)
def test_what_is_no_json_is_refused(data: object) -> None:
    """Nothing is written that another reader would refuse or read otherwise."""
    with pytest.raises(ValueError, match="cannot be written as JSON"):
        canonical(data)
