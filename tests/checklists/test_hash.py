"""The hash of a checklist stands for all of it, and for nothing else."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import pytest
import rfc8785

from voicecheck.checklists import load
from voicecheck.checklists.files import find, read_checklist
from voicecheck.checklists.loader import expand

Write = Callable[..., Path]


def test_is_sha256_of_canonical_json() -> None:
    """The hash is SHA-256 over RFC 8785 JSON of the file with expanded rules."""
    checklist = load("wheel-loader")
    path = find("wheel-loader")
    expanded = expand(path, read_checklist(path))
    data = expanded.file.model_dump(mode="json")
    data["rules"] = [rule.model_dump(mode="json") for rule in expanded.rules]
    assert len(data["rules"]) == len(checklist.rules) > 0
    digest = hashlib.sha256(rfc8785.dumps(data)).hexdigest()
    assert checklist.sha256 == digest


@pytest.mark.parametrize(
    "change",
    [
        ("format = 1", "# a remark\n\nformat = 1"),
        ("high = 6.2", "high = 6.20"),
        (
            'look = "Sound it."\nwrong = "Silent."',
            'wrong = "Silent."\nlook = "Sound it."',
        ),
        ('prompt = "Horn?"', "prompt = 'Horn?'"),
        ('fluids = ["fuel"]\n', 'fluids = [\n  "fuel",\n]\n'),
        ('why = "It warns."', 'why = "It warns."\nmin_look_s = 1'),
    ],
)
def test_same_content_same_hash(
    minimal: str, write: Write, change: tuple[str, str]
) -> None:
    """Remarks, order of keys, quotes and spelt-out defaults change nothing."""
    before = load(write(minimal)).sha256
    assert load(write(minimal, change)).sha256 == before


@pytest.mark.parametrize(
    "change",
    [
        ('"Horn?"', '"The horn?"'),
        ('why = "It warns."', 'why = "It warns of you."'),
        ('"Nobody near."', '"Nobody is near."'),
        ("high = 6.2", "high = 6.3"),
        ('version = "1.0.0"', 'version = "1.0.1"'),
        ('text = "Fill it."', 'text = "Fill it now."'),
        ('source = "an example"\nanswers = ["no"]', 'source = "x"\nanswers = ["no"]'),
        ('id = "end"', 'id = "the_end"'),
        ('title = "the end"', 'title = "the very end"'),
        ('why = "It leaks."', 'why = "It leaks."\nmay_be_absent = true'),
        ('why = "It leaks."', 'why = "It leaks."\nmin_look_s = 1.5'),
    ],
)
def test_other_content_other_hash(
    minimal: str, write: Write, change: tuple[str, str]
) -> None:
    """Any change of words, limits, rules or structure changes the hash."""
    before = load(write(minimal)).sha256
    assert load(write(minimal, change)).sha256 != before


def test_shared_rules_count(minimal: str, write: Write) -> None:
    """A rule changes the hash wherever it is written."""
    path = write(
        minimal, ('machine = "small truck"', 'machine = "a"\nshared_rules = ["ours"]')
    )
    rule = (
        'format = 1\n[[rules]]\nid = "extra"\noutcome = "out_of_service"\n'
        'text = "Stop."\nsource = "an example"\nanswers = ["leak"]\n'
    )
    write(rule, name="rules/ours.toml")
    before = load(path).sha256
    write(rule, ('"Stop."', '"Stop now."'), name="rules/ours.toml")
    assert load(path).sha256 != before


def test_language_does_not_count(minimal: str, translation: str, write: Write) -> None:
    """The same walk in another language has the same hash."""
    path = write(minimal)
    write(translation, name="small-truck.ko.toml")
    assert load(path, "ko").sha256 == load(path).sha256
