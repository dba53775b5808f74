"""Many rows written, remembered and taken away at once, past the objects that Django would make of each."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Sequence

from django.db import connection
from django.db.models import CASCADE
from django.utils import timezone

from footring.records.models import MODELS, Act, Change, Stored
from footring.records.models.stored import attribute
from footring.rows import TABLES, Row

BATCH = 2000


def insert(table: str, rows: Sequence[Row], act: Act) -> None:
    """Write rows of one table that come with an act; who recorded them and when are filled in where nobody said."""
    columns = [column.name for column in TABLES[table].columns]
    now, who = timezone.now().isoformat(timespec="seconds"), act.by.get_username() if act.by else None
    filled = {columns.index("recorded_at"): now, columns.index("recorded_by"): who}
    values = []
    for row in rows:
        one = [getattr(row, name) for name in columns]
        for i, value in filled.items():
            one[i] = value if one[i] is None else one[i]
        values.append((*one, act.pk, act.pk))
    _write(MODELS[table], (*columns, "added_in_id", "written_in_id"), values)


def remember(table: str, rows: Iterable[Row], act: Act) -> None:
    """Keep rows that an act takes away; what they left open is left out."""
    columns = [column.name for column in TABLES[table].columns]
    kept = ((row.id, {name: value for name in columns if (value := getattr(row, name)) is not None}) for row in rows)
    _write(Change, ("act_id", "table", "row_id", "before"), [(act.pk, table, pk, json.dumps(of)) for pk, of in kept])


def _write(model: type[Stored | Change], columns: Sequence[str], values: Sequence[tuple[object, ...]]) -> None:
    quote = connection.ops.quote_name
    names, gaps = ", ".join(map(quote, columns)), ", ".join(["%s"] * len(columns))
    with connection.cursor() as cursor:
        cursor.executemany(f"INSERT INTO {quote(model._meta.db_table)} ({names}) VALUES ({gaps})", values)


def stored_rows(table: str, ids: Sequence[str]) -> list[Row]:
    """The rows of a table that have some of these ids."""
    spec = TABLES[table]
    names = [column.name for column in spec.columns]
    stored = MODELS[table].objects.filter(pk__in=ids).values_list(*(attribute(name, spec) for name in names))
    return [spec.row_class(**dict(zip(names, values, strict=True))) for values in stored]


def delete(table: str, ids: Sequence[str]) -> Counter[str]:
    """Take rows away.

    Returns
    -------
    Counter of str
        How many rows of which tables still name them: the transaction must then not be kept.
    """
    model, batches = MODELS[table], [ids[start : start + BATCH] for start in range(0, len(ids), BATCH)]
    naming = [one for one in model._meta.get_fields(include_hidden=True) if one.one_to_many or one.one_to_one]
    cascading = [one for one in naming if one.on_delete is CASCADE]
    for some in batches:
        for relation in cascading:
            relation.related_model.objects.filter(**{f"{relation.field.name}__in": some}).delete()
        rows = model.objects.filter(pk__in=some)
        rows._raw_delete(rows.db)
    return Counter(
        {
            relation.related_model.SPEC.name: count
            for relation in naming
            if relation not in cascading and (count := sum(_naming(relation, some) for some in batches))
        }
    )


def _naming(relation: object, ids: Sequence[str]) -> int:
    return relation.related_model.objects.filter(**{f"{relation.field.name}__in": ids}).count()
