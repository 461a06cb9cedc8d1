"""Tones under an ear defender in each noise."""

from __future__ import annotations

import pytest

from voicecheck.audio.noise import NoiseKind
from voicecheck.audio.tones import Tone
from voicecheck.bench.prompts_report import tone_table
from voicecheck.bench.tone_trials import ToneMargin, tone_margins

PROMPT_DBFS_A = -23.6


@pytest.fixture(scope="module")
def headset() -> tuple[ToneMargin, ...]:
    """Noise of 95 dBA outside, prompts of 75 dBA at the ear."""
    return tone_margins(95.0, 75.0, PROMPT_DBFS_A)


def test_every_tone_is_tried_in_every_noise(headset: tuple[ToneMargin, ...]) -> None:
    """All noises but quiet, four tones each."""
    tried = {(margin.noise, margin.tone) for margin in headset}
    assert len(tried) == len(headset) == (len(NoiseKind) - 1) * len(Tone)


def test_margins_follow_the_levels(headset: tuple[ToneMargin, ...]) -> None:
    """6 dB less noise, or 6 dB more tone, is 6 dB more margin."""
    quieter = tone_margins(89.0, 75.0, PROMPT_DBFS_A)
    louder = tone_margins(95.0, 81.0, PROMPT_DBFS_A)
    for base, less, more in zip(headset, quieter, louder, strict=True):
        assert less.margin_db == pytest.approx(base.margin_db + 6.0)
        assert more.margin_db == pytest.approx(base.margin_db + 6.0)


def test_a_loudspeaker_outside_is_heard_less(headset: tuple[ToneMargin, ...]) -> None:
    """The ear defender takes the tone away too."""
    outside = tone_margins(95.0, 75.0, PROMPT_DBFS_A, through_protector=True)
    pairs = zip(headset, outside, strict=True)
    assert all(out.margin_db < inside.margin_db - 15 for inside, out in pairs)


def test_weak_tones_are_marked(headset: tuple[ToneMargin, ...]) -> None:
    """Below 10 dB a tone is not clear (ISO 7731, from memory)."""
    table = tone_table(headset)
    assert table.count("\n") == len(NoiseKind)
    weak = sum(margin.margin_db < 10 for margin in headset)
    assert table.count("(weak)") == weak
