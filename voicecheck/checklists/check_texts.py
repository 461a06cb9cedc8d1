"""Everything that is spoken must be fit to be spoken, and prompts short."""

from __future__ import annotations

from collections.abc import Iterator

from voicecheck.checklists.domain import Expanded
from voicecheck.checklists.problems import Problem, error, warning
from voicecheck.checklists.schema import ChecklistFile, TranslationFile
from voicecheck.checklists.speakable import spoken_s, unspeakable

AIM_PROMPT_S = 2.5
LONGEST_PROMPT_S = 4.0
_LONGEST_HAZARD_S = 5.0

Spoken = tuple[str, str]
"""Place in the file, text."""


def check_texts(expanded: Expanded) -> tuple[Problem, ...]:
    """Return the texts of a checklist that cannot be spoken or take too long."""
    file = expanded.file
    spoken = [*_head(file), *_fluids(file), *_zones(file)]
    spoken += [(f"rule {rule.id}, text", rule.text) for rule in expanded.rules]
    return tuple(
        problem
        for place, text in spoken
        for problem in check_spoken(place, text, file.language)
    )


def check_translated_texts(words: TranslationFile) -> tuple[Problem, ...]:
    """Return the texts of a translation that cannot be spoken or take too long."""
    spoken = [
        *_head(words),
        *((f"fluids > {key}", name) for key, name in words.fluids.items()),
        *((f"rules > {key}", text) for key, text in words.rules.items()),
    ]
    for key, zone in words.zones.items():
        spoken.append((f"zones > {key}, title", zone.title))
        spoken.append((f"zones > {key}, climb_caution", zone.climb_caution))
    for key, point in words.checkpoints.items():
        spoken += _point(
            f"checkpoints > {key}", point.prompt, point.hazards, point.stop_text
        )
    return tuple(
        problem
        for place, text in spoken
        for problem in check_spoken(place, text, words.language)
    )


def check_spoken(place: str, text: str, language: str) -> Iterator[Problem]:
    """Yield what is wrong with one spoken text."""
    bad = unspeakable(text, language)
    if bad:
        yield error(
            place,
            f"write {', '.join(repr(word) for word in bad)} as plain words: a voice "
            "stumbles over digits, symbols and abbreviations",
        )
    duration_s = spoken_s(text, language)
    about = f"takes about {duration_s:.1f} s to say; shorten it"
    if place.endswith(", prompt"):
        if duration_s > LONGEST_PROMPT_S:
            yield error(place, f"{about} to {LONGEST_PROMPT_S} s at most")
        elif duration_s > AIM_PROMPT_S:
            yield warning(place, f"{about} to {AIM_PROMPT_S} s")
        if not text.endswith("?"):
            yield error(place, "end the prompt with a question mark")
    elif ", hazard" in place and duration_s > _LONGEST_HAZARD_S:
        yield warning(place, f"{about} to {_LONGEST_HAZARD_S} s")


def _head(file: ChecklistFile | TranslationFile) -> list[Spoken]:
    return [
        ("title", file.title),
        ("machine", file.machine),
        ("climb_caution", file.climb_caution),
        ("declaration", file.declaration),
        *((f"cautions, number {n}", text) for n, text in enumerate(file.cautions, 1)),
    ]


def _fluids(file: ChecklistFile) -> list[Spoken]:
    return [(f"fluid {fluid.id}, name", fluid.name) for fluid in file.fluids]


def _zones(file: ChecklistFile) -> list[Spoken]:
    spoken: list[Spoken] = []
    for zone in file.zones:
        spoken.append((f"zone {zone.id}, title", zone.title))
        spoken.append((f"zone {zone.id}, climb_caution", zone.climb_caution))
        for point in zone.checkpoints:
            spoken += _point(
                f"checkpoint {point.id}", point.prompt, point.hazards, point.stop_text
            )
    return spoken


def _point(
    place: str, prompt: str, hazards: tuple[str, ...], stop_text: str
) -> list[Spoken]:
    return [
        (f"{place}, prompt", prompt),
        *((f"{place}, hazard {n}", text) for n, text in enumerate(hazards, 1)),
        (f"{place}, stop_text", stop_text),
    ]
