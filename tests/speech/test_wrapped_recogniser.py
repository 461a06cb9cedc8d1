"""A wrapper says of itself what the inner recogniser says."""

from __future__ import annotations

from voicecheck.audio.noise_watch.loudness import LOUD_BELOW_DB
from voicecheck.learn.spoken.hearing import PracticeRecogniser
from voicecheck.speech.paired_recogniser import PairedRecogniser
from voicecheck.speech.wrapped_recogniser import WrappedRecogniser
from voicecheck.testing.scripted_hearing import Deaf


class Patient(Deaf):
    """Needs the whole silence, and a quiet yard."""

    hears_early = False
    hears_down_to_db = 12.0
    odds_tried = True


def test_what_the_inner_one_says_is_passed_on() -> None:
    """Name, language, and the traits that are no part of the port."""
    inner = Patient()

    outer = WrappedRecogniser(inner)

    assert (outer.name, outer.language) == (inner.name, inner.language)
    assert outer.hears_early is False
    assert outer.hears_down_to_db == 12.0
    assert outer.odds_tried is True


def test_what_it_does_not_say_is_the_usual() -> None:
    """As `Listener` and `EarlyEnding` take it."""
    outer = WrappedRecogniser(Deaf())

    assert outer.hears_early is True
    assert outer.hears_down_to_db == LOUD_BELOW_DB
    assert outer.odds_tried is False


def test_practice_hears_as_far_down_as_a_walk() -> None:
    """It is not called too loud where a walk would go on."""
    pair = PairedRecogniser()

    practice = PracticeRecogniser(pair, pair)

    assert practice.hears_down_to_db == pair.hears_down_to_db < LOUD_BELOW_DB
