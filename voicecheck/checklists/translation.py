"""Is a translation complete, and does it fit its checklist?"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from voicecheck.checklists.check_texts import check_translated_texts
from voicecheck.checklists.domain import Expanded
from voicecheck.checklists.problems import Problem, error, warning
from voicecheck.checklists.schema import (
    CheckpointEntry,
    CheckpointTranslation,
    TranslationFile,
)


def check_translation(
    expanded: Expanded, words: TranslationFile, language: str
) -> tuple[Problem, ...]:
    """Return what is missing in a translation, or does not belong there.

    Learners' texts (look, wrong, why) may be missing: English stands in, with a
    warning. Everything that is spoken must be there. Rules of a site may be.
    """
    file = expanded.file
    rules = {rule.id for rule in (*expanded.shared_rules, *file.rules)}
    points = {p.id: p for zone in file.zones for p in zone.checkpoints}
    return (
        *_head(expanded, words, language),
        *_keys("fluids", {fluid.id for fluid in file.fluids}, words.fluids),
        *_keys("zones", {zone.id for zone in file.zones}, words.zones),
        *_keys("checkpoints", points, words.checkpoints),
        *_keys("rules", rules, words.rules),
        *(
            problem
            for key, point in points.items()
            if key in words.checkpoints
            for problem in _point(point, words.checkpoints[key])
        ),
        *_climbs(expanded, words),
        *check_translated_texts(words),
    )


def _head(
    expanded: Expanded, words: TranslationFile, language: str
) -> Iterator[Problem]:
    file = expanded.file
    expected = (
        ("checklist", file.name, words.checklist),
        ("checklist_version", file.version, words.checklist_version),
        ("language", language, words.language),
    )
    for key, wanted, found in expected:
        if found != wanted:
            yield error(key, f"must be {wanted!r}, not {found!r}")
    if len(words.cautions) != len(file.cautions):
        yield error(
            "cautions",
            f"must be {len(file.cautions)} as in the checklist, not "
            f"{len(words.cautions)}",
        )


def _keys(
    table: str, wanted: Collection[str], found: Collection[str]
) -> Iterator[Problem]:
    for key in wanted:
        if key not in found:
            yield error(f"{table} > {key}", "is not translated; add it")
    for key in found:
        if key not in wanted:
            yield error(
                f"{table} > {key}",
                "is not in the checklist; check its spelling or take it out",
            )


def _point(point: CheckpointEntry, spoken: CheckpointTranslation) -> Iterator[Problem]:
    place = f"checkpoints > {point.id}"
    if len(spoken.hazards) != len(point.hazards):
        yield error(
            f"{place}, hazards",
            f"must be {len(point.hazards)} as in the checklist, not "
            f"{len(spoken.hazards)}",
        )
    if bool(spoken.stop_text) != bool(point.stop_text):
        action = "add it" if point.stop_text else "take it out"
        yield error(f"{place}, stop_text", f"must be as in the checklist; {action}")
    missing = [key for key in ("look", "wrong", "why") if getattr(spoken, key) is None]
    if missing:
        yield warning(
            place, f"{', '.join(missing)} not translated; English is shown to learners"
        )


def _climbs(expanded: Expanded, words: TranslationFile) -> Iterator[Problem]:
    for zone in expanded.file.zones:
        if zone.id not in words.zones:
            continue
        if bool(words.zones[zone.id].climb_caution) != bool(zone.climb_caution):
            action = "add it" if zone.climb_caution else "take it out"
            yield error(
                f"zones > {zone.id}, climb_caution",
                f"must be as in the checklist; {action}",
            )
