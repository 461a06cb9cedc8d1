"""The commands `voicecheck readings ...`."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner, Result

from voicecheck.cli.readings import app
from voicecheck.errors import UsageError, VoicecheckError


def run(*arguments: str) -> Result:
    """Run the group; our own errors come through."""
    result = CliRunner().invoke(app, list(arguments))
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


# What each must say is worked out from the sources in tests/readings.
@pytest.mark.parametrize(
    ("arguments", "status", "said"),
    [
        (("tyre", "35 psi", "--at", "80 °F", "--to", "20 °F"), 0, "is 29.47 psi"),
        (("tyre", "450 kPa", "--at", "20 °C", "--to", "-5 °C"), 0, "403 kPa"),
        (
            ("tyre", "360 kPa", "--at", "20 C", "--recommended", "450 kPa"),
            1,
            "Do not inflate",
        ),
        (("battery", "1.258", "--at", "100 °F"), 0, "1.266"),
        (("battery", "1.225", "--at", "80 °F"), 0, "about 75 %"),
        (("coolant", "50"), 0, "freezes at -37 °C"),
        (("coolant", "50", "--glycol", "propylene"), 0, "freezes at -33 °C"),
        (("coolant", "20"), 1, "ASTM D3306"),
        (("coolant", "--protect-to", "-37.1 °C"), 0, "from 50 %"),
        (("urea", "--percent", "32.5"), 0, "within"),
        (("urea", "--index", "1.3850", "--at", "20 °C"), 1, "too strong"),
        (("urea", "--density", "1.090 g/cm3", "--at", "68 °F"), 0, "32.5 %"),
        (("restriction", "25 inH2O"), 0, "6.23 kPa = 62.3 mbar"),
        (("restriction", "25 inH2O", "--limit", "6.2 kPa"), 1, "at or above"),
        (("hours", "99998.5", "3.2", "--passed", "2 d"), 0, "4.7 h in 48 h"),
        (("hours", "4527.3", "4257.3", "--passed", "1 d"), 1, "went back"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, tuple) else None,
)
def test_results_are_plain_and_statuses_tell(
    arguments: tuple[str, ...], status: int, said: str
) -> None:
    """The figure with its unit, a caution, a source."""
    result = run(*arguments)

    assert said in result.stdout
    assert result.exit_code == status
    assert "Caution: " in result.stdout
    assert "Source: " in result.stdout


def test_altitude_changes_the_air_around() -> None:
    """ISO 2533: 89.9 kPa at 1000 m [from memory]."""
    result = run("tyre", "450 kPa", "--at", "20 °C", "--altitude", "1000 m")

    assert "air around 89.9 kPa" in result.stdout


def test_json_is_one_object_with_cautions_and_source() -> None:
    """For programs."""
    result = run("hours", "10.0", "12.5", "--passed", "8 h", "--json")
    data = json.loads(result.stdout)

    assert (data["hours_h"], data["flag"], data["trusted"]) == (2.5, "plausible", True)
    assert data["cautions"]
    assert data["source"]


@pytest.mark.parametrize(
    "arguments",
    [
        ("tyre", "450 kPa", "--at", "9 C", "--altitude", "9 m", "--ambient", "99 kPa"),
        ("coolant",),
        ("coolant", "50", "--protect-to", "-20 °C"),
        ("urea",),
        ("urea", "--index", "1.38"),
        ("urea", "--percent", "32", "--index", "1.38"),
    ],
    ids=" ".join,
)
def test_what_cannot_be_combined_is_refused(arguments: tuple[str, ...]) -> None:
    """With what to give instead."""
    with pytest.raises(UsageError):
        run(*arguments)


@pytest.mark.parametrize(
    "arguments",
    [
        ("tyre", "450", "--at", "20 °C"),
        ("battery", "1.25", "--at", "20 °C", "--full", "1.3"),
        ("hours", "twelve", "13", "--passed", "1 d"),
        ("coolant", "80"),
    ],
    ids=" ".join,
)
def test_impossible_values_are_one_sentence(arguments: tuple[str, ...]) -> None:
    """What was wrong and what to give."""
    with pytest.raises(VoicecheckError, match="; give "):
        run(*arguments)
