"""A small collection of the invented pottery as this version of Footring keeps it, for later versions to open.

    python tests/records/releases/make.py

writes `at-NNNN.sqlite3.gz` beside this file, named after the last migration there is. Make one before the first
migration that comes after a release, commit it, and never make it again: it stands for what people have.
`tests/records/test_releases.py` opens all of them. No table may be empty, for a migration to have something to break:
a table that is new needs a row here.
"""

from __future__ import annotations

import gzip
import os
import sqlite3
import tempfile
from contextlib import closing
from pathlib import Path

HERE = Path(__file__).parent
PASSWORD = "a heron among the reeds"
TOKEN_NAME = "stall list"
NOT_KEPT = {"auth_group", "auth_group_permissions", "django_admin_log", "records_user_groups"}
NOT_KEPT |= {"records_user_user_permissions", "django_session", "django_tasks_database_dbtaskresult"}
"""Tables of Django's that Footring leaves empty, or that hold nothing to keep."""


def main() -> None:
    for name in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE", "FOOTRING_STORE"):
        os.environ.pop(name, None)
    with tempfile.TemporaryDirectory() as folder:
        fill(Path(folder))
        whole = Path(folder) / "whole.sqlite3"
        with closing(sqlite3.connect(Path(folder) / "collection.sqlite3")) as made:
            last = made.execute("SELECT max(name) FROM django_migrations WHERE app = 'records'").fetchone()[0]
            made.execute("VACUUM INTO ?", (str(whole),))
            if empty := empty_tables(made):
                raise SystemExit(f"nothing stands in {', '.join(empty)}: add a row to each")
        out = HERE / f"at-{last[:4]}.sqlite3.gz"
        out.write_bytes(gzip.compress(whole.read_bytes(), mtime=0))
    print(f"{out}: {out.stat().st_size / 1000:.0f} kB")


def empty_tables(database: sqlite3.Connection) -> list[str]:
    """Tables in which nothing stands, though something should."""
    names = [name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    kept = sorted(set(names) - NOT_KEPT - {"sqlite_sequence"})
    return [name for name in kept if not database.execute(f'SELECT 1 FROM "{name}" LIMIT 1').fetchone()]


def fill(folder: Path) -> None:
    """A collection in which everything has happened once."""
    from footring.records.folder import opened

    opened(folder)
    import footring.demo
    from footring.records.models import Paper, User
    from footring.records.packs import bring_in_pack

    keeper = User.objects.get(username="keeper")
    keeper.inches, keeper.whole_years, keeper.says_shape, keeper.paper = True, True, True, Paper.DARK
    keeper.set_password(PASSWORD)
    keeper.save()
    demo = bring_in_pack(Path(footring.demo.__file__).parent / "pack", keeper)
    put_away(keeper)
    paper_and_people()
    what_pieces_have()
    done_and_undone(keeper)
    beside(keeper, demo)


def put_away(keeper) -> None:
    """Three pieces, by the pages: found, confirmed, ruled out."""
    from django.test import Client

    browser = Client(HTTP_HOST="127.0.0.1")
    browser.force_login(keeper)
    pieces = (
        {"r": ["form=covered dish", "number=417"], "name": "Dish of “the Stork” – chipped", "place": "Loft", "is_this": "yes"},
        {"r": ["form=cup"], "name": "Cup", "place": "Loft", "is_this": "no"},
        {"r": ["line=Wherry", "form=saucer", "across=141 mm"], "name": "", "place": "", "is_this": "no",
         "not": ["forms/ossel.ormsley-plate"]},
    )  # fmt: skip
    for piece in pieces:
        answer = browser.post("/put-away/", piece)
        assert answer.status_code == 302, answer.content.decode()


def paper_and_people() -> None:
    from footring.records.acts import act
    from footring.records.models import Role, User
    from footring.rows.collection import Letter, Person, Photograph, Talk

    member = User.objects.create_user("ida", password=PASSWORD, role=Role.MEMBER)
    with act("Write down what was said", member) as doing:
        doing.add(
            Person("at.person", name="Anselm Øre", private=True),
            Letter("at.letter", sender="at.person", receiver="ossel.ines", written="1998-05", subject="A jug"),
            Letter("at.answer", sender="ossel.ines", receiver="at.person", answers="at.letter"),
            Talk("at.talk", title="Herons on the table", held="2025-10-04", place="ossel.fenwick"),
            Photograph("at.photo", sha256="5e" * 32, piece="ossel.piece-8", side="foot", credit="Anselm Øre"),
        )


def what_pieces_have() -> None:
    from footring.records.acts import act
    from footring.rows.collection import Acquisition, Condition, Correction, LeachResult, Price, Reading, Rejection

    with act("Write down more of a piece", None) as doing:
        doing.add(
            Price("at.price", piece="ossel.piece-8", kind="sold", amount=12.5, currency="GBP", dated="2025"),
            Acquisition("at.got", piece="ossel.piece-8", how="bought", price="at.price", from_whom="at.person"),
            LeachResult("at.leach", piece="ossel.piece-8", element="lead", amount=0.4, unit="mg_per_l", below=True),
            Condition("at.chip", piece="ossel.piece-8", kind="damage", what="chip", place="rim"),
            Reading("at.read", piece="ossel.piece-8", name="across", value="210 mm", sure=0.9, uncertainty=0.5),
            Reading("at.absent", piece="ossel.piece-8", name="label", absent=True, photograph="at.photo"),
            Rejection("at.not", piece="ossel.piece-8", subject_table="lines", subject="ossel.wherry", reason="foot"),
        )
    with act("Correct a reading", None) as doing:
        doing.add(
            Reading("at.read-2", piece="ossel.piece-8", name="across", value="201 mm", supersedes="at.read"),
            Correction("at.corrected", reading="at.read", value="201 mm", reason="figures changed places"),
        )


def done_and_undone(keeper) -> None:
    """A thing changed, and changed back; rows taken away, for good and not."""
    from footring.records.acts import act, undo
    from footring.rows.collection import Piece

    with act("Rename", keeper) as renamed:
        renamed.change("pieces", "ossel.piece-8", name="Tureen")
    undo(renamed.act, keeper)
    with act("Move", keeper) as moved:
        moved.change("pieces", "ossel.piece-8", place="ossel.fenwick")
    with act("Put away by mistake", keeper) as mistaken:
        mistaken.add(Piece("at.mistake", name="Not ours"))
    undo(mistaken.act, keeper)
    with act("Put away", keeper) as kept:
        kept.add(Piece("at.piece", name="Plain jug", owner="at.person", private=True))
    with act("Take a condition away", keeper) as taken:
        taken.remove("conditions", ["at.chip"])


def beside(keeper, demo) -> None:
    """What is no row: tokens, invitations, views, jobs, what was put off."""
    from footring.records.invitations import invite
    from footring.records.models import FailedSignIn, Job, LaterCheck, Role, SavedView, State, User
    from footring.web.api.tokens import new_token

    new_token(keeper, TOKEN_NAME)
    invite(Role.CURATOR, keeper)
    invite(Role.MEMBER, keeper, User.objects.get(username="ida"))
    FailedSignIn.objects.create(account="ida", address="192.0.2.7")
    SavedView.objects.create(user=keeper, name="Herons", query="words=heron&order=name")
    LaterCheck.objects.create(what="Look under the lid", table="pieces", row_id="ossel.piece-8", by=keeper)
    Job.objects.create(by=keeper, what="pottery.zip", kind="pack", file="1", state=State.DONE, act=demo, total=9)
    Job.objects.create(by=keeper, what="plates.csv", kind="sheet", file="2", given={"sheet": "Plates"})


if __name__ == "__main__":
    main()
