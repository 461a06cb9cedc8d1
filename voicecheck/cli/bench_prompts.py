"""`voicecheck bench prompts` and `bench tones`: can the operator hear us?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from voicecheck import settings
from voicecheck.cli.json_text import json_text
from voicecheck.errors import UsageError

__all__ = ["prompts", "tones"]


def prompts(
    out: Annotated[
        Path, typer.Option("--out", metavar="DIR", help="Where the results go.")
    ] = Path("bench-prompts"),
    noises: Annotated[
        str | None,
        typer.Option("--noises", metavar="LIST", help="For example idle,wind."),
    ] = None,
    snr: Annotated[
        float,
        typer.Option("--snr", metavar="DB", help="The usual voice over the noise."),
    ] = 0.0,
    trials: Annotated[
        int,
        typer.Option(
            "--trials", metavar="N", min=1, help="Noises that each phrase is heard in."
        ),
    ] = 2,
    seed: Annotated[int, typer.Option("--seed", help="Of the noises.")] = 1,
    quick: Annotated[
        bool, typer.Option("--quick", help="A first look: idle noise, one trial each.")
    ] = False,
    json: Annotated[
        bool, typer.Option("--json", help="Print the JSON instead of the tables.")
    ] = False,
) -> None:
    """Show what words, rate, pitch, equaliser and compression gain in noise.

    Every way of speaking our prompts is compared with the usual one, over the
    same prompts in the same noise, at equal A-weighted level: by STOI, a
    published measure of intelligibility, by the speech intelligibility index,
    and by what our own recogniser understands. Needs pystoi for STOI.

    Writes prompts.json, prompts.md and, where matplotlib is installed
    (pip install 'voicecheck[plot]'), prompts.png.

    Example: voicecheck bench prompts --quick
    """
    from voicecheck.bench import prompts as module  # noqa: PLC0415
    from voicecheck.bench import prompts_report  # noqa: PLC0415
    from voicecheck.speech.paired_recogniser import PairedRecogniser  # noqa: PLC0415
    from voicecheck.speech.pyttsx3_synthesiser import (  # noqa: PLC0415
        Pyttsx3Synthesiser,
    )

    if not -30 <= snr <= 60:
        raise UsageError(f"--snr takes -30 to 60 dB, not {snr:g}")
    usual = module.NOISES[:1] if quick else module.NOISES
    asked = module.Asked(
        noises=module.noises_named(noises) if noises is not None else usual,
        snr_db=snr,
        prompts=4 if quick else 10,
        repeats=1 if quick else trials,
        seed=seed,
    )
    with Pyttsx3Synthesiser(settings.home() / "spoken") as synthesiser:
        result = module.measure(asked, synthesiser, PairedRecogniser(), _tell)
    written, hint = prompts_report.write_prompts(result, out)
    data = prompts_report.to_data(result)
    typer.echo(json_text(data) if json else prompts_report.as_text(result))
    _tell(f"Written: {', '.join(str(path) for path in written)}")
    if hint:
        _tell(hint)


def tones(
    outside: Annotated[
        float, typer.Option("--outside", metavar="DBA", help="Noise around the ear.")
    ] = 95.0,
    prompt: Annotated[
        float, typer.Option("--prompt", metavar="DBA", help="Prompts, at the ear.")
    ] = 75.0,
    json: Annotated[
        bool, typer.Option("--json", help="Print the same as one JSON object.")
    ] = False,
) -> None:
    """Show how far each tone stands out under an ear defender, in each noise.

    Decibels over the masked threshold in the tone's best octave, for a headset
    and for a loudspeaker outside the protector. The protector is the example
    ear defender of HSE's guidance L108.

    Example: voicecheck bench tones --outside 92 --prompt 78
    """
    from voicecheck.bench import prompts_report  # noqa: PLC0415
    from voicecheck.bench.tone_trials import measured_margins  # noqa: PLC0415
    from voicecheck.hearing.masking import CLEAR_DB  # noqa: PLC0415

    for option, level in (("--outside", outside), ("--prompt", prompt)):
        if not 30 <= level <= 130:
            raise UsageError(f"{option} takes 30 to 130 dBA, not {level:g}")
    found = measured_margins(outside, prompt, settings.home() / "spoken")
    if json:
        data = {name: prompts_report.tone_data(some) for name, some in found.items()}
        typer.echo(json_text({"outside_dba": outside, "prompt_dba": prompt, **data}))
        return
    for name, some in found.items():
        typer.echo(
            f"Tones by {name}: dB over the masked threshold under an ear defender, "
            f"noise {outside:g} dBA outside, prompts {prompt:g} dBA; "
            f"{CLEAR_DB:g} and more is clear\n"
        )
        typer.echo(prompts_report.tone_table(some) + "\n")


def _tell(text: str) -> None:
    typer.echo(text, err=True)
