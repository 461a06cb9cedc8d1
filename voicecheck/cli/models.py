"""`voicecheck models`: list the Vosk models, add one by path, forget one."""

from __future__ import annotations

import json as json_module
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from voicecheck.speech.models import ModelInfo

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="List, add and remove Vosk speech models. Nothing is ever downloaded.\n\n"
    "Example: voicecheck models add ~/vosk-model-small-en-us --language en",
)

_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]


@app.command("list")
def list_models(
    verify: Annotated[
        bool,
        typer.Option("--verify", help="Read every file and compare its SHA-256."),
    ] = False,
    json: _Json = False,
) -> None:
    """List the models of this computer; for each language the first is used.

    The exit status is 1 when one of them cannot be used.

    Example: voicecheck models list --verify
    """
    from voicecheck.speech import models  # noqa: PLC0415

    listed = [_listed(model, verify) for model in models.list_models()]
    if json:
        typer.echo(json_module.dumps(listed, ensure_ascii=False))
    else:
        for entry in listed:
            typer.echo(_line(entry))
        if not listed:
            typer.echo(
                "There are no Vosk models. English needs none. Add one: "
                "voicecheck models add PATH"
            )
    if any(entry["problem"] for entry in listed):
        raise typer.Exit(1)


@app.command()
def add(
    path: Annotated[
        Path, typer.Argument(metavar="PATH", help="The unpacked folder; it stays.")
    ],
    language: Annotated[
        str | None,
        typer.Option("--language", metavar="CODE", help="For example en or ko."),
    ] = None,
    name: Annotated[
        str | None,
        typer.Option("--name", metavar="NAME", help="Without it: the folder's name."),
    ] = None,
    json: _Json = False,
) -> None:
    """Check a model's folder and remember it with its SHA-256.

    Example: voicecheck models add ~/vosk-model-small-en-us --language en
    """
    from voicecheck.speech import models  # noqa: PLC0415

    model = models.add_model(path, language, name)
    _say(_listed(model, False), "Added", json)


@app.command()
def remove(
    name: Annotated[str, typer.Argument(metavar="NAME", help="As models list says.")],
    json: _Json = False,
) -> None:
    """Forget a model that was added. Its files stay.

    Example: voicecheck models remove vosk-model-small-en-us
    """
    from voicecheck.speech import models  # noqa: PLC0415

    model = models.remove_model(name)
    _say(_described(model), "Removed", json)


def _say(entry: dict[str, Any], done: str, json: bool) -> None:
    if json:
        typer.echo(json_module.dumps(entry, ensure_ascii=False))
    else:
        typer.echo(f"{done}: {_line(entry)}")


def _described(model: ModelInfo) -> dict[str, Any]:
    return {
        "name": model.name,
        "language": model.language,
        "path": str(model.path),
        "source": model.source.value,
        "sha256": model.sha256 or None,
        "problem": None,
    }


def _listed(model: ModelInfo, verify: bool) -> dict[str, Any]:
    entry = _described(model)
    problem = model.problem()
    if verify and not problem:
        now = model.full_sha256()
        if model.sha256 and now != model.sha256:
            problem = f"{model.path}: its files are not those that were added"
        entry["sha256"] = now
    entry["problem"] = problem or None
    return entry


def _line(entry: dict[str, Any]) -> str:
    parts = [entry["name"], entry["language"], entry["source"], entry["path"]]
    if entry["sha256"]:
        parts.append(f"SHA-256 {entry['sha256']}")
    if entry["problem"]:
        parts.append(f"UNUSABLE: {entry['problem']}")
    return "  ".join(parts)
