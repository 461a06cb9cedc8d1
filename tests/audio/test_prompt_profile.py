"""The saved sound check: written whole, read strictly."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from voicecheck.audio.prompt_profile import (
    FILE_NAME,
    MicrophoneCalibration,
    PromptProfile,
    PromptProfileError,
    load_profile,
    remove_profile,
    save_profile,
)
from voicecheck.hearing.prompt_level import PromptVerdict


def profile(**changes: Any) -> PromptProfile:
    """A profile as a sound check writes it."""
    usual: dict[str, Any] = {
        "saved_utc": "2026-01-05T06:00:00.000Z",
        "noise_dba": 92.0,
        "gain_db": 5.4,
        "equaliser_db": (0.0, -1.0, 0.0, 1.0, 2.0, 0.0),
        "words_a_minute": 165,
        "sii_before": 0.61,
        "sii": 0.75,
        "level_before_dba": 76.0,
        "level_dba": 81.2,
        "full_scale_dba": 99.6,
        "cap_dba": 82.0,
        "verdict": PromptVerdict.REACHED,
        "calibration": MicrophoneCalibration(device="Headset", full_scale_db=104.2),
    }
    return PromptProfile(**(usual | changes))


def test_it_comes_back_as_it_was(tmp_path: Path) -> None:
    """Written, read, the same; nothing else is left in the folder."""
    path = save_profile(tmp_path / "home", profile())
    assert load_profile(tmp_path / "home") == profile()
    assert [p.name for p in path.parent.iterdir()] == [FILE_NAME]


def test_the_setting_is_that_of_the_sound_check(tmp_path: Path) -> None:
    """Gain and equaliser add up per octave."""
    save_profile(tmp_path, profile())
    loaded = load_profile(tmp_path)
    assert loaded is not None
    assert loaded.setting.band_gains_db == pytest.approx((5.4, 4.4, 5.4, 6.4, 7.4, 5.4))


def test_the_cap_is_told_as_a_digital_level() -> None:
    """82 dBA at the ear, where full scale makes 99.6, is -17.6 dBFS."""
    assert profile().highest_dbfs == pytest.approx(-17.6)


@given(
    gain=st.floats(-60, 60),
    bands=st.lists(st.floats(-60, 60), min_size=6, max_size=6),
    verdict=st.sampled_from(PromptVerdict),
)
def test_any_setting_survives_the_file(
    gain: float, bands: list[float], verdict: PromptVerdict
) -> None:
    """JSON keeps every figure."""
    one = profile(gain_db=gain, equaliser_db=tuple(bands), verdict=verdict)
    assert PromptProfile.model_validate_json(one.model_dump_json(by_alias=True)) == one


def test_nothing_saved_is_no_error(tmp_path: Path) -> None:
    """None means: play prompts as they are."""
    assert load_profile(tmp_path) is None
    assert remove_profile(tmp_path) is False


def test_it_can_be_forgotten(tmp_path: Path) -> None:
    """Removed, and said to have been there."""
    save_profile(tmp_path, profile())
    assert remove_profile(tmp_path) is True
    assert load_profile(tmp_path) is None


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"version": 2}, "version"),
        ({"schema": "other"}, "schema"),
        ({"gain_db": 500}, "gain_db"),
        ({"gain_db": None}, "gain_db"),
        ({"equaliser_db": [0, 0, 0]}, "equaliser_db"),
        ({"words_a_minute": 5}, "words_a_minute"),
        ({"volume": 11}, "volume"),
        ({"verdict": "fine"}, "verdict"),
        ({"calibration": {"device": "x"}}, "calibration"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(
    tmp_path: Path, change: dict[str, Any], place: str
) -> None:
    """A file of another version, or altered by hand, is never used in part."""
    data = json.loads(profile().model_dump_json(by_alias=True)) | change
    (tmp_path / FILE_NAME).write_text(json.dumps(data))
    with pytest.raises(PromptProfileError, match=place):
        load_profile(tmp_path)


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b"[]"])
def test_a_damaged_file_says_what_to_do(tmp_path: Path, content: bytes) -> None:
    """Save again or reset."""
    (tmp_path / FILE_NAME).write_bytes(content)
    with pytest.raises(PromptProfileError, match="--reset"):
        load_profile(tmp_path)


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    """A file where the folder should be."""
    (tmp_path / "home").write_text("")
    with pytest.raises(PromptProfileError, match="rights"):
        save_profile(tmp_path / "home", profile())
