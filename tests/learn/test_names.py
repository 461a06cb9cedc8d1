"""How places may be called: forms of their titles."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.checklists.loader import load
from voicecheck.learn.names import MOST_WORDS, forms, title

MACHINES = (
    "articulated-dump-truck",
    "crawler-excavator",
    "telescopic-handler",
    "track-dozer",
    "wheel-loader",
)


@pytest.mark.parametrize(
    ("prompt", "zone", "expected"),
    [
        ("Horn?", "function checks", ["horn"]),
        ("Left front tread?", "left front wheel", ["left front tread", "tread"]),
        (
            "Left front wheel nuts?",
            "left front wheel",
            ["left front wheel nuts", "wheel nuts", "nuts"],
        ),
        (
            "Bucket and its welds?",
            "the bucket",
            ["bucket and its welds", "welds", "bucket"],
        ),
        (
            "Service brake, as the manual says?",
            "function checks",
            ["service brake as the manual says", "service brake"],
        ),
        ("Is the cab empty?", "before approach", ["cab empty"]),
    ],
    ids=["one word", "in its zone", "two steps", "halves", "comma", "question"],
)
def test_a_point_has_a_whole_name_and_short_ones(
    prompt: str, zone: str, expected: list[str]
) -> None:
    """The whole first; what the zone says already may be left out."""
    assert list(forms(prompt, "en", zone)) == expected


def test_korean_titles_are_taken_apart_at_their_particles() -> None:
    """The joint of two nouns hangs on the first of them."""
    assert forms("왼쪽 앞 림과 플랜지?", "ko", "왼쪽 앞바퀴") == (
        "왼쪽 앞 림과 플랜지",
        "앞 림과 플랜지",
        "왼쪽 앞 림",
        "앞 림",
        "플랜지",
    )


@given(st.text(max_size=40), st.text(max_size=20), st.sampled_from(["en", "ko", "xx"]))
def test_forms_are_plain_words_and_never_alike(
    text: str, zone: str, language: str
) -> None:
    """Whatever the title: no mark, no capital, not too long, none twice."""
    found = forms(text, language, zone)

    assert len(set(found)) == len(found)
    for form in found:
        assert form == form.lower().strip()
        assert 1 <= len(form.split()) <= MOST_WORDS
        assert not set("?.,!") & set(form)


@pytest.mark.parametrize("machine", MACHINES)
def test_every_shipped_title_has_a_form(machine: str) -> None:
    """Zones and points of all machines can be called something."""
    for language in ("en", "ko"):
        checklist = load(machine, language)
        for zone in checklist.zones:
            assert forms(zone.title, language)
            for point in zone.checkpoints:
                assert forms(point.prompt, language, zone.title), point.id


def test_a_title_is_the_question_without_its_mark() -> None:
    """As it is read back."""
    assert title("Teeth and their pins? ") == "Teeth and their pins"
