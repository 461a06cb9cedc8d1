"""The answers file: what is to be answered at each checkpoint, as JSON.

    {
      "format": "voicecheck-answers/1",
      "checklist": "wheel-loader",
      "answers": {
        "hour_meter": 4527.3,
        "cab_empty": "yes",
        "engine_oil_level": "low",
        "left_front_rim": {"answer": "defect", "fault": "cracked",
                           "severity": "major"},
        "rear_leaks": {"answer": "leak", "fluid": "coolant", "leak_class": "II"},
        "camera_picture": "not_fitted",
        "fan_guard": {"answer": "could_not_check", "reason": "too_hot"}
      }
    }

An answer stands in full, as in `voicecheck.record.answer_json`, or in short: a
word ("good", "yes", "no", "not_fitted", or a level) or, for a reading, a number
in the unit of its checkpoint. In full a reading may say its unit, and a leak
may leave out the fluid where only one can leak. "checklist" may be left out; so
may everything but the mapping of answers itself. The order does not matter.
The schema is `answers.schema.json` beside this module.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from voicecheck.errors import AnswersFileError
from voicecheck.record.answer_json import answer_from_json, answer_to_json
from voicecheck.round.answers import Answer, Level, No, ReadingTaken
from voicecheck.round.checklist import Checklist, Checkpoint, CheckpointKind
from voicecheck.round.probing import fluids_at, problem_with

FORMAT = "voicecheck-answers/1"

_WORDS = ("good", "yes", "no", "not_fitted")


def load(path: Path, checklist: Checklist) -> dict[str, Answer]:
    """Read an answers file.

    Args:
        path: the file, JSON in UTF-8.
        checklist: the checklist that the answers are for.

    Returns:
        Answers by checkpoint, in the order of the file. Points may be missing:
        see `missing`.

    Raises:
        AnswersFileError: the file cannot be read, or an answer does not fit its
            checkpoint; the text names the file, the checkpoint and what was
            expected.
    """
    try:
        text = path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise AnswersFileError(f"{path}: cannot be read: {error}") from error
    return parse(text, checklist, name=str(path))


def load_complete(path: Path, checklist: Checklist) -> dict[str, Answer]:
    """Like `load`, for a walk that nobody is there to ask the rest of.

    Raises:
        AnswersFileError: also when a point has no answer; it names them.
    """
    answers = load(path, checklist)
    if without := missing(checklist, answers):
        named = ", ".join(without[:5]) + (" …" if len(without) > 5 else "")
        raise AnswersFileError(
            f"{path}: {len(without)} points have no answer: {named}; add them"
        )
    return answers


def parse(
    text: str, checklist: Checklist, *, name: str = "answers"
) -> dict[str, Answer]:
    """Like `load`, from text; `name` is what error messages call it."""
    try:
        data = json.loads(
            text,
            parse_float=Decimal,
            parse_constant=_no_constant,
            object_pairs_hook=_no_twins,
        )
        mapping = _mapping(data, checklist)
        return {
            checkpoint_id: _answer(checklist, checkpoint_id, value)
            for checkpoint_id, value in mapping.items()
        }
    except json.JSONDecodeError as error:
        raise AnswersFileError(f"{name}: is not JSON: {error}") from error
    except (ValueError, RecursionError) as error:
        raise AnswersFileError(f"{name}: {error}") from error


def dump(answers: Mapping[str, Answer], checklist: Checklist) -> str:
    """Return the text of an answers file with every answer in full."""
    data = {
        "format": FORMAT,
        "checklist": checklist.name,
        "answers": {
            checkpoint_id: answer_to_json(answer)
            for checkpoint_id, answer in answers.items()
        },
    }
    return json.dumps(data, ensure_ascii=False, indent=2) + "\n"


def missing(checklist: Checklist, answers: Mapping[str, Answer]) -> tuple[str, ...]:
    """Return the points that a walk with these answers would still ask.

    A start check answered with no ends the walk, so nothing after it is missing.
    """
    without: list[str] = []
    for point in checklist.checkpoints:
        answer = answers.get(point.id)
        if isinstance(answer, No):
            break
        if answer is None:
            without.append(point.id)
    return tuple(without)


@cache
def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of an answers file."""
    text = files(__package__).joinpath("answers.schema.json").read_text("utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


def _mapping(data: object, checklist: Checklist) -> Mapping[str, object]:
    """Return the mapping of answers, with or without a head around it."""
    if not isinstance(data, dict):
        raise ValueError("expected an object of checkpoint ids and answers")
    if "format" not in data:
        return data
    if data["format"] != FORMAT:
        raise ValueError(f'"format" must be "{FORMAT}", not {data["format"]!r}')
    if unknown := set(data) - {"format", "checklist", "answers"}:
        raise ValueError(f"unknown keys: {', '.join(sorted(unknown))}")
    named = data.get("checklist", checklist.name)
    if named != checklist.name:
        raise ValueError(
            f"the answers are for the checklist {named!r}, the walk uses "
            f"{checklist.name!r}; choose it with --checklist"
        )
    answers = data.get("answers")
    if not isinstance(answers, dict):
        raise ValueError('"answers" must be an object of checkpoint ids and answers')
    return answers


def _answer(checklist: Checklist, checkpoint_id: str, value: object) -> Answer:
    try:
        point = checklist.checkpoint(checkpoint_id)
    except KeyError:
        raise ValueError(
            f"{checkpoint_id}: the checklist {checklist.name} has no such checkpoint; "
            f"`voicecheck checklists show {checklist.name}` lists them"
        ) from None
    try:
        answer = answer_from_json(_in_full(checklist, point, value))
    except ValueError as error:
        raise ValueError(f"{checkpoint_id}: {error}") from None
    problem = problem_with(checklist, point, answer) or _digits(point, answer)
    if problem is not None:
        raise ValueError(f"{problem}; expected {_expected(point)}")
    return answer


def _in_full(checklist: Checklist, point: Checkpoint, value: object) -> object:
    """Return the full form of an answer that may stand in short."""
    if isinstance(value, str):
        if value in list(Level):
            return {"answer": "level", "level": value}
        if value not in _WORDS:
            raise ValueError(f"{value!r} is no answer; expected {_expected(point)}")
        return {"answer": value}
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        return {"answer": "reading", "value": value}
    if not isinstance(value, dict):
        raise ValueError(f"{value!r} is no answer; expected {_expected(point)}")
    full = dict(value)
    if full.get("answer") == "leak" and "fluid" not in full:
        fluids = fluids_at(checklist, point)
        if len(fluids) == 1:
            full["fluid"] = fluids[0]
    if full.get("answer") == "reading" and point.reading and "unit" in full:
        unit = full.pop("unit")
        if unit != point.reading.unit:
            raise ValueError(f"unit must be {point.reading.unit}, not {unit!r}")
    return full


def _digits(point: Checkpoint, answer: Answer) -> str | None:
    """Say so when a reading has more digits than its gauge shows."""
    if not isinstance(answer, ReadingTaken) or point.reading is None:
        return None
    try:
        answer_to_json(answer)
    except ValueError as error:
        return f"{point.id}: {error}"
    exponent = answer.value.normalize().as_tuple().exponent
    if isinstance(exponent, int) and -exponent > point.reading.decimals:
        return f"{point.id}: {answer.value} has too many digits after the point"
    return None


def _expected(point: Checkpoint) -> str:
    """Say what answers a point takes, in short."""
    match point.kind:
        case CheckpointKind.START:
            return '"yes" or "no"'
        case CheckpointKind.LEVEL:
            first = ", ".join(f'"{level}"' for level in Level) + ", a leak"
        case CheckpointKind.READING if point.reading is not None:
            spec = point.reading
            first = (
                f"a number in {spec.unit} from {spec.plausible_min} to "
                f"{spec.plausible_max} with at most {spec.decimals} digits after "
                "the point"
            )
        case _:
            first = '"good", a defect, a leak'
    absent = ', "not_fitted"' if point.may_be_absent else ""
    return f"{first}{absent} or could_not_check with a reason"


def _no_constant(name: str) -> object:
    raise ValueError(f"{name} is not a number that JSON knows")


def _no_twins(pairs: list[tuple[str, object]]) -> dict[str, object]:
    """Refuse a key that stands twice: which of its answers is meant?"""
    data: dict[str, object] = {}
    for key, value in pairs:
        if key in data:
            raise ValueError(f"{key} stands twice in the file; keep one")
        data[key] = value
    return data
