"""The one door through which anything is written: an act, whole or not at all, that can be undone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction
from django.db.models import Max

from footring.records.bulk import BATCH, delete, insert, remember, stored_rows
from footring.records.models import MODELS, Act, Change, Stored, User
from footring.records.models.stored import attribute
from footring.records.shelf import Touched
from footring.reference import Fault, ReferenceFaults, check
from footring.rows import TABLES, Row
from footring.terms.errors import BadInput

_NEEDS_THE_REST = ("dangling id", "superseding something absent", "one code for two decorations")
"""Faults that rows have only when they are looked at without the rest of the collection."""

_ONE_BY_ONE = 0x666F6F74
"""What PostgreSQL knows the lock by that acts are numbered under."""


class Conflict(BadInput):
    """Somebody changed a row while it was being changed here; the text says who and when.

    Parameters
    ----------
    theirs : mapping of str to object
        What stands there now.
    yours : mapping of str to object
        What was to be written.
    """

    def __init__(self, text: str, theirs: dict[str, Any], yours: dict[str, Any]) -> None:
        super().__init__(text)
        self.theirs, self.yours = theirs, yours

    @property
    def differences(self) -> list[tuple[str, Any, Any]]:
        """Column, what stands there now, what was to be written, where the two differ."""
        return [
            (name, self.theirs.get(name), value) for name, value in self.yours.items() if value != self.theirs[name]
        ]


class CannotUndo(BadInput):
    """Something done later rests on what was to be undone; the text says what."""


@contextmanager
def act(what: str, by: User | None, *, undoes: Act | None = None) -> Iterator[Doing]:
    """Do something to the collection; if it fails, nothing of it is left.

    Parameters
    ----------
    what : str
        What is done, in a few words, for the history.
    by : User or None
        Who does it; None for the program itself.

    Examples
    --------
    ::

        with act("put away", user) as doing:
            doing.add(Piece("home.1", name="Covered dish"))
    """
    with transaction.atomic():
        doing = Doing(Act.objects.create(what=what, by=by, undoes=undoes))
        yield doing
        doing.finish()


class Doing:
    """An act while it is being done."""

    def __init__(self, of: Act) -> None:
        self.act, self.tables, self.touched = of, set[str](), Touched()

    def add(self, *rows: Row, checked: bool = False) -> None:
        """Write new rows, of any tables, in any order.

        Parameters
        ----------
        checked : bool
            Whether they were checked already, together with all that is stored.

        Raises
        ------
        ReferenceFaults
            With every fault of the rows themselves; what they name is looked up by the database.
        """
        by_table: dict[str, list[Row]] = defaultdict(list)
        for row in rows:
            by_table[row.TABLE].append(row)
        if not checked and (faults := faults_alone(by_table) + list(_taken(by_table))):
            raise ReferenceFaults(faults)
        for table in (table for table in TABLES if table in by_table):
            self.tables.add(table)
            insert(table, by_table[table], self.act)
            self.touched.note(by_table[table])

    def change(self, table: str, row_id: str, seen: int | None = None, **values: Any) -> None:
        """Change some columns of a thing.

        Parameters
        ----------
        seen : int or None
            The act that the thing had when it was shown to who changes it; None to write whatever stands there now.

        Raises
        ------
        BadInput
            A statement: these are never changed.
        Conflict
            It was changed since.
        ReferenceFaults
            With every fault of the new values.
        """
        spec, model = TABLES[table], MODELS[table]
        if spec.kind == "statement":
            raise BadInput(f"{table} are statements, and those are never changed: add one that supersedes it")
        stored = model.objects.select_for_update().get(pk=row_id)
        before = stored.values()
        if seen is not None and stored.written_in_id != seen:
            raise Conflict(_changed_by(stored), before, {**before, **values})
        after = {**before, **values}
        if faults := faults_alone({table: [spec.row_class(**after)]}):
            raise ReferenceFaults(faults)
        if after == before:
            return
        Change.objects.create(act=self.act, table=table, row_id=row_id, before=before, after=after)
        self._write(stored, values)

    def _write(self, stored: Stored, values: dict[str, Any]) -> None:
        self.touched.note([stored])
        for name, value in values.items():
            setattr(stored, attribute(name, stored.SPEC), value)
        stored.written_in = self.act
        stored.save()
        self.tables.add(stored.SPEC.name)
        self.touched.note([stored])

    def remove(self, table: str, ids: Sequence[str]) -> None:
        """Take rows away; the history keeps them.

        Raises
        ------
        CannotUndo
            Something else names one of them.
        """
        for start in range(0, len(ids), BATCH):
            rows = stored_rows(table, ids[start : start + BATCH])
            remember(table, rows, self.act)
            self.touched.note(rows)
        if naming := delete(table, ids):
            raise CannotUndo(
                f"{naming.total()} later rows of {', '.join(sorted(naming))} name what is to be taken away: "
                "undo what was done later first"
            )
        self.tables.add(table)

    def finish(self) -> None:
        """Write down which tables were touched and give it its number; put the pieces that were on the shelf anew."""
        self.touched.put()
        self.act.tables = sorted(self.tables)
        self.act.revision = _next_revision()
        self.act.save(update_fields=["tables", "revision"])


def undo(done: Act, by: User | None) -> Act:
    """Put everything an act did back as it was before.

    Raises
    ------
    CannotUndo
        It was undone already, or something done later rests on it.
    """
    if Act.objects.filter(undoes=done).exists():
        raise CannotUndo(f"“{done.what}” was undone already")
    with act(f"Undo: {done.what}", by, undoes=done) as doing:
        _put_all_back(doing, done)
        for table in reversed(list(TABLES)):
            if table in done.tables:
                model = MODELS[table]
                _only_its_own(model, done)
                doing.remove(table, list(model.objects.filter(added_in=done).values_list("pk", flat=True)))
    return doing.act


def _only_its_own(model: type[Stored], done: Act) -> None:
    changed = model.objects.filter(added_in=done).exclude(written_in=done).first()
    if changed is not None:
        raise CannotUndo(f"{changed} was changed later ({changed.written_in.what}): undo that first")


def _put_all_back(doing: Doing, done: Act) -> None:
    """Every change as it was before, the last first; rows that were taken away some thousand at a time."""
    gone: list[Row] = []
    for change in done.changes.order_by("-id").iterator(BATCH):
        if change.after is None:
            gone.append(TABLES[change.table].row_class(**change.before))
        if gone and (change.after is not None or len(gone) >= BATCH):
            doing.add(*gone)
            gone.clear()
        if change.after is not None:
            _put_back(doing, change, done)
    doing.add(*gone)


def _put_back(doing: Doing, change: Change, done: Act) -> None:
    stored = MODELS[change.table].objects.select_for_update().get(pk=change.row_id)
    if stored.written_in_id != done.pk:
        raise CannotUndo(f"{stored} was changed later ({stored.written_in.what}): undo that first")
    doing.change(change.table, change.row_id, **{name: v for name, v in change.before.items() if name != "id"})


def faults_alone(tables: dict[str, Sequence[Row]]) -> list[Fault]:
    """Faults of rows as they are, whatever the rest of the collection holds."""
    return [fault for fault in check(tables) if fault.kind not in _NEEDS_THE_REST]


def _taken(tables: dict[str, list[Row]]) -> Iterator[Fault]:
    """Rows whose id or natural key a current row has already."""
    for table, rows in tables.items():
        spec, model = TABLES[table], MODELS[table]
        here = set(model.objects.filter(pk__in=[row.id for row in rows]).values_list("pk", flat=True))
        for i, row in enumerate(rows):
            if row.id in here:
                yield Fault("duplicate id", table, i, row.id, "id", row.id, "an id that no other row has")
            key = {attribute(c.name, spec): getattr(row, c.name) for c in spec.key}
            others = model.objects.current().exclude(pk=getattr(row, "supersedes", None) or "") if key else None
            if others is not None and (other := others.filter(**_lookup(key)).first()):
                told = ", ".join(str(value) for value in key.values() if value is not None)
                yield Fault("duplicate key", table, i, row.id, spec.key[0].name, told,
                            "what no other row says", f"change {other.pk} instead")  # fmt: skip


def _lookup(key: dict[str, Any]) -> dict[str, Any]:
    return {(f"{name}__isnull" if value is None else name): (value is None or value) for name, value in key.items()}


def _changed_by(stored: Stored) -> str:
    last = stored.written_in
    who = last.by.get_username() if last.by else "the program"
    return f"{stored} was changed meanwhile by {who}, {last.at:%d %B %Y %H:%M}: both versions are shown; choose"


def revision() -> int:
    """Number of the act that was kept last; 0 before the first."""
    return Act.objects.aggregate(last=Max("revision"))["last"] or 0


def _next_revision() -> int:
    """The number of an act that is about to be kept; the next act is numbered only once this one is kept or given up.

    SQLite lets one write at a time anyway.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_ONE_BY_ONE])
    return revision() + 1
