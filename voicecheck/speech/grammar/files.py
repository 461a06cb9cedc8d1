"""Read grammars from `grammars/<language>/`, one JSGF file a question.

JSGF is the W3C Note of 5 June 2000. The library pyjsgf parses it; nothing of
it leaves this module.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from voicecheck.errors import GrammarError
from voicecheck.speech.ports import Phrase

CONTROLS = "controls"
NUMBER_TAG = "number"
"""Tag of the one alternative that stands for any spoken number."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grammar:
    """One grammar file, taken apart."""

    name: str
    language: str
    phrases: tuple[Phrase, ...]
    """Every sentence with its meaning, numbers left out."""
    numbers: bool
    """Whether spoken numbers belong to it."""


def folder() -> Path:
    """Return the folder of all grammars: in the wheel, or in a checkout."""
    package = Path(__file__).resolve().parents[2]
    installed = package / "grammars"
    if installed.is_dir():
        return installed
    return package.parent / "grammars"


def languages() -> tuple[str, ...]:
    """Return the languages that have grammars."""
    return tuple(sorted(p.name for p in folder().iterdir() if p.is_dir()))


def question_names(language: str) -> tuple[str, ...]:
    """Return the names of all questions of a language, controls included."""
    return tuple(
        sorted(path.stem for path in _language_folder(language).glob("*.jsgf"))
    )


@cache
def load(name: str, language: str) -> Grammar:
    """Read the grammar of one question.

    Raises:
        GrammarError: there is none, or the file is wrong.
    """
    path = _language_folder(language) / f"{name}.jsgf"
    if not path.is_file():
        known = ", ".join(question_names(language))
        raise GrammarError(f"no question {name!r}; there are: {known}")
    return parse(path, language)


def parse(path: Path, language: str) -> Grammar:
    """Parse one grammar file and check its form.

    Raises:
        GrammarError: bad syntax, an undefined rule, not exactly one public
            rule, a sentence without a meaning, or one sentence twice.
    """
    rule = _public_rule(path)
    phrases: dict[str, str] = {}
    numbers = False
    for words, tag in _sentences(rule.expansion, path):
        if tag == NUMBER_TAG:
            numbers = True
            continue
        if not tag:
            raise GrammarError(f"{path.name}: {words!r} has no {{meaning}}; add one")
        if phrases.get(words, tag) != tag:
            raise GrammarError(f"{path.name}: {words!r} has two meanings; keep one")
        phrases[words] = tag
    control = path.stem == CONTROLS
    return Grammar(
        name=path.stem,
        language=language,
        phrases=tuple(
            Phrase(text=text, meaning=meaning, control=control)
            for text, meaning in phrases.items()
        ),
        numbers=numbers,
    )


def pronunciations(language: str) -> dict[str, str]:
    """Return words that dictionaries lack, with their phones (ARPAbet)."""
    path = _language_folder(language) / "pronunciations.dict"
    if not path.is_file():
        return {}
    lines = path.read_text(encoding="utf-8").splitlines()
    pairs = (line.split(maxsplit=1) for line in lines if line.strip())
    return {word: phones.strip() for word, phones in pairs}


def _language_folder(language: str) -> Path:
    path = folder() / language
    if language not in languages():
        raise GrammarError(
            f"no language {language!r}; there are: {', '.join(languages())}"
        )
    return path


def _public_rule(path: Path) -> Any:
    with warnings.catch_warnings():
        # pyjsgf still uses the old names of pyparsing
        warnings.simplefilter("ignore")
        import jsgf  # noqa: PLC0415
        from pyparsing import ParseBaseException  # noqa: PLC0415

        try:
            grammar = jsgf.parse_grammar_file(str(path))
            visible = grammar.visible_rules
            for rule in grammar.rules:
                _ = [ref.referenced_rule for ref in _references(rule.expansion)]
        except (
            jsgf.GrammarError,
            jsgf.JSGFImportError,
            ParseBaseException,
        ) as error:
            raise GrammarError(f"{path.name}: {error}; mend the file") from error
        except UnicodeDecodeError as error:
            raise GrammarError(f"{path.name} is not UTF-8 text; save it so") from error
    if len(visible) != 1:
        raise GrammarError(
            f"{path.name} has {len(visible)} public rules; it needs exactly one"
        )
    return visible[0]


def _references(expansion: Any) -> Iterator[Any]:
    if type(expansion).__name__ == "NamedRuleRef":
        yield expansion
    for child in expansion.children:
        yield from _references(child)


def _sentences(expansion: Any, path: Path) -> Iterator[tuple[str, str]]:
    """Yield every sentence of an expansion with its tag."""
    if expansion.tag == NUMBER_TAG:
        yield "", NUMBER_TAG
        return
    kind = type(expansion).__name__
    for words, inner in _inner_sentences(kind, expansion, path):
        yield words, expansion.tag or inner


def _inner_sentences(
    kind: str, expansion: Any, path: Path
) -> Iterator[tuple[str, str]]:
    if "AlternativeSet" in kind:
        for child in expansion.children:
            yield from _sentences(child, path)
    elif kind == "NamedRuleRef":
        yield from _sentences(expansion.referenced_rule.expansion, path)
    elif "Optional" in kind:
        yield "", ""
        yield from _sentences(expansion.children[0], path)
    elif kind == "Literal":
        yield expansion.text, ""
    elif kind in {"Sequence", "RequiredGrouping", "ParsedSequence"} or (
        "Grouping" in kind
    ):
        yield from _sequence(expansion.children, path)
    else:
        raise GrammarError(
            f"{path.name}: {kind} cannot be listed; only a {{number}} may repeat"
        )


def _sequence(children: list[Any], path: Path) -> Iterator[tuple[str, str]]:
    if not children:
        yield "", ""
        return
    for head, head_tag in _sentences(children[0], path):
        for tail, tail_tag in _sequence(children[1:], path):
            yield f"{head} {tail}".strip(), head_tag or tail_tag
