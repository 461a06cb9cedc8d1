"""`voicecheck demo --learn` and `--observe`: known weaknesses, found again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, TypeVar

import typer

from voicecheck.cli.json_text import json_text

if TYPE_CHECKING:
    from voicecheck.demo.recovery.recovered import Recovered
    from voicecheck.demo.recovery.trainee import Weaknesses
    from voicecheck.learn.deck import Deck
    from voicecheck.observe.result import Result
    from voicecheck.round.checklist import Checklist

Found = TypeVar("Found")


def demo_learn(
    checklist_name: str, language: str, seed: int, seeds: int, *, as_json: bool
) -> None:
    """Let simulated learners practise; show one, then what was recovered of all.

    Raises:
        LearnError: the checklist has no situations in this language.
    """
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.demo.recovery.learned import learned  # noqa: PLC0415
    from voicecheck.demo.recovery.recovered import recover  # noqa: PLC0415
    from voicecheck.demo.recovery.table import document  # noqa: PLC0415
    from voicecheck.demo.recovery.trainee import Weaknesses  # noqa: PLC0415
    from voicecheck.learn.deck import deck  # noqa: PLC0415
    from voicecheck.learn.situations import build  # noqa: PLC0415

    cards, weak = deck(load(checklist_name, language)), Weaknesses()
    build(cards.checklist)  # says what to do where there are none
    if not as_json:
        _tell_weaknesses(weak)
        _tell_practice(cards, weak, seed)
    found = recover(
        _each(seeds, seed, lambda one: learned(cards, weak, one), quiet=as_json)
    )
    if as_json:
        typer.echo(json_text(document("learn", weak, found, seed, {})))
        return
    _tell_recovered(found, seeds)
    typer.echo(
        "\nEach simulated learner made 100 calls, said the zones in order 20 times, "
        "and learned\nthe points of ten zones by the schedule for 30 days. Few pairs "
        "of severities make kappa\nlean a little low. Memory: 0.5 forgets twice as "
        "fast as the schedule supposes;\nit leans a little high, "
        "since what is asked next depends on what was recalled."
    )


def demo_observe(
    checklist_name: str, language: str, seed: int, seeds: int, *, as_json: bool
) -> None:
    """Let an assessor watch simulated trainees; show one, then all."""
    from voicecheck.checklists.loader import load  # noqa: PLC0415
    from voicecheck.demo.recovery.recovered import recover  # noqa: PLC0415
    from voicecheck.demo.recovery.table import document  # noqa: PLC0415
    from voicecheck.demo.recovery.trainee import Weaknesses  # noqa: PLC0415
    from voicecheck.demo.recovery.truths import walked_hit_rate  # noqa: PLC0415
    from voicecheck.demo.recovery.watched import walk_figures, watched  # noqa: PLC0415
    from voicecheck.observe.decision import decide  # noqa: PLC0415

    checklist, weak = load(checklist_name, language), Weaknesses()
    if not as_json:
        _tell_weaknesses(weak)
        _tell_walk(checklist, weak, seed)
    results: list[Result] = list(
        _each(seeds, seed, lambda one: watched(checklist, weak, one), quiet=as_json)
    )
    found = recover(tuple(walk_figures(checklist, weak, one)) for one in results)
    misses = Counter(one.misses.shown.value for one in results)
    standings = Counter(decide(one).standing.value for one in results)
    if as_json:
        extra = {"misses_shown": dict(misses), "decisions": dict(standings)}
        typer.echo(json_text(document("observe", weak, found, seed, extra)))
        return
    _tell_recovered(found, seeds)
    allowed = results[0].misses.allowed_share
    typer.echo(
        f"\nThese trainees miss {1 - walked_hit_rate(weak):.0%} in the long run; "
        f"{allowed:.0%} are allowed. What the planted faults\nof one walk showed of "
        f"that: {_counted(misses)}.\nDecisions: {_counted(standings)}.\n"
        "With a dozen planted faults the intervals are wide, and kappa of so few "
        "severities\nleans low: plant more, or watch more than one walk."
    )


def _tell_weaknesses(weak: Weaknesses) -> None:
    typer.echo(
        "A simulated trainee, J.Doe of Stonefold Quarry. What we put in:\n"
        f'  tells wrong from good with d\' = {weak.d_prime}, and leans to "good" by '
        f"c = {weak.criterion}\n"
        f"  calls {weak.too_mild:.0%} of severities one step too mild and guesses "
        f"{weak.severity_error:.0%}\n"
        f"  takes a zone after the next one with a chance of {weak.swaps:.0%}\n"
        f"  passes {weak.passes_by:.0%} of the points of a walk without a look\n"
        f"  forgets points {1 / weak.memory:.1f} times as fast as the schedule "
        "supposes, zones never\n"
        "What follows is worked out from its answers and actions alone.\n"
    )


def _tell_practice(cards: Deck, weak: Weaknesses, seed: int) -> None:
    from rich.console import Console  # noqa: PLC0415

    from voicecheck.demo.recovery.story import empty_store, practised  # noqa: PLC0415
    from voicecheck.learn.report.terminal import terminal_view  # noqa: PLC0415

    with empty_store() as store:
        shown = practised(store, cards, weak, seed)
    missed = shown.progress.recent.missed_kinds
    typer.echo(f"What seed {seed} called good although it was not:")
    for kind, count in missed[:_MOST_TOLD]:
        typer.echo(f"  {_example(cards, kind)}{f' ({count} times)' * (count > 1)}")
    if len(missed) > _MOST_TOLD:
        typer.echo(f"  and {len(missed) - _MOST_TOLD} more kinds")
    typer.echo("")
    console = Console()
    for part in terminal_view(shown):
        console.print(part)


_MOST_TOLD = 6


def _example(cards: Deck, kind: str) -> str:
    one = cards.situations[kind][0]
    prompt = cards.checklist.checkpoint(one.checkpoint_id).prompt
    return f"{prompt} {one.text}"


def _tell_walk(checklist: Checklist, weak: Weaknesses, seed: int) -> None:
    from voicecheck.demo.recovery.story import empty_store, judged  # noqa: PLC0415
    from voicecheck.observe.decision import decide  # noqa: PLC0415
    from voicecheck.observe.report.debrief_parts import (  # noqa: PLC0415
        debrief_report,
    )
    from voicecheck.observe.report.result_parts import result_report  # noqa: PLC0415
    from voicecheck.observe.report.text import report_text  # noqa: PLC0415
    from voicecheck.observe.report.words import Words  # noqa: PLC0415

    with empty_store() as store:
        found = judged(store, checklist, weak, seed)
    decided, words = decide(found), Words(checklist)
    for make in (result_report, debrief_report):
        typer.echo(report_text(make(found, decided, words)))


def _tell_recovered(found: Sequence[Recovered], seeds: int) -> None:
    from rich import box  # noqa: PLC0415
    from rich.console import Console  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415

    from voicecheck.demo.recovery.table import HEAD, rows  # noqa: PLC0415

    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for name in HEAD:
        table.add_column(name)
    for row in rows(found):
        table.add_row(*row)
    typer.echo(f"\nPut in and found again, {seeds} seeds")
    Console().print(table)


def _each(
    seeds: int, first: int, work: Callable[[int], Found], *, quiet: bool
) -> Iterator[Found]:
    """Yield the work of each seed; tell on the standard error how far it is."""
    for at in range(seeds):
        yield work(first + at)
        if not quiet and seeds > _TOLD_EACH and (at + 1) % _TOLD_EACH == 0:
            typer.echo(f"{at + 1} of {seeds} seeds", err=True)


_TOLD_EACH = 20


def _counted(counts: Counter[str]) -> str:
    return ", ".join(
        f"{name.replace('_', ' ')} {count}" for name, count in counts.most_common()
    )
