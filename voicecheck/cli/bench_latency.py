"""`voicecheck bench latency`: how soon after a word does the read-back begin?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from voicecheck.errors import UsageError

if TYPE_CHECKING:
    from voicecheck.bench.latency_result import LatencyResult

__all__ = ["latency"]


def latency(
    corpus: Annotated[
        Path | None,
        typer.Option("--corpus", metavar="DIR", help="Spoken clips; default: built."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Where the results go.")
    ] = Path("bench-latency"),
    noises: Annotated[
        str, typer.Option("--noises", metavar="LIST", help="As in bench hearing.")
    ] = "quiet,idle 10,idle 0",
    trials: Annotated[
        int, typer.Option("--trials", metavar="N", min=1, help="In each noise.")
    ] = 40,
    seed: Annotated[int, typer.Option("--seed", help="Of all that is drawn.")] = 5,
) -> None:
    """Measure the time from the end of a word to the read-back.

    Put together from the wait of the end-pointing, decoding, and the first
    sample of the read-back; p50, p95 and p99, a histogram, the share of real
    time that decoding takes on one core, and the memory of a process that
    hears. The loudspeaker's buffer is a row of its own. Other work on the
    computer makes it slower: let it rest while this runs.

    Writes latency.json and, where matplotlib is installed
    (pip install 'voicecheck[plot]'), latency.png.

    Example: voicecheck bench latency --trials 20
    """
    from voicecheck.bench.latency_report import (  # noqa: PLC0415
        draw_latency,
        latency_text,
    )
    from voicecheck.bench.plotting import NO_PLOT  # noqa: PLC0415

    result = _measured(corpus, noises, trials, seed)
    out.mkdir(parents=True, exist_ok=True)
    path = out / "latency.json"
    path.write_text(result.model_dump_json(by_alias=True, indent=1) + "\n", "utf-8")
    typer.echo(latency_text(result))
    typer.echo(f"\nWritten: {path}")
    plot = out / "latency.png"
    typer.echo(f"Written: {plot}" if draw_latency(result, plot) else NO_PLOT)


def _measured(
    corpus: Path | None, noises: str, trials: int, seed: int
) -> LatencyResult:
    from voicecheck.audio.activity import SileroActivity  # noqa: PLC0415
    from voicecheck.bench.contestants import eleven  # noqa: PLC0415
    from voicecheck.bench.hearing import conditions_named  # noqa: PLC0415
    from voicecheck.bench.hearing_corpus import load_split  # noqa: PLC0415
    from voicecheck.bench.latency import answer_times  # noqa: PLC0415
    from voicecheck.bench.latency_result import latency_result  # noqa: PLC0415
    from voicecheck.bench.phrases import ELEVEN  # noqa: PLC0415
    from voicecheck.bench.readback_times import tone_time  # noqa: PLC0415
    from voicecheck.bench.resident import resident_mb  # noqa: PLC0415
    from voicecheck.cli.bench_corpus import built_corpus, tell  # noqa: PLC0415
    from voicecheck.speech.engines import Engine, make_recogniser  # noqa: PLC0415

    conditions = conditions_named(noises)
    _, clips, talkers = load_split(corpus or built_corpus(), None)
    answered, missed = answer_times(
        [clip for clip in clips if clip.label in ELEVEN],
        conditions,
        SileroActivity(),
        make_recogniser("en", Engine.EMBEDDED),
        eleven(),
        trials=trials,
        seed=seed,
        talkers=talkers,
        progress=tell,
    )
    if not answered:
        raise UsageError(
            "the end-pointing found none of the words: choose milder --noises"
        )
    tell("speaking read-backs")
    cached, uncached = _readbacks()
    tone_s, tone_length_s = tone_time()
    return latency_result(
        answered,
        missed,
        tone_s=tone_s,
        tone_length_s=tone_length_s,
        cached_s=cached,
        uncached_s=uncached,
        resident_mb=resident_mb(),
    )


def _readbacks() -> tuple[list[float], list[float]]:
    """Return the times of read-backs from the cache on disk, and of new ones."""
    import tempfile  # noqa: PLC0415

    from voicecheck.bench.readback_times import (  # noqa: PLC0415
        readback_texts,
        speaking_times,
    )
    from voicecheck.cli.bench_corpus import tell  # noqa: PLC0415
    from voicecheck.errors import SynthesisError  # noqa: PLC0415
    from voicecheck.speech.pyttsx3_synthesiser import (  # noqa: PLC0415
        Pyttsx3Synthesiser,
    )

    texts = readback_texts(15)
    try:
        with tempfile.TemporaryDirectory() as folder:
            with Pyttsx3Synthesiser(Path(folder)) as speaker:
                uncached = speaking_times(speaker, texts)
            with Pyttsx3Synthesiser(Path(folder)) as speaker:
                return speaking_times(speaker, texts), uncached
    except SynthesisError as error:
        tell(f"read-backs cannot be spoken here, their times are left out: {error}")
        return [], []
