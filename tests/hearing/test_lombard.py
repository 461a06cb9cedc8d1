"""Rise of the voice in noise against published slopes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.lombard import lombard_rise


def test_rise_in_75_dba() -> None:
    """0.3 to 0.65 dB per dB above 43.3 dBA: 9.5 to 20.6 dB in 75 dBA.

    Slopes: van Heusden, Plomp and Pols 1979; Bottalico et al. 2017.
    """
    rise = lombard_rise(75)

    assert rise.least_db == pytest.approx(9.5, abs=0.05)
    assert rise.most_db == pytest.approx(20.6, abs=0.05)


def test_no_rise_in_quiet() -> None:
    """At the change point and below the voice is at its quiet level."""
    assert lombard_rise(43.3).most_db == 0
    assert lombard_rise(20).least_db == 0


@given(st.floats(0, 130), st.floats(0.1, 20))
def test_the_voice_never_keeps_up_with_the_noise(noise: float, more: float) -> None:
    """Voices never fall as noise rises, and never rise as much as the noise."""
    before, after = lombard_rise(noise), lombard_rise(noise + more)

    assert 0 <= before.least_db <= before.most_db
    assert before.most_db <= after.most_db < before.most_db + more
