"""`voicecheck bench walks`: is the record right in the end?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from voicecheck.audio.noise import NoiseKind
from voicecheck.errors import UsageError

if TYPE_CHECKING:
    from voicecheck.bench.trials import Condition

__all__ = ["walks"]

_NOISES = ("idle", "crusher", "wind", "alarm")


def walks(
    corpus: Annotated[
        Path | None,
        typer.Option("--corpus", metavar="DIR", help="Spoken clips; default: built."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Where the results go.")
    ] = Path("bench-walks"),
    answers: Annotated[
        int,
        typer.Option(
            "--answers",
            metavar="N",
            min=1,
            help="Entries in final records, over all noises together.",
        ),
    ] = 5000,
    snr: Annotated[
        list[float] | None,
        typer.Option("--snr", metavar="DB", help="May be repeated; 10 and 0."),
    ] = None,
    noise: Annotated[
        list[str] | None,
        typer.Option(
            "--noise",
            metavar="KIND",
            help="May be repeated; usually idle, crusher, wind, alarm. 'babble 15' is "
            "that noise at a ratio of its own.",
        ),
    ] = None,
    operator_voices: Annotated[
        str | None,
        typer.Option(
            "--operator-voices",
            metavar="SIDE",
            help="judging or tuning; judging where there are such voices.",
        ),
    ] = None,
    checklist: Annotated[
        str, typer.Option("--checklist", metavar="NAME", help="Which walk.")
    ] = "wheel-loader",
    seed: Annotated[int, typer.Option("--seed", help="Of all that is drawn.")] = 5,
    jobs: Annotated[
        int, typer.Option("--jobs", metavar="N", min=1, help="Processes that work.")
    ] = 1,
    enrolled: Annotated[
        bool,
        typer.Option(
            "--enrolled/--stranger", help="Operators have enrolled their voice."
        ),
    ] = False,
    no_learn: Annotated[
        bool,
        typer.Option("--no-learn", help="Do not get used to strangers' voices."),
    ] = False,
    never_object: Annotated[
        float,
        typer.Option(
            "--never-object",
            metavar="SHARE",
            min=0.0,
            max=1.0,
            help="Operators who never object to a wrong answer that is said back.",
        ),
    ] = 0.15,
) -> None:
    """Let simulated operators walk whole rounds and check every entry recorded.

    Dialogue, confirmation, listening and recognition are those of a real walk;
    the answers are spoken clips in noise, the prompts take their time in
    silence. Wrong entries are listed with what led to them. Takes about half a
    second of one core each time that somebody speaks.

    Each walk is appended to walks.jsonl in DIR at once: break it off when you
    like, the same command goes on. Writes walks.json and walks.txt as well.

    Example: voicecheck bench walks --answers 200 --noise idle --snr 10
    """
    from voicecheck.bench.hearing_corpus import split_named  # noqa: PLC0415
    from voicecheck.bench.walks import Asked, run_walks  # noqa: PLC0415
    from voicecheck.bench.walks_result import sum_up  # noqa: PLC0415
    from voicecheck.bench.walks_table import as_text  # noqa: PLC0415
    from voicecheck.cli.bench_corpus import built_corpus, tell  # noqa: PLC0415

    conditions = _conditions(noise or list(_NOISES), snr or [10.0, 0.0])
    side = split_named(operator_voices)
    asked = Asked(
        corpus=corpus or built_corpus(all_phrases=True),
        conditions=conditions,
        answers=answers,
        side=side,
        checklist=checklist,
        seed=seed,
        jobs=jobs,
        enrolled=enrolled,
        learns=not no_learn,
        never_object=never_object,
    )
    rows = run_walks(asked, out, tell)
    result = sum_up(rows, run=asked.run, never_object=never_object)
    text = as_text(result)
    (out / "walks.json").write_text(result.model_dump_json(indent=1) + "\n", "utf-8")
    (out / "walks.txt").write_text(text + "\n", "utf-8")
    typer.echo(text)
    typer.echo(f"\nWritten: {out}/walks.jsonl, walks.json, walks.txt")


def _conditions(noises: list[str], ratios: list[float]) -> tuple[Condition, ...]:
    """Put noises and ratios together.

    Raises:
        UsageError: a noise or its ratio is none.
    """
    from voicecheck.bench.trials import QUIET_SNR_DB, Condition  # noqa: PLC0415

    found: list[Condition] = []
    for text in noises:
        name, _, own = text.strip().partition(" ")
        try:
            kind = NoiseKind(name)
            mine = [float(own)] if own else ratios
        except ValueError as error:
            names = ", ".join(k.value for k in NoiseKind)
            raise UsageError(
                f"--noise takes one of {names}, alone or with a ratio such as "
                f"'babble 15', not {text!r}"
            ) from error
        if kind is NoiseKind.QUIET:
            mine = [QUIET_SNR_DB]
        found += [Condition(kind=kind, snr_db=snr_db) for snr_db in mine]
    return tuple(dict.fromkeys(found))
