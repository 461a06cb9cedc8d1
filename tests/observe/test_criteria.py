"""Criteria are data; a site can make them stricter and never looser."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicecheck.errors import UsageError
from voicecheck.observe.criteria import (
    Measure,
    criteria_from_json,
    criteria_to_json,
    default_criteria,
    site_criteria,
)
from voicecheck.observe.marks import UnsafeAct

HEAD = 'format = 1\nname = "Stonefold Quarry"\n'


def site(tmp_path: Path, text: str) -> Path:
    """Write a file of a site."""
    path = tmp_path / "site.toml"
    path.write_text(HEAD + text, encoding="utf-8")
    return path


def test_the_defaults_name_what_fails_at_once() -> None:
    """The four critical points, each with its source."""
    usual = default_criteria()

    assert [one.id for one in usual.critical] == [
        "cab_check_skipped",
        "three_points_broken",
        "critical_fault_missed",
        "hot_coolant_opened",
    ]
    assert {one.measure for one in usual.measures} == set(Measure)
    for one in (*usual.critical, *usual.measures):
        assert "source" in one.source or "CFR" in one.source


def test_a_site_tightens(tmp_path: Path) -> None:
    """A higher bound, one more point that must not be missed, an own one."""
    path = site(
        tmp_path,
        "certainty = 0.99\nallowed_miss_share = 0.02\n"
        '[[measures]]\nid = "planted_found"\nmeasure = "planted_found"\n'
        'at_least = 0.9\nleast_trials = 10\nsource = "site rule 4"\n'
        '[[critical]]\nid = "cab_check_skipped"\nmissed = ["joint_clear"]\n'
        'source = "site rule 5"\n'
        '[[critical]]\nid = "under_arms"\nmissed = ["boom"]\n'
        'text = "Went under raised arms."\nsource = "site rule 6"\n',
    )

    tight = site_criteria(path)

    by_id = {one.id: one for one in tight.measures}
    assert by_id["planted_found"].at_least == 0.9
    assert by_id["coverage"] == default_criteria().measures[1]
    cab = tight.critical[0]
    assert cab.missed == ("cab_empty", "joint_clear")
    assert cab.act is UnsafeAct.CAB_CHECK_SKIPPED
    assert tight.critical[-1].id == "under_arms"
    assert criteria_from_json(criteria_to_json(tight)) == tight


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("certainty = 0.9\n", "certainty: a site can only tighten"),
        ("allowed_miss_share = 0.1\n", "allowed_miss_share: a site can only tighten"),
        (
            '[[measures]]\nid = "coverage"\nmeasure = "coverage"\nat_least = 0.5\n'
            'least_trials = 10\nsource = "x"\n',
            "coverage: at_least: a site can only tighten 0.95",
        ),
        (
            '[[measures]]\nid = "false_alarms"\nmeasure = "false_alarms"\n'
            'at_most = 0.5\nleast_trials = 10\nsource = "x"\n',
            "false_alarms: at_most: a site can only tighten 0.2",
        ),
        (
            '[[measures]]\nid = "coverage"\nmeasure = "coverage"\nat_least = 0.99\n'
            'least_trials = 1\nsource = "x"\n',
            "least_trials: a site can only tighten 10",
        ),
        (
            '[[measures]]\nid = "coverage"\nmeasure = "order"\nat_least = 0.99\n'
            'least_trials = 10\nsource = "x"\n',
            "it measures coverage",
        ),
        (
            '[[measures]]\nid = "mine"\nmeasure = "unsafe_acts"\nat_least = 0\n'
            'source = "x"\n',
            "unsafe_acts takes at_most",
        ),
        (
            '[[critical]]\nid = "cab_check_skipped"\nact = "other"\nsource = "x"\n',
            "a site cannot change cab_check_skipped",
        ),
        (
            '[[critical]]\nid = "mine"\nmissed = ["horn"]\nsource = "x"\n',
            "say in words",
        ),
        ('[[critical]]\nid = "mine"\nsource = "x"\n', "give act, missed"),
        ("loose = 1\n", "loose: Extra inputs"),
    ],
)
def test_what_loosens_or_means_nothing_is_refused(
    tmp_path: Path, text: str, says: str
) -> None:
    """With the place and what was expected."""
    with pytest.raises(UsageError, match=says):
        site_criteria(site(tmp_path, text))
