"""What the workshop and a competent person write into the stories of defects."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select

from voicecheck.clock import utc_text
from voicecheck.defects.events import DefectEvent, RepairChecked, UnitReleased
from voicecheck.defects.hold import check_seen, holding
from voicecheck.defects.steps import check_step
from voicecheck.defects.story import Defect, DefectState, fold
from voicecheck.errors import DefectError, RecordNotFound, UsageError
from voicecheck.store import defect_rows
from voicecheck.store.archive import LEAST_PREFIX
from voicecheck.store.database import Database
from voicecheck.store.names import operator_id, unit_id
from voicecheck.store.tables import defects


class Workshop(Database):
    """The writing side of defects; `voicecheck.store.fleet` is the reading one."""

    def record(
        self,
        defect_id: str,
        event: DefectEvent,
        *,
        at: datetime,
        by: str,
        seen: str | None = None,
    ) -> Defect:
        """Write what was done about a defect.

        Args:
            defect_id: the defect.
            event: what was done.
            at: when.
            by: who.
            seen: the mark of the defect as it was shown, see `hold.seen_mark`.

        Raises:
            RecordNotFound: there is no such defect.
            DefectChanged: it went on since it was shown.
            DefectError: the event does not fit, or nobody is named; nothing is
                written.
        """
        of_unit = select(defects.c.unit).where(defects.c.defect_id == defect_id)
        with self.writing() as connection:
            unit = connection.execute(of_unit).scalar()
            # a release of the unit and a walk's findings wait for each other
            defect_rows.lock_unit(connection, str(unit or defect_id))
            defect = fold(defect_rows.happenings(connection, defect_id))
            check_seen((defect,), seen)
            check_step(defect, event, by)
            return defect_rows.carry_on(
                connection, defect_id, event, at_utc=utc_text(at), by=operator_id(by)
            )

    def release(
        self,
        unit: str,
        *,
        at: datetime,
        by: str,
        note: str = "",
        seen: str | None = None,
    ) -> tuple[Defect, ...]:
        """Write a competent person's release of a unit that is out of service.

        Repairs that nobody has checked yet are checked by the same person: the
        release says so. All or nothing.

        Args:
            unit: the machine.
            at: when.
            by: the competent person.
            note: in their words.
            seen: the mark of its open defects as they were shown.

        Raises:
            DefectChanged: they went on since they were shown.
            DefectError: the unit is not out of service, or a defect that holds
                it is not repaired yet, or nobody is named.
        """
        name = unit_id(unit)
        with self.writing() as connection:
            defect_rows.lock_unit(connection, name)
            there = defect_rows.open_defects(connection, name)
            check_seen(there, seen)
            held = holding(there)
            if not held:
                raise DefectError(f"{name} is not out of service: nothing to release")
            released = []
            for defect in held:
                steps: list[DefectEvent] = [UnitReleased(note=note)]
                if defect.state is DefectState.REPAIRED:
                    steps.insert(0, RepairChecked(good=True, note=note))
                for step in steps:
                    check_step(defect, step, by)
                    defect = defect_rows.carry_on(  # noqa: PLW2901
                        connection,
                        defect.defect_id,
                        step,
                        at_utc=utc_text(at),
                        by=operator_id(by),
                    )
                released.append(defect)
        return tuple(released)

    def open_defects(self, unit: str) -> tuple[Defect, ...]:
        """Return the open defects of a unit, the worst first, then the oldest."""
        with self.reading() as connection:
            return defect_rows.open_defects(connection, unit)

    def find(self, prefix: str) -> str:
        """Return the id of the defect whose id begins like this.

        Raises:
            UsageError: too short, or more than one does.
            RecordNotFound: none does.
        """
        wanted = prefix.strip().lower()
        if len(wanted) < LEAST_PREFIX or not set(wanted) <= set("0123456789abcdef-"):
            raise UsageError(f"give at least {LEAST_PREFIX} characters of the id")
        column = defects.c.defect_id
        with self.reading() as connection:
            query = select(column).where(column.startswith(wanted)).limit(2)
            found = [str(one) for one in connection.execute(query).scalars()]
        if not found:
            raise RecordNotFound(
                f"no defect begins with {prefix!r}; `voicecheck defects list --all` "
                "shows all"
            )
        if len(found) > 1:
            raise UsageError(f"more than one defect begins with {prefix!r}; give more")
        return found[0]
