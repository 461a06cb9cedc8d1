"""`voicecheck bench`: how well it hears, how fast, and what it mixes up."""

from __future__ import annotations

import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from voicecheck.cli import bench_marks, bench_prompts
from voicecheck.cli.bench_confusions import confusions
from voicecheck.cli.bench_corpus import built_corpus, tell
from voicecheck.cli.bench_latency import latency
from voicecheck.cli.bench_walks import walks

if TYPE_CHECKING:
    from voicecheck.bench.hearing import Asked
    from voicecheck.bench.hearing_corpus import Material

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Measure how well voicecheck hears, how fast, and what it mixes up.\n\n"
    "Example: voicecheck bench hearing --quick",
)


@app.command("hearing")
def hearing(
    corpus: Annotated[
        Path | None,
        typer.Option("--corpus", metavar="DIR", help="Spoken clips; default: built."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Where the results go.")
    ] = Path("bench-hearing"),
    engines: Annotated[
        str | None,
        typer.Option(
            "--engines", metavar="LIST", help="For example shipped,rnnoise; all."
        ),
    ] = None,
    noises: Annotated[
        str | None,
        typer.Option(
            "--noises", metavar="LIST", help="For example 'idle,pink 5'; all."
        ),
    ] = None,
    trials: Annotated[
        int | None,
        typer.Option("--trials", metavar="N", min=1, help="Each noise; usually 55."),
    ] = None,
    split: Annotated[
        str | None,
        typer.Option("--split", metavar="SIDE", help="Voices: judging or tuning."),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", help="Of all that is drawn.")] = 5,
    quick: Annotated[
        bool, typer.Option("--quick", help="A first look: 11 trials in each noise.")
    ] = False,
    jobs: Annotated[
        int, typer.Option("--jobs", metavar="N", min=1, help="Processes that work.")
    ] = 1,
) -> None:
    """Compare ways of hearing in yard noise, over the same trials.

    Bare PocketSphinx, RNNoise before it, the small network alone and with an
    enrolled voice, and the whole path of voicecheck, end-pointing included; in
    the noises of the goals and each 5 dB louder. As many trials again hold
    sounds that are no answer: chatter, near words, coughs, bangs, own prompts.
    Engines: pocketsphinx, rnnoise, network, network-enrolled, shipped,
    shipped-enrolled.

    Without a corpus a small one is built from the voices of this computer and
    kept for the next run. Voices that the program was tuned on are heard only
    where there are no others, or with --split tuning.

    Writes rows.jsonl (every trial), hearing.json, hearing.md and, where
    matplotlib is installed (pip install 'voicecheck[plot]'), hearing.png.

    Example: voicecheck bench hearing --quick --noises "quiet,idle 0"
    """
    from voicecheck.bench.hearing import measure, write_result  # noqa: PLC0415
    from voicecheck.bench.hearing_table import as_text  # noqa: PLC0415

    asked = _asked(engines, noises, trials, seed, jobs, quick=quick)
    material = _material(corpus, split, seed)
    began_s = time.monotonic()
    result = measure(material, asked, out, tell)
    written, hint = write_result(result, out)
    typer.echo(as_text(result))
    typer.echo(f"\nWritten: {', '.join(str(path) for path in written)}")
    if hint:
        typer.echo(hint)
    tell(f"took {time.monotonic() - began_s:.0f} s")


def _asked(
    engines: str | None,
    noises: str | None,
    trials: int | None,
    seed: int,
    jobs: int,
    *,
    quick: bool,
) -> Asked:
    from voicecheck.bench import hearing as module  # noqa: PLC0415

    usual = module.Asked()
    count = trials or (module.QUICK_TRIALS if quick else usual.trials)
    return module.Asked(
        engines=module.engines_named(engines) if engines is not None else usual.engines,
        conditions=(
            module.conditions_named(noises) if noises is not None else usual.conditions
        ),
        trials=count,
        foreign=count,
        seed=seed,
        jobs=jobs,
    )


def _material(corpus: Path | None, split: str | None, seed: int) -> Material:
    from voicecheck.bench.hearing_corpus import gather, split_named  # noqa: PLC0415
    from voicecheck.bench.small_corpus import cache_folder  # noqa: PLC0415
    from voicecheck.speech.pyttsx3_synthesiser import (  # noqa: PLC0415
        Pyttsx3Synthesiser,
    )

    side = split_named(split)
    folder = corpus or built_corpus()
    with Pyttsx3Synthesiser(cache_folder() / "spoken") as synthesiser:
        return gather(folder, side, synthesiser, seed)


app.command("latency")(latency)
app.command("confusions")(confusions)
app.command("prompts")(bench_prompts.prompts)
app.command("tones")(bench_prompts.tones)
app.command("walks")(walks)
app.command("marks")(bench_marks.marks)
