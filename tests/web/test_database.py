"""How the pages ask PostgreSQL."""

import pytest
from django.db import connection

from footring.records.models import MODELS
from footring.web.pages.piece.entry import CELL

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(connection.vendor != "postgresql", reason="what PostgreSQL plans, SQLite does not"),
]


def planned_in_ms(rows):
    plans = [rows.explain(summary=True) for _ in range(5)]
    return min(float(one.partition("Planning Time: ")[2].split()[0]) for one in plans)


def test_twelve_tables_joined_by_their_keys_are_not_thought_about_for_long():
    """Measured: 1.8 ms of a page, for 22 with the limit that PostgreSQL has by default."""
    rows = MODELS["attributions"].objects.current().filter(piece="p").select_related("part", *CELL)
    took = planned_in_ms(rows)
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL join_collapse_limit = 8")
    assert took < planned_in_ms(rows) / 2
