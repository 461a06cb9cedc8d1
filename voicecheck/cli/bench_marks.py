"""`voicecheck bench marks`: how well an assessor's mark words are heard."""

from __future__ import annotations

from dataclasses import asdict
from typing import Annotated

import typer

from voicecheck.cli.json_text import json_text


def marks(
    voices: Annotated[
        int, typer.Option("--voices", min=1, help="Of each synthesiser that is here.")
    ] = 3,
    checklist: Annotated[
        str, typer.Option("--checklist", help="Whose zones are jumped to.")
    ] = "wheel-loader",
    json: Annotated[
        bool, typer.Option("--json", help="Print each trial as a line of JSON.")
    ] = False,
) -> None:
    """Say every mark word and some other talk, in quiet and over an idling diesel.

    Right, said again, and wrong words; other marks taken as "looked properly"; and
    other talk taken for a mark or a step. Synthetic voices only.

    Example: voicecheck bench marks --voices 2
    """
    from voicecheck.bench import marks as measured  # noqa: PLC0415
    from voicecheck.bench.voices.bundled import Bundled  # noqa: PLC0415
    from voicecheck.bench.voices.neural import Piper  # noqa: PLC0415
    from voicecheck.checklists import load  # noqa: PLC0415
    from voicecheck.observe.spoken.words import mark_set  # noqa: PLC0415
    from voicecheck.speech.engines import make_recogniser  # noqa: PLC0415
    from voicecheck.speech.own_words import for_own_words  # noqa: PLC0415

    trials = []
    for trial in measured.run(
        mark_set(load(checklist)),
        for_own_words(make_recogniser("en")),
        [Bundled(), Piper()],
        lambda voice: typer.echo(voice, err=True),
        most_voices=voices,
    ):
        trials.append(trial)
        if json:
            typer.echo(json_text(asdict(trial)))
    if json:
        return
    for row in measured.summed_up(trials):
        typer.echo(
            f"{row.condition}: {row.words} words, {row.right} right, "
            f"{row.refused} refused, {row.wrong} wrong, of these {row.taken_as_looked} "
            f'taken as "looked properly"; {row.foreign_taken} of {row.foreign} pieces '
            "of other talk taken"
        )
