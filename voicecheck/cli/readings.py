"""`voicecheck readings`: what a gauge shows, brought to what it means."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from typing import Annotated, Any

import typer

from voicecheck.cli.json_text import json_text
from voicecheck.errors import UsageError
from voicecheck.readings.coolant import Glycol
from voicecheck.readings.errors import ReadingError

__all__ = ["app"]

app = typer.Typer(
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Bring readings to what they mean: tyres, batteries, fluids, hours.\n\n"
    "Give each reading with its unit, in quotes. Nothing is kept. The manual of "
    "the machine rules; these figures help to read it.\n\n"
    'Example: voicecheck readings tyre "450 kPa" --at "20 °C" --to "-5 °C"',
    epilog="Exit status: 0 nothing found, 1 outside limits or flagged, 2 wrong use.",
)

_Json = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Result:
    lines: tuple[str, ...]
    data: dict[str, Any]
    caution: str
    source: str
    negative: bool = False
    extra: tuple[str, ...] = field(default=())
    """Further cautions, before the usual one."""

    def show(self, as_json: bool) -> None:
        """Print it, and leave with 1 when it is negative."""
        if as_json:
            cautions = [*self.extra, self.caution]
            typer.echo(
                json_text({**self.data, "cautions": cautions, "source": self.source})
            )
        else:
            for line in (*self.lines, *(f"CAUTION: {text}" for text in self.extra)):
                typer.echo(line)
            typer.echo(f"Caution: {self.caution}")
            typer.echo(f"Source: {self.source}")
        raise typer.Exit(int(self.negative))


@app.command()
def tyre(
    reading: Annotated[
        str, typer.Argument(help='Gauge pressure: "450 kPa", "65 psi".')
    ],
    at: Annotated[
        str, typer.Option("--at", metavar="TEMP", help="Temperature of the tyre.")
    ],
    to: Annotated[
        str, typer.Option("--to", metavar="TEMP", help="Temperature to correct to.")
    ] = "20 °C",
    altitude: Annotated[
        str | None,
        typer.Option("--altitude", metavar="HEIGHT", help='Of the site: "1500 m".'),
    ] = None,
    ambient: Annotated[
        str | None,
        typer.Option("--ambient", metavar="PRESSURE", help="Instead: of the air."),
    ] = None,
    recommended: Annotated[
        str | None,
        typer.Option("--recommended", metavar="PRESSURE", help="Judge against it."),
    ] = None,
    json: _Json = False,
) -> None:
    """Correct a tyre pressure for temperature.

    Ideal gas, absolute pressure; the air around is taken at sea level unless
    told. With --recommended, which holds at the temperature corrected to, it
    says where the tyre stands; a low or high one gives exit status 1.

    Example: voicecheck readings tyre "35 psi" --at "80 °F" --to "20 °F"
    """
    from voicecheck.cli import readings_text  # noqa: PLC0415

    if altitude and ambient:
        raise UsageError("give --altitude or --ambient, not both")
    _Result(
        **readings_text.tyre(
            reading,
            at=at,
            to=to,
            altitude=altitude,
            ambient=ambient,
            recommended=recommended,
        )
    ).show(json)


@app.command()
def battery(
    gravity: Annotated[
        list[float], typer.Argument(help="Specific gravity of one or all cells.")
    ],
    at: Annotated[
        str, typer.Option("--at", metavar="TEMP", help="Temperature of the acid.")
    ],
    full: Annotated[
        str,
        typer.Option("--full", help="Gravity of this battery full: 1.265 or 1.277."),
    ] = "1.265",
    json: _Json = False,
) -> None:
    """Turn specific gravity into state of charge, by the weakest cell.

    Cells more than 0.050 apart, or a cell beyond the scale, give status 1.

    Example: voicecheck readings battery 1.240 1.235 1.245 --at "20 °C"
    """
    from voicecheck.cli import readings_text  # noqa: PLC0415

    _Result(**readings_text.battery(gravity, at=at, full=full)).show(json)


@app.command()
def coolant(
    percent: Annotated[
        float | None, typer.Argument(help="Glycol, percent by volume.")
    ] = None,
    glycol: Annotated[Glycol, typer.Option("--glycol", help="Which.")] = (
        Glycol.ETHYLENE
    ),
    protect_to: Annotated[
        str | None,
        typer.Option(
            "--protect-to", metavar="TEMP", help="Instead: the share needed for it."
        ),
    ] = None,
    json: _Json = False,
) -> None:
    """Tell the freezing point of coolant, or the share of glycol for one.

    A share outside 40 to 60 percent gives exit status 1.

    Example: voicecheck readings coolant 50 --glycol propylene
    """
    from voicecheck.cli import readings_text  # noqa: PLC0415

    if (percent is None) == (protect_to is None):
        raise UsageError("give either the percent of glycol or --protect-to TEMP")
    _Result(
        **readings_text.coolant(percent, glycol=glycol, protect_to=protect_to)
    ).show(json)


@app.command()
def urea(
    percent: Annotated[
        float | None,
        typer.Option("--percent", help="By mass, of a correcting refractometer."),
    ] = None,
    density: Annotated[
        str | None, typer.Option("--density", help='Instead: "1090 kg/m3".')
    ] = None,
    index: Annotated[
        float | None, typer.Option("--index", help="Instead: refractive index.")
    ] = None,
    at: Annotated[
        str | None,
        typer.Option("--at", metavar="TEMP", help="Of the sample: 20 °C is needed."),
    ] = None,
    json: _Json = False,
) -> None:
    """Check the strength of urea solution (AUS 32, exhaust fluid).

    Too weak or too strong gives exit status 1.

    Example: voicecheck readings urea --index 1.3829 --at "20 °C"
    """
    from voicecheck.cli import readings_text  # noqa: PLC0415

    if sum(value is not None for value in (percent, density, index)) != 1:
        raise UsageError("give exactly one of --percent, --density and --index")
    if percent is None and at is None:
        raise UsageError('add --at "20 °C": density and index hold at 20 °C only')
    _Result(
        **readings_text.urea(percent=percent, density=density, index=index, at=at)
    ).show(json)


@app.command()
def restriction(
    reading: Annotated[str, typer.Argument(help='"25 inH2O", "6.2 kPa", "62 mbar".')],
    limit: Annotated[
        str | None,
        typer.Option("--limit", metavar="PRESSURE", help="Of the machine's manual."),
    ] = None,
    json: _Json = False,
) -> None:
    """Show an air filter restriction in kPa, mbar and inches of water.

    At or above the limit gives exit status 1.

    Example: voicecheck readings restriction "22 inH2O" --limit "6.2 kPa"
    """
    from voicecheck.cli import readings_text  # noqa: PLC0415

    _Result(**readings_text.restriction_lines(reading, limit=limit)).show(json)


@app.command()
def hours(
    previous: Annotated[str, typer.Argument(help="Earlier reading of the meter.")],
    current: Annotated[str, typer.Argument(help="Later reading.")],
    passed: Annotated[
        str, typer.Option("--passed", metavar="TIME", help='"7 d", "12 h", "2 wk".')
    ],
    digits: Annotated[
        int, typer.Option("--digits", help="Digits before the point.")
    ] = 5,
    tenths: Annotated[
        bool, typer.Option("--tenths/--no-tenths", help="Does it show tenths?")
    ] = True,
    json: _Json = False,
) -> None:
    """Tell the hours between two readings, with rollover and doubts.

    More hours than have passed, or fewer than before, give exit status 1.

    Example: voicecheck readings hours 99998.5 3.2 --passed "2 d"
    """
    from voicecheck.cli import readings_text  # noqa: PLC0415

    _Result(
        **readings_text.hours(
            _decimal(previous),
            _decimal(current),
            passed=passed,
            digits=digits,
            tenths=tenths,
        )
    ).show(json)


def _decimal(text: str) -> Decimal:
    try:
        return Decimal(text.replace(",", "."))
    except InvalidOperation as error:
        raise ReadingError("hour meter", repr(text), "a number like 4527.3") from error
