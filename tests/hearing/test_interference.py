"""Speech interference level against ISO 9921:2003."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.interference import (
    TalkRating,
    Voice,
    interference_level_db,
    rate_talk,
    speech_interference,
)
from voicecheck.hearing.spectrum import OctaveLevels

NOISE = OctaveLevels.of((70, 66, 62, 60, 56, 50, 40))
"""62, 60, 56, 50 dB in the four octaves from 500 Hz."""


def test_interference_level_is_the_mean_of_four_octaves() -> None:
    """ISO 9921: mean of 500, 1000, 2000 and 4000 Hz."""
    assert interference_level_db(NOISE) == 57.0


@pytest.mark.parametrize(
    ("voice", "distance", "margin", "rating"),
    [
        (Voice.LOUD, 1.0, 15.0, TalkRating.GOOD),
        (Voice.LOUD, 2.0, 8.98, TalkRating.POOR),
        (Voice.RAISED, 0.5, 15.02, TalkRating.GOOD),
        (Voice.NORMAL, 1.0, 3.0, TalkRating.POOR),
    ],
)
def test_worked_examples(
    voice: Voice, distance: float, margin: float, rating: TalkRating
) -> None:
    """ISO 9921 formula, vocal efforts and ratings (margins worked out anew)."""
    result = speech_interference(NOISE, voice, distance)

    assert result.margin_db == pytest.approx(margin, abs=0.005)
    assert result.rating is rating


@pytest.mark.parametrize(
    ("voice", "level"),
    [
        (Voice.RELAXED, 54),
        (Voice.NORMAL, 60),
        (Voice.RAISED, 66),
        (Voice.LOUD, 72),
        (Voice.VERY_LOUD, 78),
    ],
)
def test_vocal_efforts(voice: Voice, level: float) -> None:
    """ISO 9921:2003, A-weighted levels at 1 m."""
    assert voice.level_at_1_m_dba == level


def test_very_loud_voices_lose_clarity() -> None:
    """0.4 dB off for each dB above 75 (ISO 9921, from memory)."""
    assert speech_interference(NOISE, Voice.VERY_LOUD).speech_dba == pytest.approx(76.8)


@pytest.mark.parametrize(
    ("margin", "rating"),
    [
        (21.1, TalkRating.EXCELLENT),
        (21.0, TalkRating.GOOD),
        (15.0, TalkRating.GOOD),
        (14.9, TalkRating.FAIR),
        (10.0, TalkRating.FAIR),
        (9.9, TalkRating.POOR),
        (3.0, TalkRating.POOR),
        (2.9, TalkRating.BAD),
    ],
)
def test_ratings_at_their_boundaries(margin: float, rating: TalkRating) -> None:
    """ISO 9921 ratings; an exact boundary below excellent is the better word."""
    assert rate_talk(margin) is rating


@pytest.mark.parametrize("distance", [0, -1, float("inf"), float("nan")])
def test_impossible_distances_are_refused(distance: float) -> None:
    """A listener stands somewhere."""
    with pytest.raises(LevelError, match="metres"):
        speech_interference(NOISE, Voice.LOUD, distance)


@given(st.floats(-40, 60), st.floats(0, 40))
def test_more_margin_never_rates_worse(margin: float, more: float) -> None:
    """Ratings follow the margin."""
    order = list(TalkRating)

    assert order.index(rate_talk(margin + more)) <= order.index(rate_talk(margin))
