"""`voicecheck soundcheck`: can the operator hear, and is the ear safe?"""

from __future__ import annotations

from typing import Annotated

import typer

from voicecheck.hearing.soundcheck import PromptPath

__all__ = ["soundcheck"]


def soundcheck(
    dba: Annotated[
        float | None,
        typer.Option("--dba", metavar="DB", help="The noise, A-weighted."),
    ] = None,
    dbc: Annotated[
        float | None,
        typer.Option(
            "--dbc", metavar="DB", help="The same, C-weighted; most ratings need it."
        ),
    ] = None,
    octaves: Annotated[
        str | None,
        typer.Option(
            "--octaves",
            metavar="LEVELS",
            help="Instead: eight levels, 63 Hz to 8 kHz, or seven from 125 Hz.",
        ),
    ] = None,
    record: Annotated[
        float | None,
        typer.Option(
            "--record", metavar="SECONDS", help="Instead: measure by the microphone."
        ),
    ] = None,
    reference: Annotated[
        float | None,
        typer.Option(
            "--reference",
            metavar="DB",
            help="What a sound level meter shows in dBA while recording.",
        ),
    ] = None,
    input_: Annotated[
        str | None,
        typer.Option(
            "--input", metavar="DEV", help="Microphone: number or part of its name."
        ),
    ] = None,
    protector: Annotated[
        str | None,
        typer.Option(
            "--protector",
            metavar="TEXT|FILE",
            help='Figures of its packaging: "H 30, M 24, L 22", "SNR 28", "NRR 25", '
            '"mean 13 20 33 35 38 47 41; sd 6 6 6 6 7 8 8".',
        ),
    ] = None,
    second_protector: Annotated[
        str | None,
        typer.Option(
            "--second-protector",
            metavar="TEXT|FILE",
            help="Worn together with it; both need an NRR.",
        ),
    ] = None,
    path: Annotated[
        PromptPath, typer.Option("--path", help="How prompts come to the ear.")
    ] = PromptPath.HEADSET,
    prompt_dba: Annotated[
        float | None,
        typer.Option(
            "--prompt-dba",
            metavar="DB",
            help="How loud unshaped prompts are at the ear now. Without it: 65.",
        ),
    ] = None,
    exposure: Annotated[
        list[str] | None,
        typer.Option(
            "--exposure",
            metavar="TIME@DBA",
            help='A part of the day: "2h@95", "90min@88:worn"; may be repeated.',
        ),
    ] = None,
    lang: Annotated[
        str, typer.Option("--lang", help="Language of the prompts, en or ko.")
    ] = "en",
    save: Annotated[
        bool, typer.Option("--save", help="Keep the setting; walks then use it.")
    ] = False,
    show: Annotated[
        bool, typer.Option("--show", help="Show what is kept, and check nothing.")
    ] = False,
    reset: Annotated[
        bool, typer.Option("--reset", help="Forget what is kept.")
    ] = False,
    json: Annotated[
        bool, typer.Option("--json", help="Print the same as one JSON object.")
    ] = False,
) -> None:
    """Check hearing protection, prompts and the day's noise dose.

    Gives the level under the protector by each published method, and how much
    of our spoken prompts can be heard there; finds gain and equalisation that
    make them clear without passing a safe level. The exit status is 1 when the
    prompts cannot be made clear, and when protection is too little or unknown.

    This is no substitute for a noise survey by a competent person.

    Example: voicecheck soundcheck --dba 92 --dbc 96 --protector "SNR 28" --save
    """
    from voicecheck.cli import soundcheck_run  # noqa: PLC0415

    if show or reset:
        soundcheck_run.kept(reset=reset, as_json=json)
        return
    request = soundcheck_run.Request(
        dba=dba,
        dbc=dbc,
        octaves=octaves,
        record_s=record,
        reference_dba=reference,
        input_device=input_,
        protector=protector,
        second_protector=second_protector,
        path=path,
        prompt_dba=prompt_dba,
        exposures=tuple(exposure or ()),
        language=lang,
        save=save,
        as_json=json,
    )
    raise typer.Exit(soundcheck_run.run(request))
