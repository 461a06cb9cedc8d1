"""From the models of the files to the types of the core, and the hash of both.

The hash covers the whole checklist as it is used (structure, English texts,
expanded rules), whatever language is spoken.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicecheck.checklists.schema import (
    ChecklistFile,
    CheckpointEntry,
    ReadingEntry,
    RuleEntry,
    TranslationFile,
    ZoneEntry,
)
from voicecheck.record.canonical import sha256_of
from voicecheck.round.checklist import (
    Checklist,
    Checkpoint,
    Fluid,
    ReadingSpec,
    Rule,
    Zone,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Expanded:
    """A checklist file with every rule that applies to it."""

    file: ChecklistFile
    shared_rules: tuple[RuleEntry, ...] = ()
    site_rules: tuple[RuleEntry, ...] = ()

    @property
    def rules(self) -> tuple[RuleEntry, ...]:
        """Shared rules first, then its own, then those of the site."""
        return (*self.shared_rules, *self.file.rules, *self.site_rules)


def sha256_of_checklist(expanded: Expanded) -> str:
    """Return the SHA-256 of the canonical JSON (RFC 8785) of the whole checklist."""
    data = expanded.file.model_dump(mode="json")
    data["rules"] = [rule.model_dump(mode="json") for rule in expanded.rules]
    return sha256_of(data)


def to_domain(expanded: Expanded, words: TranslationFile | None = None) -> Checklist:
    """Return the checklist of the core, in English or in the words given.

    Args:
        expanded: a checklist without problems.
        words: its complete translation; None: English. Rules of a site that the
            translation does not know keep their own text.
    """
    file = expanded.file
    source = words or file
    return Checklist(
        name=file.name,
        version=file.version,
        title=source.title,
        machine=source.machine,
        fluids=tuple(
            Fluid(
                id=f.id,
                name=words.fluids[f.id] if words else f.name,
                unit=f.unit,
            )
            for f in file.fluids
        ),
        zones=tuple(_zone(zone, file, words) for zone in file.zones),
        rules=tuple(_rule(rule, words) for rule in expanded.rules),
        declaration=source.declaration,
        cautions=source.cautions,
        sha256=sha256_of_checklist(expanded),
        language=source.language,
    )


def _zone(zone: ZoneEntry, file: ChecklistFile, words: TranslationFile | None) -> Zone:
    spoken = words.zones[zone.id] if words else zone
    usual = (words or file).climb_caution
    return Zone(
        id=zone.id,
        title=spoken.title,
        place=zone.place,
        from_station=zone.from_station,
        to_station=zone.to_station,
        climb_caution=spoken.climb_caution or usual,
        checkpoints=tuple(_checkpoint(c, zone, words) for c in zone.checkpoints),
        plan_x=zone.plan_x,
        plan_y=zone.plan_y,
    )


def _checkpoint(
    entry: CheckpointEntry, zone: ZoneEntry, words: TranslationFile | None
) -> Checkpoint:
    spoken = words.checkpoints[entry.id] if words else entry
    return Checkpoint(
        id=entry.id,
        zone_id=zone.id,
        kind=entry.kind,
        prompt=spoken.prompt,
        look=spoken.look or entry.look,
        wrong=spoken.wrong or entry.wrong,
        why=spoken.why or entry.why,
        hazards=spoken.hazards,
        fluids=entry.fluids,
        level_of=entry.level_of,
        reading=_reading(entry.reading) if entry.reading else None,
        tags=tuple(tag.value for tag in entry.tags),
        may_be_absent=entry.may_be_absent,
        stop_text=spoken.stop_text,
        min_look_s=entry.min_look_s,
    )


def _reading(entry: ReadingEntry) -> ReadingSpec:
    return ReadingSpec(
        quantity=entry.quantity,
        unit=entry.unit,
        plausible_min=entry.plausible_min,
        plausible_max=entry.plausible_max,
        far_low=entry.far_low,
        low=entry.low,
        high=entry.high,
        far_high=entry.far_high,
        decimals=entry.decimals,
        limits_source=entry.limits_source,
    )


def _rule(entry: RuleEntry, words: TranslationFile | None) -> Rule:
    return Rule(
        id=entry.id,
        outcome=entry.outcome,
        text=words.rules.get(entry.id, entry.text) if words else entry.text,
        source=entry.source,
        answers=entry.answers,
        checkpoints=entry.checkpoints,
        tags=tuple(tag.value for tag in entry.tags),
        severity_at_least=entry.severity_at_least,
        leak_class_at_least=entry.leak_class_at_least,
        fluids=entry.fluids,
        levels=entry.levels,
        reading_states=entry.reading_states,
        fluid_level_in=entry.fluid_level_in,
    )
