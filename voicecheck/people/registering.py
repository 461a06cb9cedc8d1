"""Who is registered, with which roles, and who may give them."""

from __future__ import annotations

from sqlalchemy import Connection, insert, select, update

from voicecheck.errors import NotAllowed, PeopleError
from voicecheck.people.roles import Action, Person, Role, may, refusal
from voicecheck.people.rows import person_of, roles_text
from voicecheck.people.tables import people


def find(connection: Connection, who: str, *, lock: bool = False) -> Person | None:
    """Return a person, or None where nobody of that id is registered."""
    query = select(people).where(people.c.person_id == who)
    row = connection.execute(
        query.with_for_update(read=True) if lock else query
    ).first()
    return None if row is None else person_of(row)


def known(connection: Connection, who: str, *, lock: bool = False) -> Person:
    """Return a person.

    Args:
        who: the id.
        lock: nobody may erase the person before this transaction ends.

    Raises:
        PeopleError: nobody of that id is registered.
    """
    found = find(connection, who, lock=lock)
    if found is None:
        raise PeopleError(
            f"{who} is not registered; `voicecheck people add {who} --role learner "
            f"--by {who}` does it"
        )
    return found


def everybody(connection: Connection, *, lock: bool = False) -> tuple[Person, ...]:
    """Return all people, by id.

    Args:
        connection: of a transaction.
        lock: nothing may be written for or about them before this transaction ends.
    """
    query = select(people).order_by(people.c.person_id)
    query = query.with_for_update() if lock else query
    return tuple(person_of(row) for row in connection.execute(query))


def register(connection: Connection, person: Person) -> Person:
    """Add a person, or give somebody who is there these roles instead.

    Raises:
        PeopleError: no role, or the last supervisor would be gone.
        NotAllowed: `registered_by` may not give these roles.
    """
    if not person.roles:
        raise PeopleError(f"give {person.id} a role: {', '.join(Role)}")
    there = find(connection, person.id)
    if there is not None and there.roles == person.roles:
        return there
    _check(connection, person, there)
    roles = roles_text(person.roles)
    if there is not None:
        changed = update(people).where(people.c.person_id == person.id)
        connection.execute(changed.values(roles=roles))
        return known(connection, person.id)
    connection.execute(
        insert(people).values(
            person_id=person.id,
            roles=roles,
            registered_utc=person.registered_utc,
            registered_by=person.registered_by,
        )
    )
    return person


def check_supervised(connection: Connection, without: str) -> None:
    """Make sure that somebody supervises when this person no longer does.

    Nothing is written for or about anybody before this transaction ends.

    Raises:
        PeopleError: there are others, and no supervisor among them.
    """
    everyone = everybody(connection, lock=True)
    others = [one for one in everyone if one.id != without]
    if others and not any(Role.SUPERVISOR in one.roles for one in others):
        raise PeopleError(
            f"{without} is the only supervisor; make somebody else one first: "
            "`voicecheck people add ID --role supervisor`"
        )


def _check(connection: Connection, person: Person, there: Person | None) -> None:
    if there is not None and Role.SUPERVISOR in there.roles - person.roles:
        check_supervised(connection, person.id)
    own_doing = person.registered_by == person.id
    if own_doing and there is None and person.roles == {Role.LEARNER}:
        return
    if not any(Role.SUPERVISOR in one.roles for one in everybody(connection)):
        # somebody has to be the first
        if own_doing and Role.SUPERVISOR in person.roles:
            return
        raise NotAllowed(
            f"there is no supervisor yet to give {person.id} a role; begin with "
            "`voicecheck people add ID --role supervisor --by ID`"
        )
    giver = known(connection, person.registered_by)
    if not may(giver, Action.REGISTER, person.id):
        raise NotAllowed(refusal(giver, Action.REGISTER, person.id))
