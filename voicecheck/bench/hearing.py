"""The hearing benchmark: `python -m voicecheck.bench.hearing [OPTIONS]`.

The same as `voicecheck bench hearing`, which is the way to run it; this module
puts a run together from a corpus, and writes what came out.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from voicecheck.bench.contestants import EngineName, make_contestants
from voicecheck.bench.hearing_corpus import Material
from voicecheck.bench.hearing_plot import draw_hearing
from voicecheck.bench.hearing_result import HearingResult
from voicecheck.bench.hearing_run import HearingRun, Make, result_of, run_rows
from voicecheck.bench.hearing_table import as_markdown
from voicecheck.bench.plotting import NO_PLOT
from voicecheck.bench.trials import CONDITIONS, Condition
from voicecheck.bench.verdicts import row_line
from voicecheck.errors import UsageError

__all__ = ["Asked", "conditions_named", "engines_named", "measure", "write_result"]

QUICK_TRIALS = 11


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a run shall hold."""

    engines: tuple[EngineName, ...] = tuple(EngineName)
    conditions: tuple[Condition, ...] = CONDITIONS
    trials: int = 55
    """Command trials in each noise."""
    foreign: int = 55
    """Trials in each noise with sounds that are no answer."""
    seed: int = 5
    jobs: int = 1


def engines_named(text: str) -> tuple[EngineName, ...]:
    """Read a list of engines, separated by commas.

    Raises:
        UsageError: one of them is unknown.
    """
    names = [name.strip() for name in text.split(",") if name.strip()]
    known = [engine.value for engine in EngineName]
    for name in names:
        if name not in known:
            raise UsageError(
                f"there is no engine {name!r}: choose among {', '.join(known)}"
            )
    if not names:
        raise UsageError(f"name at least one engine of {', '.join(known)}")
    return tuple(e for e in EngineName if e.value in names)


def conditions_named(text: str) -> tuple[Condition, ...]:
    """Read a list of noises, separated by commas: "pink" or "pink 5".

    Raises:
        UsageError: one of them is unknown.
    """
    names = [name.strip() for name in text.split(",") if name.strip()]
    found = []
    for name in names:
        matching = [c for c in CONDITIONS if name in (c.name, c.kind.value)]
        if not matching:
            known = ", ".join(c.name for c in CONDITIONS)
            raise UsageError(f"there is no noise {name!r}: choose among {known}")
        found += matching
    if not found:
        raise UsageError("name at least one noise, for example pink or 'idle 0'")
    return tuple(c for c in CONDITIONS if c in found)


def measure(
    material: Material,
    asked: Asked,
    out: Path,
    progress: Callable[[str], None],
    make: Make = make_contestants,
) -> HearingResult:
    """Run the benchmark and write it into a folder.

    Args:
        material: the sound.
        asked: what is compared.
        out: where rows.jsonl, hearing.json, hearing.md and hearing.png go.
        progress: told how far it is.
        make: makes the engines.
    """
    run = HearingRun(
        clips=material.clips,
        examples=material.examples,
        talkers=material.talkers,
        conditions=asked.conditions,
        engines=asked.engines,
        trials=asked.trials,
        foreign=asked.foreign,
        seed=asked.seed,
    )
    out.mkdir(parents=True, exist_ok=True)
    rows = []
    with (out / "rows.jsonl").open("w", encoding="utf-8") as lines:
        for row in run_rows(run, progress, jobs=asked.jobs, make=make):
            lines.write(row_line(row) + "\n")
            rows.append(row)
    heard = {row.engine for row in rows}
    missing = [e.value for e in asked.engines if e.value not in heard]
    notes = list(material.notes)
    if missing:
        notes.append(
            f"Left out: {', '.join(missing)} (nobody among these voices can be "
            "enrolled: it takes four settings of one speaker)."
        )
    return result_of(run, rows, split=material.split.value, notes=notes)


def write_result(result: HearingResult, out: Path) -> tuple[list[Path], str]:
    """Write the result; return the files, and what to tell about the plot."""
    data = result.model_dump(mode="json", by_alias=True)
    text = json.dumps(data, ensure_ascii=False, indent=1)
    written = [out / "hearing.json", out / "hearing.md", out / "rows.jsonl"]
    written[0].write_text(text + "\n", encoding="utf-8")
    written[1].write_text(as_markdown(result), encoding="utf-8")
    if not draw_hearing(result, out / "hearing.png"):
        return written, NO_PLOT
    return [*written, out / "hearing.png"], ""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command `voicecheck bench hearing`."""
    import sys  # noqa: PLC0415

    from voicecheck.cli.main import main as program  # noqa: PLC0415

    given = sys.argv[1:] if arguments is None else list(arguments)
    sys.argv = ["voicecheck", "bench", "hearing", *given]
    program()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
