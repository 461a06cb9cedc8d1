"""Who may do what with whose results. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What a person is here for; one may have several."""

    LEARNER = "learner"
    ASSESSOR = "assessor"
    SUPERVISOR = "supervisor"


class Action(StrEnum):
    """What somebody wants to do with the results of a person."""

    SEE = "see"
    """Read results."""
    WRITE = "write"
    """Add results."""
    SEE_LOOKS = "see looks"
    """Read who has looked."""
    EXPORT = "export"
    """Take all of it away as a document."""
    ERASE = "erase"
    """Remove all of it."""
    REGISTER = "register"
    """Give the person a role."""
    ISSUE_CODE = "issue code"
    """Give the person a new access code."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody whose results are kept, or who looks at those of others."""

    id: str
    """As the site calls them, such as J.Doe."""
    roles: frozenset[Role]
    registered_utc: str
    registered_by: str


def may(reader: Person, action: Action, subject: str, made_by: str = "") -> bool:
    """Tell whether a person may do this with the results of a subject.

    Args:
        reader: who wants to.
        action: what they want to do.
        subject: id of the person whose results they are.
        made_by: who made the result, such as the assessor of an observation;
            empty: all results, or nobody else's.

    Returns:
        A supervisor may do everything; everybody may do everything with their own
        results, except give themselves a role; an assessor may write results, and
        see those that they made.
    """
    if Role.SUPERVISOR in reader.roles:
        return True
    if reader.id == subject:
        return action is not Action.REGISTER
    if Role.ASSESSOR in reader.roles:
        if action is Action.WRITE:
            return True
        return action is Action.SEE and made_by == reader.id
    return False


def refusal(reader: Person, action: Action, subject: str) -> str:
    """Return a sentence for somebody who may not; it tells whom to ask."""
    whose = "their own" if reader.id == subject else f"{subject}'s"
    what = {
        Action.SEE: f"see {whose} results",
        Action.WRITE: f"write into {whose} results",
        Action.SEE_LOOKS: f"see who looked at {whose} results",
        Action.EXPORT: f"export {whose} results",
        Action.ERASE: f"erase {whose} results",
        Action.REGISTER: f"give {subject} a role",
        Action.ISSUE_CODE: f"give {subject} an access code",
    }[action]
    alone = reader.id == subject or action is Action.REGISTER
    asks = "a supervisor" if alone else f"{subject} or a supervisor"
    return f"{reader.id} may not {what}; ask {asks}"
