"""Speech intelligibility index against ANSI S3.5-1997 and a public library.

The cases C.1 and C.2 are those of the standard's Annex C; the altered ones go
with the open R package `SII`, which carries its tables. MoSQITo has its own
implementation of the same standard.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.hearing.errors import LevelError
from voicecheck.hearing.sii import (
    Intelligibility,
    octave_disturbance_db,
    octave_spectrum_db,
    octave_terms,
    rate_intelligibility,
    sii_octave,
    sii_third_octave,
    standard_speech,
)
from voicecheck.hearing.sii_tables import (
    OCTAVE,
    OCTAVE_IMPORTANCE,
    THIRD_OCTAVE,
    SpeechMaterial,
    VocalEffort,
)
from voicecheck.hearing.spectrum import OctaveLevels, energy_sum_db

C1_SPEECH = (50, 40, 40, 30, 20, 0)
C1_NOISE = (70, 65, 45, 25, 1, -15)
LOSS_AT_8_KHZ = (0, 0, 0, 0, 0, 7.10)
QUIET = (-math.inf,) * 6
IDLING = OctaveLevels.of((-math.inf, 78, 76, 74, 70, 64, 56))

spectra = st.lists(st.floats(-20, 110), min_size=6, max_size=6)
third_spectra = st.lists(st.floats(-20, 110), min_size=18, max_size=18)


def test_example_c1() -> None:
    """ANSI S3.5-1997 Annex C, C.1: the printed index 0.504 and its factors."""
    result = sii_octave(C1_SPEECH, C1_NOISE)

    assert result.index == pytest.approx(0.504, abs=0.0005)
    assert result.audibility == pytest.approx(
        (0, 0, 0.3333, 0.6667, 1, 0.7367), abs=5e-5
    )
    assert result.distortion == pytest.approx(
        (0.9672, 1, 0.9688, 0.9832, 0.9958, 1), abs=6e-5
    )


def test_hearing_loss_lowers_example_c1() -> None:
    """The same with a threshold of 7.10 dB at 8 kHz: 0.491 (R package SII)."""
    result = sii_octave(C1_SPEECH, C1_NOISE, threshold_db=LOSS_AT_8_KHZ)

    assert result.index == pytest.approx(0.491, abs=0.0005)


def test_own_importance_is_really_used() -> None:
    """All weight on 1 kHz: 0.323 (R package SII); ignoring it gives 0.491."""
    result = sii_octave(
        C1_SPEECH,
        C1_NOISE,
        threshold_db=LOSS_AT_8_KHZ,
        importance=(0, 0, 1, 0, 0, 0),
    )

    assert result.index == pytest.approx(0.323, abs=0.0005)


def test_third_octave_example() -> None:
    """One-third octaves with a loss at 160 Hz: 0.445 (R package SII)."""
    speech = [90, 5] + [40] * 12 + [-10] * 4
    noise = [10, -10, -10, 75] + [-10] * 10 + [10] * 4
    threshold = [90] + [0] * 17
    result = sii_third_octave(speech, noise, threshold_db=threshold)

    assert result.index == pytest.approx(0.445, abs=0.0005)


def test_example_c2() -> None:
    """ANSI S3.5-1997 Annex C, C.2: masking spreads upward; index worked out."""
    result = sii_third_octave([54] * 18, [40, 30, 20] + [0] * 15)

    assert result.masking_db[:3] == pytest.approx((40.00, 34.66, 25.05), abs=0.005)
    assert result.index == pytest.approx(0.851, abs=0.0005)


@pytest.mark.parametrize(
    ("effort", "index"),
    [
        (VocalEffort.NORMAL, 0.988),
        (VocalEffort.RAISED, 0.995),
        (VocalEffort.LOUD, 0.969),
        (VocalEffort.SHOUT, 0.919),
    ],
)
def test_standard_speech_in_silence(effort: VocalEffort, index: float) -> None:
    """Table 4 speech without noise: level distortion tells (worked out anew)."""
    result = sii_octave(OCTAVE.speech_db[effort], QUIET)

    assert result.index == pytest.approx(index, abs=0.0005)


@pytest.mark.parametrize(
    ("effort", "index"),
    [
        (VocalEffort.NORMAL, 0.000),
        (VocalEffort.RAISED, 0.087),
        (VocalEffort.LOUD, 0.323),
        (VocalEffort.SHOUT, 0.548),
    ],
)
def test_standard_speech_beside_an_idling_machine(
    effort: VocalEffort, index: float
) -> None:
    """Octaves 78 76 74 70 64 56 dB against speech at 1 m (worked out anew)."""
    result = sii_octave(OCTAVE.speech_db[effort], octave_spectrum_db(IDLING))

    assert result.index == pytest.approx(index, abs=0.0005)


@pytest.mark.parametrize(
    ("effort", "overall", "octaves", "a_level"),
    [
        (VocalEffort.NORMAL, 62.35, 62.56, 59.5),
        (VocalEffort.RAISED, 68.34, 68.69, 66.5),
        (VocalEffort.LOUD, 74.85, 74.75, 73.7),
        (VocalEffort.SHOUT, 82.30, 82.42, 82.3),
    ],
)
def test_overall_levels_of_standard_speech(
    effort: VocalEffort, overall: float, octaves: float, a_level: float
) -> None:
    """Printed overall levels; octave sums are within 0.4 dB of them."""
    speech = standard_speech(effort)
    total = energy_sum_db(speech.level_db)

    assert effort.overall_level_db == overall
    assert total == pytest.approx(octaves, abs=0.005)
    assert total == pytest.approx(overall, abs=0.4)
    # The expected figures rest on weights rounded to 0.1 dB.
    assert speech.a_level_dba == pytest.approx(a_level, abs=0.1)


def test_importance_adds_up_to_one() -> None:
    """Every importance table of the standard adds up to 1."""
    for material in SpeechMaterial:
        assert sum(OCTAVE_IMPORTANCE[material]) == pytest.approx(1, abs=1e-9)
    assert sum(THIRD_OCTAVE.importance) == pytest.approx(1, abs=1e-9)


def test_bandwidths_belong_to_their_bands() -> None:
    """The bandwidth adjustment is 10 log10 of the band's width in hertz."""
    for bands, half in ((OCTAVE, 10**0.15), (THIRD_OCTAVE, 10**0.05)):
        widths = np.asarray(bands.midband_hz) * (half - 1 / half)

        assert np.asarray(bands.bandwidth_db) == pytest.approx(
            10 * np.log10(widths), abs=0.06
        )


@pytest.mark.parametrize("effort", list(VocalEffort))
@pytest.mark.parametrize("method", ["octave", "third_octave"])
def test_a_library_agrees(effort: VocalEffort, method: str) -> None:
    """MoSQITo's index agrees in sloping noise, both procedures, all efforts.

    Its copy of the table has 43.40 at 400 Hz, loud, where ours has 43.30.
    """
    library = pytest.importorskip("mosqito.sq_metrics")
    bands = OCTAVE if method == "octave" else THIRD_OCTAVE
    ours = sii_octave if method == "octave" else sii_third_octave
    hz = np.asarray(bands.midband_hz)
    for level in (10.0, 25.0, 40.0):
        noise = level - 8 * np.log2(hz / 1000)
        theirs, _, _ = library.sii_ansi_freq(
            noise.copy(), hz, method=method, speech_level=effort.value
        )
        index = ours(bands.speech_db[effort], noise.tolist()).index

        assert index == pytest.approx(float(theirs), abs=3e-4)


@pytest.mark.parametrize(
    ("index", "word"),
    [
        (0.75, Intelligibility.GOOD),
        (0.749, Intelligibility.FAIR),
        (0.45, Intelligibility.FAIR),
        (0.449, Intelligibility.POOR),
    ],
)
def test_words_for_an_index(index: float, word: Intelligibility) -> None:
    """ANSI S3.5 rule of thumb, from memory: 0.75 and 0.45, ties upward."""
    assert rate_intelligibility(index) is word


@pytest.mark.parametrize(
    ("speech", "noise"),
    [
        ([40] * 5, [0] * 6),
        ([40] * 6, [0] * 18),
        ([math.nan] * 6, [0] * 6),
        ([40] * 6, [math.inf] * 6),
    ],
)
def test_wrong_spectra_are_refused(speech: list[float], noise: list[float]) -> None:
    """A wrong count or a level that is no number gets a clear error."""
    with pytest.raises(LevelError, match="one per band"):
        sii_octave(speech, noise)


@pytest.mark.parametrize("weights", [(1, 0), (0.5,) * 6, (2, -1, 0, 0, 0, 0)])
def test_wrong_importance_is_refused(weights: tuple[float, ...]) -> None:
    """Weights must be six, not negative, and add up to 1."""
    with pytest.raises(LevelError, match="add up to 1"):
        sii_octave(C1_SPEECH, C1_NOISE, importance=weights)


@pytest.mark.parametrize("threshold", [[0, 0], math.inf, [math.nan] * 6])
def test_wrong_thresholds_are_refused(threshold: list[float] | float) -> None:
    """A hearing threshold is one finite level or one per band."""
    with pytest.raises(LevelError, match="hearing threshold"):
        sii_octave(C1_SPEECH, C1_NOISE, threshold_db=threshold)


def test_silence_is_not_understood() -> None:
    """Speech that is not there has an index of 0, by both procedures."""
    assert sii_octave(QUIET, C1_NOISE).index == 0
    assert sii_third_octave((-math.inf,) * 18, [0] * 18).index == 0


@given(spectra, spectra)
def test_index_stays_between_0_and_1(speech: list[float], noise: list[float]) -> None:
    """No speech in no noise leaves the scale (octaves)."""
    assert 0 <= sii_octave(speech, noise).index <= 1 + 1e-9


@given(third_spectra, third_spectra)
def test_third_octave_index_stays_between_0_and_1(
    speech: list[float], noise: list[float]
) -> None:
    """No speech in no noise leaves the scale (one-third octaves)."""
    assert 0 <= sii_third_octave(speech, noise).index <= 1 + 1e-9


@given(spectra, st.floats(0, 40))
def test_gain_helps_until_the_level_distorts(noise: list[float], gain: float) -> None:
    """Louder speech is never less clear while no band passes normal + 10 dB."""
    normal = np.asarray(OCTAVE.speech_db[VocalEffort.NORMAL])
    louder = normal + 10
    quieter = louder - gain

    before = sii_octave(quieter.tolist(), noise).index
    assert before <= sii_octave(louder.tolist(), noise).index + 1e-12


@given(spectra, spectra, st.floats(0, 40))
def test_audibility_rises_with_gain_at_any_level(
    speech: list[float], noise: list[float], gain: float
) -> None:
    """Gain never hides speech; only the distortion factor may fall."""
    before = sii_octave(speech, noise)
    after = sii_octave([level + gain for level in speech], noise)

    assert all(np.subtract(after.audibility, before.audibility) >= -1e-12)
    assert all(np.subtract(after.distortion, before.distortion) <= 1e-12)


@given(spectra, spectra, st.floats(0, 40))
def test_noise_never_helps(
    speech: list[float], noise: list[float], more: float
) -> None:
    """More noise never raises the index."""
    louder = [level + more for level in noise]

    assert sii_octave(speech, louder).index <= sii_octave(speech, noise).index + 1e-12


@given(third_spectra, third_spectra)
def test_masking_is_never_below_the_noise(
    speech: list[float], noise: list[float]
) -> None:
    """Spread of masking adds to the noise, it never takes away."""
    masking = sii_third_octave(speech, noise).masking_db

    assert all(np.subtract(masking, noise) >= -1e-9)


@given(spectra, spectra)
def test_band_terms_add_up_to_the_index(
    speech: list[float], noise: list[float]
) -> None:
    """The shares that the prompt search uses are those of the index."""
    terms = octave_terms(
        np.asarray(speech),
        octave_disturbance_db(noise),
        np.asarray(OCTAVE.importance),
    )

    assert float(terms.sum()) == pytest.approx(sii_octave(speech, noise).index)
