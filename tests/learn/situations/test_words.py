"""Another language tells the same situations in other words."""

from __future__ import annotations

import re

import pytest

from voicecheck.checklists import available, load
from voicecheck.errors import LearnError
from voicecheck.learn.situations import build
from voicecheck.learn.situations.files import facts
from voicecheck.learn.situations.words import PartWords, part_in_words

MACHINES = [one.name for one in available()]


@pytest.mark.parametrize("name", MACHINES)
def test_korean_calls_the_same(name: str) -> None:
    """Same ids, answers, decisions; every text of its own, in Hangul, finished."""
    english, korean = build(load(name)), build(load(name, "ko"))

    for one, other in zip(english, korean, strict=True):
        assert other.id == one.id
        assert other.answers == one.answers
        assert other.expected == one.expected
        assert bool(other.why) == bool(one.why)
        assert bool(other.caution) == bool(one.caution)
        assert re.search(r"[가-힣]", other.text)
        assert not re.search(r"[{}]|\s\s|\bNone\b", other.text)
        assert other.text.endswith("다.")
    assert len({(one.checkpoint_id, one.text) for one in korean}) == len(korean)


LOOKS = {
    "I": r"맺히지 않습니다|매달린 방울은 없습니다",
    "II": r"떨어지지 않습니다|그대로 있습니다",
    "III": r"떨어집니다|맺혀 떨어지고",
}


@pytest.mark.parametrize("leak_class", LOOKS)
def test_korean_leaks_look_as_their_class(leak_class: str) -> None:
    """No drop; a drop that stays; a drop that falls (TM 5-3895-383-24, 1-10)."""
    texts = [
        one.text
        for one in build(load("wheel-loader", "ko"))
        if str(one.expected.leak_class) == leak_class
    ]

    assert texts
    for text in texts:
        found = {name for name, look in LOOKS.items() if re.search(look, text)}
        assert found == {leak_class}, text


BOOM = facts("en").parts["structure"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"good": {}}, "structure.good"),
        ({"seats": ("하나",)}, "structure.seats"),
        ({"caution": ""}, "structure.caution"),
        ({"yes": {"extra": "예."}}, "structure.yes"),
    ],
    ids=["one is missing", "a seat is missing", "no caution", "one too many"],
)
def test_a_text_too_few_or_too_many_is_refused(
    change: dict[str, object], says: str
) -> None:
    """Half a translation would show English, or nothing, in the middle."""
    korean = facts("ko").parts["structure"]
    whole = {
        "caution": korean.caution,
        "seats": tuple(seat.text for seat in korean.seats),
        "good": korean.good,
        "unseen": korean.unseen,
        "defects": {
            key: {"texts": one.texts, "why": one.why}
            for key, one in korean.defects.items()
        },
    }
    assert part_in_words("structure", BOOM, PartWords.model_validate(whole))

    with pytest.raises(LearnError, match=says):
        part_in_words("structure", BOOM, PartWords.model_validate({**whole, **change}))
