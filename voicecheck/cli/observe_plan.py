"""Planting and sealing: `voicecheck observe plan` and `seal`."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from voicecheck.cli import observe_report
from voicecheck.cli.json_text import json_text
from voicecheck.cli.options import SiteRules

if TYPE_CHECKING:
    from voicecheck.observe.scenario import Scenario
    from voicecheck.round.checklist import Checklist

_File = Annotated[Path, typer.Argument(metavar="FILE", help="The scenario, TOML.")]
_Json = Annotated[bool, typer.Option("--json", help="Print JSON for programs.")]


def plan(
    file: _File,
    checklist: Annotated[
        str | None,
        typer.Option("--checklist", metavar="NAME", help="Write a new scenario."),
    ] = None,
    title: Annotated[str, typer.Option("--title", metavar="TEXT")] = "",
    plant: Annotated[
        list[str] | None,
        typer.Option(
            "--plant",
            metavar="FAULT",
            help='"POINT: ANSWER; tag: TEXT" or "...; shown: TEXT"; may be repeated.',
        ),
    ] = None,
    leave_out: Annotated[
        list[str] | None,
        typer.Option("--leave-out", metavar="POINT", help="Not walked today."),
    ] = None,
    reference: Annotated[
        str | None,
        typer.Option(
            "--reference", metavar="WALK", help="Take times by zone from this record."
        ),
    ] = None,
    site_rules: SiteRules = None,
) -> None:
    """Write a scenario, or check one: what is planted, and what it can tell.

    With --checklist a new file is written; without, the file is checked against
    its checklist. A described scenario needs no machine.

    Example: voicecheck observe plan monday.toml --checklist wheel-loader --plant "left_front_nuts: defect loose major; tag: yellow tag at two o'clock"
    """  # noqa: E501
    if checklist is not None:
        _write_scenario(file, checklist, title, plant, leave_out, reference)
    elif title or plant or leave_out or reference:
        raise typer.BadParameter("give --checklist NAME to write a new scenario")
    scenario, points = _read_scenario(file, site_rules)
    for line in _planned(scenario, points):
        typer.echo(line)


def seal(
    file: _File,
    criteria: Annotated[
        Path | None,
        typer.Option(
            "--criteria", metavar="FILE", help="The site's; they can only tighten."
        ),
    ] = None,
    site_rules: SiteRules = None,
    json: _Json = False,
) -> None:
    """Close a scenario before the walk, so that nobody can change it afterwards.

    Prints the commitment: give it to the trainee before the walk. It tells
    nothing of what is planted. What was sealed is kept at home, readable by its
    owner only, and opened when the walk has ended.

    Example: voicecheck observe seal monday.toml
    """
    from voicecheck import settings  # noqa: PLC0415
    from voicecheck.clock import SystemClock  # noqa: PLC0415
    from voicecheck.observe import seal as seals  # noqa: PLC0415
    from voicecheck.observe import sealed_files  # noqa: PLC0415
    from voicecheck.observe.criteria import (  # noqa: PLC0415
        default_criteria,
        site_criteria,
    )

    scenario, _ = _read_scenario(file, site_rules)
    chosen = site_criteria(criteria) if criteria else default_criteria()
    closed = seals.seal(scenario, chosen, at=SystemClock().now())
    path = sealed_files.keep(closed, settings.home())
    if json:
        typer.echo(
            json_text(
                {
                    "commitment": closed.commitment,
                    "sealed_utc": closed.sealed_utc,
                    "file": str(path),
                }
            )
        )
        return
    typer.echo(seals.groups(closed.commitment))
    typer.echo(
        f"Sealed {closed.sealed_utc}. Give these letters to the trainee before the "
        f"walk, then: voicecheck observe begin --seal {closed.commitment[:8]}",
        err=True,
    )


def _write_scenario(
    file: Path,
    checklist: str,
    title: str,
    plant: list[str] | None,
    leave_out: list[str] | None,
    reference: str | None,
) -> None:
    from voicecheck.cli.observe_walk import reference_times  # noqa: PLC0415
    from voicecheck.observe.typed_scenario import (  # noqa: PLC0415
        planted,
        scenario_toml,
    )

    if file.exists():
        raise typer.BadParameter(f"{file} is there already; take another name")
    times = reference_times(reference, checklist) if reference else None
    text = scenario_toml(
        title or file.stem,
        checklist,
        [planted(one) for one in plant or ()],
        times,
        leave_out or (),
    )
    observe_report.write_private(file, text.encode())


def _read_scenario(file: Path, site_rules: Path | None) -> tuple[Scenario, Checklist]:
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.observe.scenario_json import (  # noqa: PLC0415
        on_checklist,
        read_scenario,
    )

    name, data = read_scenario(file)
    points = load(name, site_rules=site_rules)
    return on_checklist(data, points), points


def _planned(scenario: Scenario, points: Checklist) -> Iterator[str]:
    from voicecheck.errors import ObserveError  # noqa: PLC0415
    from voicecheck.observe.criteria import default_criteria  # noqa: PLC0415
    from voicecheck.observe.report.words import Words, share  # noqa: PLC0415
    from voicecheck.observe.scenario import (  # noqa: PLC0415
        expected_finding,
        is_critical,
        problems,
    )
    from voicecheck.statistics.proportions import (  # noqa: PLC0415
        faults_needed,
        upper_bound,
    )

    wrong = problems(scenario, points)
    if wrong:
        raise ObserveError("; ".join(wrong))
    words = Words(points)
    for fault in scenario.planted:
        found = expected_finding(points, fault)
        must = ", must be found" if is_critical(points, fault) else ""
        yield (
            f"{words.point(fault.checkpoint)}  "
            f"{words.answer(fault.expected, fault.checkpoint)} "
            f"({words.severity(found.severity)}{must}): "
            f"{fault.tag or fault.described}"
        )
    usual, count = default_criteria(), len(scenario.planted)
    least = next(o.least_trials for o in usual.measures if o.id == "planted_found")
    if count < least:
        yield f"{count} planted: the usual criteria decide nothing below {least}."
    bound, sure = upper_bound(0, count, usual.certainty), share(usual.certainty)
    needed = faults_needed(usual.allowed_miss_share, usual.certainty)
    yield (
        f"{count} planted: with all of them found, {sure} certainty that at most "
        f"{share(bound)} are missed in the long run; {needed} would show "
        f"{share(usual.allowed_miss_share)}."
    )
