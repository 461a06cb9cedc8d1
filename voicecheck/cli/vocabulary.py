"""`voicecheck vocabulary`: which phrases sound too much alike?"""

from __future__ import annotations

from json import dumps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from voicecheck.errors import UsageError

if TYPE_CHECKING:
    from voicecheck.speech.vocabulary.confusions import Confusions
    from voicecheck.speech.vocabulary.survey import Pair, Survey

__all__ = ["vocabulary"]


def vocabulary(
    question: Annotated[
        list[str] | None,
        typer.Option(
            "--question", metavar="NAME", help="Only this question; may be repeated."
        ),
    ] = None,
    lang: Annotated[
        str, typer.Option("--lang", help="Language; phones are known for en only.")
    ] = "en",
    near: Annotated[
        float | None,
        typer.Option(
            "--near", metavar="0-1", help="List pairs closer than this. Usually 0.45."
        ),
    ] = None,
    minimum: Annotated[
        float | None,
        typer.Option(
            "--minimum",
            metavar="0-1",
            help="Refuse dangerous pairs closer than this. Usually 0.35.",
        ),
    ] = None,
    confusions: Annotated[
        Path | None,
        typer.Option(
            "--confusions",
            metavar="FILE",
            help="JSON confusion matrix of a hearing benchmark, shown beside.",
        ),
    ] = None,
    json: Annotated[
        bool, typer.Option("--json", help="Print the same as one JSON object.")
    ] = False,
) -> None:
    """Show how far apart the phrases of each question sound.

    The separation is the share of what is spoken that differs: 0 sounds the
    same, 1 has nothing in common. Pairs are dangerous when mixing them up
    passes a part, affirms a read-back or grades a defect as nobody said;
    those must lie at least the minimum apart. Numbers are listed and never
    refused. The exit status is 1 when a pair is refused that is not one of the
    known ones.

    Example: voicecheck vocabulary --question condition --near 0.6
    """
    from voicecheck.speech.grammar import files  # noqa: PLC0415
    from voicecheck.speech.vocabulary import survey as module  # noqa: PLC0415
    from voicecheck.speech.vocabulary.confusions import (  # noqa: PLC0415
        read_confusions,
    )

    least = _share("--minimum", minimum, module.MINIMUM_SEPARATION)
    listed_below = max(least, _share("--near", near, module.NEAR))
    measured = read_confusions(confusions) if confusions else None
    names = question or files.question_names(lang)
    if not names:
        raise UsageError(f"there are no grammars for the language {lang!r} yet")
    surveys = [module.survey(name, lang, near=listed_below) for name in names]
    refused = [p for found in surveys for p in found.pairs if _fails(p, least)]
    if json:
        data = _data(surveys, least, measured, bool(refused))
        typer.echo(dumps(data, ensure_ascii=False))
    else:
        for found in surveys:
            for line in _lines(found, least, measured):
                typer.echo(line)
        typer.echo(_verdict(len(refused), least))
    if refused:
        raise typer.Exit(1)


def _share(option: str, given: float | None, usual: float) -> float:
    value = usual if given is None else given
    if not 0 <= value <= 1:
        raise UsageError(f"{option} takes a share from 0 to 1, not {value:g}")
    return value


def _kept(pair: Pair) -> str | None:
    from voicecheck.speech.vocabulary.lint import KEPT  # noqa: PLC0415

    return KEPT.get(frozenset({pair.one, pair.other}))


def _fails(pair: Pair, minimum: float) -> bool:
    return pair.is_refused(minimum) and _kept(pair) is None


def _lines(found: Survey, minimum: float, measured: Confusions | None) -> list[str]:
    closest = found.closest
    apart = "" if closest is None else f", the closest two {closest.separation:.2f}"
    lines = [f"{found.question}: {found.phrases} phrases{apart}"]
    for pair in found.pairs:
        mark = "REFUSED" if _fails(pair, minimum) else pair.risk.value
        lines.append(
            f"  {pair.separation:.2f}  {mark:<9}  {pair.one} ({pair.one_means}) / "
            f"{pair.other} ({pair.other_means}){_rate(pair, measured)}"
        )
        if pair.is_refused(minimum) and (reason := _kept(pair)):
            lines.append(f"        too close, kept: {reason}")
        lines += [f"        or {idea}" for idea in pair.replacements]
        if _fails(pair, minimum) and not pair.replacements:
            lines.append("        no other phrase is listed: add one to the grammar")
    return lines


def _rate(pair: Pair, measured: Confusions | None) -> str:
    if measured is None:
        return ""
    rate = measured.rate(pair.one, pair.other)
    return ", not tried" if rate is None else f", mixed up {100 * rate:.2f} %"


def _verdict(refused: int, minimum: float) -> str:
    if refused:
        return (
            f"REFUSED: {refused} dangerous pairs lie closer than {minimum:g}. "
            "Choose other words in grammars/."
        )
    return f"No dangerous pair lies closer than {minimum:g}, known ones left out."


def _data(
    surveys: list[Survey], minimum: float, measured: Confusions | None, refused: bool
) -> dict[str, Any]:
    return {
        "ok": not refused,
        "minimum": minimum,
        "confusions": measured.source if measured else None,
        "questions": [
            {
                "question": found.question,
                "phrases": found.phrases,
                "pairs": [_pair_data(p, minimum, measured) for p in found.pairs],
            }
            for found in surveys
        ],
    }


def _pair_data(
    pair: Pair, minimum: float, measured: Confusions | None
) -> dict[str, Any]:
    return {
        "phrases": [pair.one, pair.other],
        "meanings": [pair.one_means, pair.other_means],
        "separation": round(pair.separation, 4),
        "risk": pair.risk.value,
        "refused": _fails(pair, minimum),
        "kept": _kept(pair) if pair.is_refused(minimum) else None,
        "confusion_rate": measured.rate(pair.one, pair.other) if measured else None,
        "replacements": list(pair.replacements),
    }
