"""Adding up trials of the mark words."""

from __future__ import annotations

from voicecheck.bench.marks import FOREIGN, Row, Trial, run, summed_up
from voicecheck.bench.voices.ports import Family, Voice
from voicecheck.checklists import load
from voicecheck.observe.spoken.words import mark_set


def trial(meant: str, took: str) -> Trial:
    """Return one trial in quiet."""
    return Trial(
        condition="quiet", voice="v", said=meant, meant=meant, took=took, heard=()
    )


def test_every_trial_is_counted_once() -> None:
    """Right, refused, wrong; the dangerous mistake; other talk."""
    trials = [
        trial("looked", "looked"),
        trial("missed", ""),
        trial("missed", "looked"),
        trial("unsafe", "called"),
        trial("", ""),
        trial("", "undo"),
    ]

    assert summed_up(trials) == (
        Row(
            condition="quiet",
            words=4,
            right=1,
            refused=1,
            wrong=2,
            taken_as_looked=1,
            foreign=2,
            foreign_taken=1,
        ),
    )


class Mute:
    """A synthesiser that can say nothing."""

    def voices(self) -> tuple[Voice, ...]:
        """Two voices."""
        return tuple(
            Voice(family=Family.ESPEAK, name=name, setting="s", licence="none")
            for name in ("a", "b")
        )

    def say(self, voice: Voice, text: str) -> None:
        """Say nothing."""


def test_what_cannot_be_said_is_no_trial() -> None:
    """And the voices are told of as they come."""
    told: list[str] = []

    trials = list(
        run(mark_set(load("wheel-loader")), None, [Mute()], told.append)  # type: ignore[arg-type]
    )

    assert trials == []
    assert told == ["espeak/a/s", "espeak/b/s"]


def test_other_talk_holds_no_word_of_ours() -> None:
    """Otherwise it would be no mistake to take it."""
    ours = {phrase.text for phrase in mark_set(load("wheel-loader")).phrases}

    assert not ours & set(FOREIGN)
