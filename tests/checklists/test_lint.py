"""Every kind of problem is found in a minimal file that has only that one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from voicecheck.checklists import Problem, ProblemSeverity, lint, load
from voicecheck.checklists.problems import warning
from voicecheck.errors import ChecklistError
from voicecheck.round.checklist import Checklist

Write = Callable[..., Path]

HORN_ZONE = 'place = "cab"\nfrom_station = "step"'
END_ZONE = 'place = "ground"\nfrom_station = "seat"'
LONG = "Will you please look at all of it from here to there and back again?"
LIMITS = 'plausible_max = 12, high = 6.2, limits_source = "an example"'

# What is changed, the place that is named, a part of what is said.
ERRORS: dict[str, tuple[tuple[str, str], str, str]] = {
    "unknown key": (
        ('title = "outside"', 'title = "outside"\nhazrads = []'),
        "zones > outside > hazrads",
        "not known",
    ),
    "missing key": (
        ('look = "Sound it."\n', ""),
        "zones > inside > checkpoints > horn > look",
        "add it",
    ),
    "id not snake_case": (
        ('id = "horn"', 'id = "Horn-1"'),
        "checkpoints > Horn-1 > id",
        "pattern",
    ),
    "unknown kind": (
        ('kind = "function"', 'kind = "feeling"'),
        "checkpoints > horn > kind",
        "'condition'",
    ),
    "unknown tag": (
        ('tags = ["fuel"]', 'tags = ["feul"]'),
        "fuel_level > tags",
        "'fuel'",
    ),
    "checkpoint id twice": (
        ('id = "last_look"', 'id = "horn"'),
        "checkpoint horn",
        "2 times",
    ),
    "zone id twice": (('id = "end"', 'id = "outside"'), "zone outside", "2 times"),
    "rule id twice": (('id = "horn_bad"', 'id = "any_bad"'), "rule any_bad", "2 times"),
    "same prompt twice": (
        ('prompt = "Ground?"', 'prompt = "horn?"'),
        "checkpoint last_look, prompt",
        "horn asks the same",
    ),
    "way jumps": (
        ('from_station = "step"', 'from_station = "roof"'),
        "zone inside, from_station",
        "'step', where zone outside ends",
    ),
    "way does not close": (
        ('to_station = "gate"', 'to_station = "shed"'),
        "zone end, to_station",
        "where the walk began",
    ),
    "station passed twice": (
        ('to_station = "seat"', 'to_station = "gate"'),
        "zone end, from_station",
        "jump",
    ),
    "no climb down": (
        (END_ZONE, END_ZONE.replace("ground", "cab")),
        "zone end, place",
        "match each climb up",
    ),
    "begins above ground": (
        (
            'place = "ground"\nfrom_station = "gate"',
            'place = "cab"\nfrom_station = "gate"',
        ),
        "zone outside, place",
        "begin on the ground",
    ),
    "digit in prompt": (('"Horn?"', '"Horn 2?"'), "checkpoint horn, prompt", "'2?'"),
    "symbol in hazard": (
        ('"Nobody near."', '"Nobody < near."'),
        "checkpoint horn, hazard 1",
        "'<'",
    ),
    "abbreviation in prompt": (
        ('"Restriction?"', '"Restriction, kPa?"'),
        "checkpoint restriction, prompt",
        "'kPa?'",
    ),
    "capitals in title": (
        ('title = "outside"', 'title = "ROPS side"'),
        "zone outside, title",
        "'ROPS'",
    ),
    "digit in rule": (
        ('text = "Fill it."', 'text = "Fill 5 more."'),
        "rule level_low, text",
        "'5'",
    ),
    "prompt far too long": (
        ('"Horn?"', f'"{LONG}"'),
        "checkpoint horn, prompt",
        "4.0 s at most",
    ),
    "prompt without question mark": (
        ('"Horn?"', '"Horn."'),
        "checkpoint horn, prompt",
        "question mark",
    ),
    "fluid that is not there": (
        ('fluids = ["fuel"]\ntags', 'fluids = ["oil"]\ntags'),
        "checkpoint fuel_level",
        "no fluid 'oil'",
    ),
    "level of nothing": (
        ('level_of = "fuel"\n', ""),
        "checkpoint fuel_level",
        "needs level_of",
    ),
    "level_of elsewhere": (
        ('why = "It warns."', 'why = "It."\nlevel_of = "fuel"'),
        "checkpoint horn",
        "level_of belongs to a level",
    ),
    "start without stop text": (
        ('stop_text = "Get them out first."\n', ""),
        "checkpoint cab_empty",
        "needs stop_text",
    ),
    "start without its tag": (
        ('tags = ["start"]', "tags = []"),
        "checkpoint cab_empty",
        'tags with "start"',
    ),
    "start check that may be absent": (
        ('tags = ["start"]', 'tags = ["start"]\nmay_be_absent = true'),
        "checkpoint cab_empty",
        "take may_be_absent out",
    ),
    "start check late": (
        (
            'kind = "condition"\nprompt = "Ground?"',
            'kind = "start"\nstop_text = "Stop."\ntags = ["start"]\nprompt = "Ground?"',
        ),
        "checkpoint last_look",
        "move it to the front",
    ),
    "mandatory part absent": (
        (
            'tags = ["horn"]\n\n[[zones.checkpoints]]',
            'tags = ["horn"]\nmay_be_absent = true\n\n[[zones.checkpoints]]',
        ),
        "checkpoint horn, may_be_absent",
        "must be fitted",
    ),
    "limits in wrong order": (
        (LIMITS, 'plausible_max = 5, high = 6.2, limits_source = "an example"'),
        "checkpoint restriction, reading",
        "must be below",
    ),
    "no rule for start no": (
        ('answers = ["no"]', 'answers = ["yes"]'),
        "checkpoint cab_empty",
        "'no'",
    ),
    "no rule for a defect": (
        (
            'answers = ["defect", "leak", "could_not_check"]',
            'answers = ["leak", "could_not_check"]',
        ),
        "checkpoint last_look",
        "'defect'",
    ),
    "rule that releases": (
        (
            'id = "level_low"\noutcome = "may_work_with_defects"',
            'id = "level_low"\noutcome = "may_work"',
        ),
        "checkpoint fuel_level",
        "'level'",
    ),
    "safety tag without a stop": (
        (
            'id = "horn_bad"\noutcome = "out_of_service"',
            'id = "horn_bad"\noutcome = "may_work_with_defects"',
        ),
        "checkpoint horn",
        "out of service",
    ),
    "rule names no checkpoint": (
        (
            'levels = ["low", "empty"]',
            'levels = ["low", "empty"]\ncheckpoints = ["bonnet"]',
        ),
        "rule level_low",
        "checkpoint 'bonnet'",
    ),
    "rule names a tag of nothing": (
        (
            'answers = ["defect"]\ntags = ["horn"]',
            'answers = ["defect"]\ntags = ["horn", "rops"]',
        ),
        "rule horn_bad",
        "tag 'rops'",
    ),
    "rule names no fluid": (
        ('fluids = ["fuel"]\n', 'fluids = ["fuel", "grease"]\n'),
        "rule fuel_leaks",
        "fluid 'grease'",
    ),
    "rule names no answer": (
        ('answers = ["no"]', 'answers = ["nope"]'),
        "rules > start_no > answers",
        "'no'",
    ),
    "shared rules that are not there": (
        ('machine = "small truck"', 'machine = "truck"\nshared_rules = ["ours"]'),
        "shared_rules",
        "no rules file 'ours'",
    ),
    "name unlike the file": (
        ('name = "small-truck"', 'name = "big-truck"'),
        "name",
        "'small-truck', the name of the file",
    ),
}


REFUSED = [case for case in ERRORS if case != "name unlike the file"]


def test_minimal_is_clean(minimal: str, write: Write) -> None:
    """The file that all others are made from has no problem."""
    assert lint(write(minimal)) == ()


@pytest.mark.parametrize("case", ERRORS)
def test_error_is_found(minimal: str, write: Write, case: str) -> None:
    """The one thing that is wrong is an error with its place and what to do."""
    change, place, said = ERRORS[case]
    found = lint(write(minimal, change))
    hits = [p for p in found if place in p.place and said in p.text]
    assert hits, found
    assert hits[0].severity is ProblemSeverity.ERROR


@pytest.mark.parametrize("case", REFUSED)
def test_loader_refuses_what_lint_finds(minimal: str, write: Write, case: str) -> None:
    """A file with an error is not loaded; the error names the file."""
    path = write(minimal, ERRORS[case][0])
    with pytest.raises(ChecklistError, match=r"small-truck\.toml"):
        load(path)


@pytest.mark.parametrize(
    ("change", "place", "said"),
    [
        (
            ('"Horn?"', '"Horn, heard well above the noise of the yard?"'),
            "checkpoint horn, prompt",
            "2.5 s",
        ),
        (
            (', limits_source = "an example"', ""),
            "checkpoint restriction, reading",
            "limits_source",
        ),
        (
            ('"Nobody near."', '"' + "Keep everybody well away from it. " * 3 + '"'),
            "checkpoint horn, hazard 1",
            "5.0 s",
        ),
    ],
)
def test_warning_leaves_the_file_usable(
    minimal: str, write: Write, change: tuple[str, str], place: str, said: str
) -> None:
    """A warning is told by lint and does not stop the loader."""
    path = write(minimal, change)
    (found,) = lint(path)
    assert (found.severity, found.place) == (ProblemSeverity.WARNING, place)
    assert said in found.text
    assert load(path).name == "small-truck"


def test_no_start_check_is_a_warning(minimal: str, write: Write) -> None:
    """A walk that asks nothing before it begins is warned of."""
    start = minimal[minimal.index('[[zones.checkpoints]]\nid = "cab_empty"') :]
    start = start[: start.index('[[zones.checkpoints]]\nid = "fuel_level"')]
    found = lint(write(minimal, (start, "")))
    assert [p.place for p in found] == ["checkpoint fuel_level"]
    assert "start check" in found[0].text


def test_platform_is_not_jumped(minimal: str, write: Write) -> None:
    """Where there is a platform, the way to the cab goes over it, up and down."""
    path = write(
        minimal,
        (
            END_ZONE + '\nto_station = "gate"',
            'place = "platform"\nfrom_station = "seat"\nto_station = "rail"',
        ),
        (
            '[[rules]]\nid = "start_no"',
            '[[zones]]\nid = "after"\ntitle = "after"\nplace = "ground"\n'
            'from_station = "rail"\nto_station = "gate"\n[[zones.checkpoints]]\n'
            'id = "tail"\nkind = "condition"\nprompt = "Tail?"\nlook = "a"\n'
            'wrong = "b"\nwhy = "c"\n\n[[rules]]\nid = "start_no"',
        ),
    )
    (found,) = lint(path)
    assert found.place == "zone inside, place"
    assert "over the platform" in found.text


def test_all_problems_are_told(minimal: str, write: Write) -> None:
    """Lint does not stop at the first problem."""
    found = lint(write(minimal, ('"Horn?"', '"Horn 2?"'), ('"Ground?"', '"Ground"')))
    assert [p.place for p in found] == [
        "checkpoint horn, prompt",
        "checkpoint last_look, prompt",
    ]


def test_further_checks_are_run(minimal: str, write: Write) -> None:
    """Checks from outside see the finished checklist and add their problems."""

    def no_horns(checklist: Checklist) -> Iterator[Problem]:
        for point in checklist.checkpoints:
            if "horn" in point.tags:
                yield warning(f"checkpoint {point.id}", "no engine knows this word")

    found = lint(write(minimal), further_checks=[no_horns])
    assert [str(p) for p in found] == [
        "warning: checkpoint horn: no engine knows this word"
    ]


def test_shared_rules_beside_the_file(minimal: str, write: Write) -> None:
    """Shared rules are looked for beside the checklist first."""
    head, _, rules = minimal.partition("[[rules]]")
    write("format = 1\n[[rules]]" + rules, name="rules/ours.toml")
    path = write(
        head, ('machine = "small truck"', 'machine = "a"\nshared_rules = ["ours"]')
    )
    assert lint(path) == ()
    assert load(path).rules[0].id == "start_no"
