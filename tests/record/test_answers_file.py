"""The answers file: what it takes, and what it says when something is wrong."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from voicecheck.errors import AnswersFileError
from voicecheck.record import answers_file
from voicecheck.round import answers as an
from voicecheck.testing.small_checklist import small_checklist

CHECKLIST = small_checklist()
VALIDATOR = jsonschema.Draft202012Validator(answers_file.schema())
MEANT: dict[str, an.Answer] = {
    "hour_meter": an.ReadingTaken(value=Decimal("4527.3")),
    "parked": an.Yes(),
    "nobody_near": an.Yes(),
    "left_tyre": an.ReadingTaken(value=Decimal(350)),
    "left_wheel": an.Defect(fault=an.Fault.LOOSE, severity=an.Severity.MAJOR),
    "leaks_below": an.Leak(fluid="fuel", leak_class=an.LeakClass.ONE),
    "engine_oil": an.LevelSeen(level=an.Level.LOW),
    "belts": an.NotFitted(),
    "horn": an.CouldNotCheck(reason=an.Reason.UNSAFE),
    "camera": an.Good(),
}
SHORT: dict[str, Any] = {
    "hour_meter": 4527.3,
    "parked": "yes",
    "nobody_near": "yes",
    "left_tyre": 350,
    "left_wheel": {"answer": "defect", "fault": "loose", "severity": "major"},
    "leaks_below": {"answer": "leak", "leak_class": "I"},
    "engine_oil": "low",
    "belts": "not_fitted",
    "horn": {"answer": "could_not_check", "reason": "unsafe"},
    "camera": "good",
}


def parsed(data: object) -> dict[str, an.Answer]:
    """Parse JSON data as an answers file for the small checklist."""
    return answers_file.parse(json.dumps(data), CHECKLIST, name="a.json")


def test_short_forms_mean_the_same_as_full_ones() -> None:
    """Words, numbers and full objects give the answers that they stand for."""
    assert parsed(SHORT) == MEANT


def test_a_head_may_stand_around_the_answers() -> None:
    """The form with format and checklist gives the same answers."""
    head = {"format": "voicecheck-answers/1", "checklist": "small", "answers": SHORT}

    assert parsed(head) == MEANT


def test_the_name_of_the_checklist_may_be_left_out() -> None:
    """A file may be meant for any checklist that has its points."""
    assert parsed({"format": "voicecheck-answers/1", "answers": SHORT}) == MEANT


def test_what_is_dumped_loads_the_same(tmp_path: Path) -> None:
    """Writing and reading again loses nothing, not even the order."""
    path = tmp_path / "answers.json"
    path.write_text(answers_file.dump(MEANT, CHECKLIST), "utf-8")

    loaded = answers_file.load(path, CHECKLIST)

    assert list(loaded.items()) == list(MEANT.items())


def test_a_reading_may_say_its_unit() -> None:
    """The unit of the checkpoint is taken as a confirmation."""
    answers = parsed({"left_tyre": {"answer": "reading", "value": 350, "unit": "kPa"}})

    assert answers == {"left_tyre": MEANT["left_tyre"]}


@pytest.mark.parametrize(
    ("data", "says"),
    [
        ([], "expected an object"),
        ({"wings": "good"}, "wings: .* no such checkpoint"),
        ({"horn": "fine"}, "horn: 'fine' is no answer; expected \"good\""),
        ({"horn": True}, "horn: True is no answer"),
        ({"horn": None}, "horn: None is no answer"),
        ({"horn": "low"}, 'horn .* does not take LevelSeen; expected "good"'),
        ({"horn": "not_fitted"}, "horn must be fitted"),
        ({"parked": "good"}, 'expected "yes" or "no"'),
        ({"left_tyre": "good"}, "expected a number in kPa from 0 to 1000"),
        ({"left_tyre": 5000}, "left_tyre: 5000 kPa is not between 0 and 1000"),
        ({"left_tyre": 350.5}, "left_tyre: 350.5 has too many digits"),
        ({"left_tyre": "350"}, "left_tyre: '350' is no answer"),
        ({"hour_meter": 4527.123456789012345678}, "too many digits"),
        (
            {"left_tyre": {"answer": "reading", "value": 50, "unit": "psi"}},
            "left_tyre: unit must be kPa, not 'psi'",
        ),
        ({"horn": {"answer": "leak", "leak_class": "I"}}, 'horn: "leak" needs "fluid"'),
        (
            {"leaks_below": {"answer": "leak", "fluid": "oil", "leak_class": "I"}},
            "fluid must be one of fuel",
        ),
        ({"horn": {"answer": "defect", "fault": "bent"}}, 'horn: .* needs "severity"'),
        ({"format": "voicecheck-answers/9", "answers": {}}, '"format" must be'),
        ({"format": "voicecheck-answers/1"}, '"answers" must be'),
        (
            {"format": "voicecheck-answers/1", "answers": {}, "unit": "L-12"},
            "unknown keys: unit",
        ),
        (
            {"format": "voicecheck-answers/1", "checklist": "big", "answers": {}},
            "for the checklist 'big'",
        ),
    ],
    ids=str,
)
def test_a_wrong_file_says_where_and_what(data: object, says: str) -> None:
    """The error names the file, the checkpoint and what was expected."""
    with pytest.raises(AnswersFileError, match=says) as caught:
        parsed(data)

    assert str(caught.value).startswith("a.json: ")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "is not JSON"),
        ('{"horn": ', "is not JSON"),
        ('{"left_tyre": NaN}', "NaN is not a number"),
        ('{"horn": "good", "horn": {"answer": "good"}}', "horn stands twice"),
        ('{"left_tyre": 350.00000000000000000001}', "left_tyre: .* more digits"),
        ("[" * 100_000, "a.json"),
    ],
    ids=["empty", "cut", "nan", "twice", "digits", "deep"],
)
def test_a_text_that_is_no_answers_file(text: str, says: str) -> None:
    """Broken JSON, doubled keys and unusual numbers are refused."""
    with pytest.raises(AnswersFileError, match=says):
        answers_file.parse(text, CHECKLIST, name="a.json")


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """A missing file is named."""
    with pytest.raises(AnswersFileError, match=r"nowhere\.json: cannot be read"):
        answers_file.load(tmp_path / "nowhere.json", CHECKLIST)


def test_a_file_that_is_not_text(tmp_path: Path) -> None:
    """Bytes that are not UTF-8 are refused with the file's name."""
    path = tmp_path / "answers.json"
    path.write_bytes(b"\xff\xfe{}")

    with pytest.raises(AnswersFileError, match=r"answers\.json: cannot be read"):
        answers_file.load(path, CHECKLIST)


def test_points_without_an_answer_are_named_in_walking_order() -> None:
    """A file may leave points open; the walk would ask them."""
    answers = {key: MEANT[key] for key in MEANT if key not in ("camera", "parked")}

    assert answers_file.missing(CHECKLIST, answers) == ("parked", "camera")
    assert answers_file.missing(CHECKLIST, MEANT) == ()


def test_a_walk_without_anybody_needs_every_answer(tmp_path: Path) -> None:
    """Points that nobody could be asked are named."""
    path = tmp_path / "answers.json"
    path.write_text(answers_file.dump(MEANT, CHECKLIST), "utf-8")
    assert answers_file.load_complete(path, CHECKLIST) == MEANT

    path.write_text(json.dumps({"parked": "yes"}), "utf-8")
    with pytest.raises(AnswersFileError, match=r"9 points .*: hour_meter, .* …; add"):
        answers_file.load_complete(path, CHECKLIST)


def test_nothing_is_missing_after_a_no() -> None:
    """A start check answered with no ends the walk."""
    answers = {"hour_meter": MEANT["hour_meter"], "parked": an.No()}

    assert answers_file.missing(CHECKLIST, answers) == ()
    assert answers_file.missing(CHECKLIST, {"parked": an.No()}) == ("hour_meter",)


def test_the_published_schema_is_a_schema() -> None:
    """It is valid under draft 2020-12."""
    jsonschema.Draft202012Validator.check_schema(answers_file.schema())


@pytest.mark.parametrize(
    "data",
    [
        SHORT,
        {"format": "voicecheck-answers/1", "answers": SHORT},
        json.loads(answers_file.dump(MEANT, CHECKLIST)),
    ],
    ids=["bare", "head", "dumped"],
)
def test_the_published_schema_takes_what_we_take(data: object) -> None:
    """All forms that are loaded are valid under the schema."""
    assert list(VALIDATOR.iter_errors(data)) == []


@pytest.mark.parametrize(
    "data",
    [
        [],
        {"horn": "fine"},
        {"horn": True},
        {"horn": {"answer": "good", "severity": "minor"}},
        {"horn": {"answer": "defect", "fault": "odd", "severity": "minor"}},
        {"format": "voicecheck-answers/1"},
        {"format": "voicecheck-answers/1", "answers": {}, "unit": "L-12"},
        {"format": "voicecheck-answers/9", "answers": {}},
    ],
    ids=str,
)
def test_the_published_schema_refuses_what_we_refuse(data: object) -> None:
    """What the schema can know, it refuses like the loader."""
    assert list(VALIDATOR.iter_errors(data)) != []


def test_the_published_schema_knows_the_same_words() -> None:
    """Closed sets in the schema are those of the code."""
    defs = answers_file.schema()["$defs"]

    for name, kind in (
        ("fault", an.Fault),
        ("severity", an.Severity),
        ("leak_class", an.LeakClass),
        ("level", an.Level),
        ("reason", an.Reason),
    ):
        assert defs[name]["enum"] == [member.value for member in kind]


def test_the_example_in_the_description_is_valid() -> None:
    """The file shown in the module's docstring follows the schema."""
    text = (answers_file.__doc__ or "").split("\n\n")[1]

    assert list(VALIDATOR.iter_errors(json.loads(text))) == []
