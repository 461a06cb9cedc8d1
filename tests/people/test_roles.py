"""Who may do what: the whole table."""

from __future__ import annotations

import pytest

from voicecheck.people.roles import Action, Person, Role, may, refusal


def person(name: str, *roles: Role) -> Person:
    """Return somebody."""
    return Person(
        id=name,
        roles=frozenset(roles),
        registered_utc="2026-01-05T06:00:00.000Z",
        registered_by=name,
    )


LEARNER = person("J.Doe", Role.LEARNER)
ASSESSOR = person("M.Roe", Role.ASSESSOR)
SUPERVISOR = person("C.Poe", Role.SUPERVISOR)

OWN = {Action.SEE, Action.WRITE, Action.SEE_LOOKS, Action.EXPORT, Action.ERASE}

TABLE = [
    pytest.param(LEARNER, "J.Doe", "", OWN | {Action.ISSUE_CODE}, id="learner, own"),
    pytest.param(LEARNER, "K.Low", "", set(), id="learner, another's"),
    pytest.param(LEARNER, "K.Low", "J.Doe", set(), id="learner, made by them"),
    pytest.param(ASSESSOR, "M.Roe", "", OWN | {Action.ISSUE_CODE}, id="assessor, own"),
    pytest.param(ASSESSOR, "J.Doe", "", {Action.WRITE}, id="assessor, all of another"),
    pytest.param(
        ASSESSOR, "J.Doe", "M.Roe", {Action.WRITE, Action.SEE}, id="assessor, made"
    ),
    pytest.param(
        ASSESSOR, "J.Doe", "K.Low", {Action.WRITE}, id="assessor, made by another"
    ),
    pytest.param(SUPERVISOR, "J.Doe", "", set(Action), id="supervisor"),
    pytest.param(person("X"), "J.Doe", "X", set(), id="no role"),
]


@pytest.mark.parametrize(("reader", "subject", "made_by", "allowed"), TABLE)
def test_the_rights(
    reader: Person, subject: str, made_by: str, allowed: set[Action]
) -> None:
    """Exactly these actions, and no others."""
    assert {one for one in Action if may(reader, one, subject, made_by)} == allowed


@pytest.mark.parametrize("action", Action)
def test_a_refusal_says_whom_to_ask(action: Action) -> None:
    """In one sentence, about one's own results too."""
    alone = action is Action.REGISTER  # nobody gives themselves a role
    whom = "a supervisor" if alone else "K.Low or a supervisor"
    assert refusal(LEARNER, action, "K.Low").endswith(f"; ask {whom}")
    assert refusal(LEARNER, action, "J.Doe").endswith("ask a supervisor")
