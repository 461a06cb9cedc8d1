"""Translations are overlays: complete, fitting, and nothing but words."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from voicecheck.checklists import ProblemSeverity, lint, load
from voicecheck.errors import ChecklistError

Write = Callable[..., Path]


def test_words_change_and_nothing_else(
    minimal: str, translation: str, write: Write
) -> None:
    """Texts are those of the translation; ids, kinds, tags and limits stay."""
    path = write(minimal)
    write(translation, name="small-truck.ko.toml")
    english, korean = load(path), load(path, "ko")
    assert korean.language == "ko"
    assert korean.title == "소형 트럭 점검"
    assert korean.fluid("fuel").name == "연료"
    assert korean.zone("inside").climb_caution == "발판을 조심하십시오."
    assert korean.zone("end").climb_caution == "세 점을 잡고 오르내리십시오."
    assert korean.checkpoint("horn").hazards == ("주위를 확인하십시오.",)
    assert korean.checkpoint("cab_empty").stop_text == "먼저 내리게 하십시오."
    assert korean.rules[0].text == "시작하면 안 됩니다."
    assert korean.rules[0].source == english.rules[0].source
    for one, other in zip(english.checkpoints, korean.checkpoints, strict=True):
        assert (one.id, one.kind, one.tags) == (other.id, other.kind, other.tags)
        assert one.reading == other.reading
        assert one.prompt != other.prompt
    assert lint(path) == ()


ERRORS: dict[str, tuple[tuple[str, str], str, str]] = {
    "other checklist": (
        ('checklist = "small-truck"', 'checklist = "big-truck"'),
        "checklist",
        "must be 'small-truck'",
    ),
    "older version": (
        ('checklist_version = "1.0.0"', 'checklist_version = "0.9.0"'),
        "checklist_version",
        "must be '1.0.0'",
    ),
    "language unlike the file": (
        ('language = "ko"', 'language = "ja"'),
        "language",
        "must be 'ko'",
    ),
    "fluid missing": (('fuel = "연료"\n', ""), "fluids > fuel", "not translated"),
    "zone missing": (
        ('end = { title = "마지막" }\n', ""),
        "zones > end",
        "not translated",
    ),
    "checkpoint missing": (
        ("[checkpoints.last_look]", "[checkpoints.lost_look]"),
        "checkpoints > last_look",
        "not translated",
    ),
    "checkpoint unknown": (
        ("[checkpoints.last_look]", "[checkpoints.lost_look]"),
        "checkpoints > lost_look",
        "not in the checklist",
    ),
    "rule missing": (
        ('level_low = "채우십시오."\n', ""),
        "rules > level_low",
        "not translated",
    ),
    "hazard missing": (
        ('hazards = ["주위를 확인하십시오."]\n', ""),
        "checkpoints > horn, hazards",
        "must be 1",
    ),
    "stop text missing": (
        ('stop_text = "먼저 내리게 하십시오."\n', ""),
        "checkpoints > cab_empty, stop_text",
        "add it",
    ),
    "climb caution missing": (
        (', climb_caution = "발판을 조심하십시오."', ""),
        "zones > inside, climb_caution",
        "add it",
    ),
    "caution missing": (
        ('cautions = ["설명서가 먼저입니다."]', "cautions = []"),
        "cautions",
        "must be 1",
    ),
    "prompt missing": (
        ('prompt = "경음기는?"\n', ""),
        "checkpoints > horn > prompt",
        "add it",
    ),
    "unknown key": (
        ('prompt = "경음기는?"', 'promt = "x"\nprompt = "경음기는?"'),
        "checkpoints > horn > promt",
        "not known",
    ),
    "Latin letters": (
        ('"막힘 지시값은?"', '"막힘 지시값, kPa?"'),
        "checkpoints > restriction, prompt",
        "'kPa?'",
    ),
    "digits": (
        ('"채우십시오."', '"5 리터 채우십시오."'),
        "rules > level_low",
        "'5'",
    ),
    "prompt far too long": (
        ('"바닥은?"', '"' + "바닥에 새로 떨어진 것이 있는지 " * 3 + '?"'),
        "checkpoints > last_look, prompt",
        "4.0 s at most",
    ),
}


@pytest.mark.parametrize("case", ERRORS)
def test_error_is_found(
    minimal: str, translation: str, write: Write, case: str
) -> None:
    """What is missing or does not belong is found, named, and not loaded."""
    change, place, said = ERRORS[case]
    path = write(minimal)
    write(translation, change, name="small-truck.ko.toml")
    found = lint(path)
    wanted = f"small-truck.ko.toml: {place}"
    hits = [p for p in found if p.place == wanted and said in p.text]
    assert hits, found
    assert hits[0].severity is ProblemSeverity.ERROR
    with pytest.raises(ChecklistError, match=r"small-truck\.ko\.toml"):
        load(path, "ko")
    assert load(path).language == "en"


def test_learners_texts_may_be_missing(
    minimal: str, translation: str, write: Write
) -> None:
    """Untranslated learners' texts are shown in English, with a warning."""
    path = write(minimal)
    write(translation, ('look = "울려 보십시오."\n', ""), name="small-truck.ko.toml")
    (found,) = lint(path)
    assert found.severity is ProblemSeverity.WARNING
    assert "look not translated" in found.text
    assert load(path, "ko").checkpoint("horn").look == "Sound it."


def test_site_rules_keep_their_words(
    minimal: str, translation: str, write: Write
) -> None:
    """A rule of the site needs no translation and is said as the site wrote it."""
    path = write(minimal)
    write(translation, name="small-truck.ko.toml")
    site = write(
        'format = 1\n[[rules]]\nid = "site_rule"\noutcome = "out_of_service"\n'
        'text = "Not on our site."\nsource = "site rule"\nanswers = ["leak"]\n',
        name="site.toml",
    )
    assert load(path, "ko", site).rules[-1].text == "Not on our site."


def test_broken_translation_is_a_problem_of_its_file(
    minimal: str, write: Write
) -> None:
    """A translation that is not TOML is told as a problem, not raised."""
    path = write(minimal)
    write("title =", name="small-truck.ko.toml")
    (found,) = lint(path)
    assert found.place == "small-truck.ko.toml"
    assert "TOML" in found.text
