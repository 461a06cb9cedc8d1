"""`voicecheck bench confusions`: which phrases are really taken for each other?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from voicecheck.errors import UsageError

__all__ = ["confusions"]


def confusions(
    corpus: Annotated[
        Path | None,
        typer.Option("--corpus", metavar="DIR", help="Spoken clips; default: built."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="The matrix, JSON.")
    ] = Path("confusions.json"),
    question: Annotated[
        list[str] | None,
        typer.Option(
            "--question", metavar="NAME", help="Only this question; may be repeated."
        ),
    ] = None,
    noises: Annotated[
        str, typer.Option("--noises", metavar="LIST", help="As in bench hearing.")
    ] = "quiet,idle 0,babble 5",
    repeats: Annotated[
        int,
        typer.Option("--repeats", metavar="N", min=1, help="Each phrase, each noise."),
    ] = 2,
    split: Annotated[
        str | None,
        typer.Option("--split", metavar="SIDE", help="Voices: judging or tuning."),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", help="Of all that is drawn.")] = 5,
) -> None:
    """Measure which phrases of each question are taken for each other.

    Each question is asked with all that may be said then, controls included.
    The file says what was said, what was heard, how often; voicecheck
    vocabulary shows it beside the distances of the phrases.

    Example: voicecheck bench confusions --out confusions.json
    """
    from voicecheck.audio.activity import SileroActivity  # noqa: PLC0415
    from voicecheck.bench.confusion_run import (  # noqa: PLC0415
        asked_sets,
        count_confusions,
    )
    from voicecheck.bench.confusions import write_confusions  # noqa: PLC0415
    from voicecheck.bench.hearing import conditions_named  # noqa: PLC0415
    from voicecheck.bench.hearing_corpus import load_split, split_named  # noqa: PLC0415
    from voicecheck.cli.bench_corpus import built_corpus, tell  # noqa: PLC0415
    from voicecheck.speech.engines import Engine, make_recogniser  # noqa: PLC0415

    sets = asked_sets(question)
    conditions = conditions_named(noises)
    wanted = split_named(split)
    folder = corpus or built_corpus(all_phrases=True)
    side, clips, talkers = load_split(folder, wanted)
    recogniser = make_recogniser("en", Engine.EMBEDDED)
    families = sorted({clip.voice.split("/")[0] for clip in clips})
    matrix = count_confusions(
        sets,
        clips,
        conditions,
        recogniser,
        SileroActivity(),
        repeats=repeats,
        seed=seed,
        source=(
            f"{recogniser.name}, {side.value} voices ({', '.join(families)}), "
            f"{', '.join(c.name for c in conditions)}"
        ),
        talkers=talkers,
        progress=tell,
    )
    try:
        write_confusions(out, matrix)
    except OSError as error:
        raise UsageError(f"{out} cannot be written: {error.strerror}") from error
    _show(matrix.counts)
    typer.echo(f"Written: {out}. Read it with voicecheck vocabulary --confusions {out}")


def _show(counts: dict[str, dict[str, int]]) -> None:
    mixed = [
        (count, said, heard)
        for said, row in counts.items()
        for heard, count in row.items()
        if heard not in ("", said)
    ]
    trials = sum(sum(row.values()) for row in counts.values())
    typer.echo(
        f"{trials} trials, {sum(m[0] for m in mixed)} took one phrase for another"
    )
    for count, said, heard in sorted(mixed, key=lambda m: (-m[0], m[1:]))[:25]:
        of = sum(counts[said].values())
        typer.echo(f"  {said} taken for {heard}: {count} of {of}")
