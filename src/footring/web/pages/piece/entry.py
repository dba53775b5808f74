"""Everything that a catalogue entry tells of one piece, gathered in a fixed number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from footring.marks.readings import Reading as Read
from footring.marks.readings import read_reading
from footring.reasoning.channels.build import Channels
from footring.records.models import MODELS, Act, Change, Role, Stored, User
from footring.records.privacy import may_change, sees_the_owner_s_side
from footring.terms.errors import BadInput

CELL = ("line", "form", "size", "body", "glaze", "decoration", "trim", "mark_in_clay", "mark_printed", "customer")
OF_A_PIECE = (
    "pieces", "parts", "encounters", "photographs", "readings", "findings", "attributions", "rejections", "conditions",
    "prices", "acquisitions", "leach_results",
)  # fmt: skip


@dataclass(frozen=True)
class Entry:
    """One piece with what belongs to it; what the reader may not see is not in it."""

    piece: Stored
    changeable: bool
    own_side: bool
    readings: Sequence[Stored]
    superseded: Sequence[Stored]
    attributions: Sequence[Stored]
    findings: Sequence[Stored]
    conditions: Sequence[Stored]
    encounters: Sequence[Stored]
    parts: Sequence[Stored]
    photographs: Sequence[Stored]
    prices: Sequence[Stored]
    acquisitions: Sequence[Stored]
    leach_results: Sequence[Stored]

    @property
    def confirmed(self) -> Stored | None:
        """What a person said that the whole piece is, last."""
        said = [one for one in self.attributions if one.basis == "confirmed" and one.part_id is None]
        return said[-1] if said else None

    @property
    def making(self) -> list[Stored]:
        """Faults of the making."""
        return [one for one in self.conditions if one.kind == "making"]

    @property
    def damage(self) -> list[Stored]:
        """What happened to it since."""
        return [one for one in self.conditions if one.kind == "damage"]

    @property
    def examine(self) -> str:
        """The address at which its readings are examined."""
        typed = [f"{_name(one)}={as_typed(one)}" for one in self.readings]
        return f"{reverse('examine')}?{urlencode([('r', one) for one in typed])}"


def entry_of(piece: Stored, user: User) -> Entry:
    """The entry of one piece as a person may see it."""
    own_side = sees_the_owner_s_side(user, piece)

    def of(table: str, *related: str, owner_only: bool = False) -> list[Stored]:
        if owner_only and not own_side:
            return []
        rows = MODELS[table].objects.current().filter(piece=piece).select_related(*related).order_by("added_in", "pk")
        return list(rows if own_side else rows.filter(private=False))

    readings, attributions = of("readings", "part", "instrument", "read_by"), of("attributions", "part", *CELL)
    for one in readings:
        one.full_name, one.label = _name(one), one.name.replace("_", " ")
    for said in attributions:
        said.said = [str(part) for name in CELL[1:] if (part := getattr(said, name)) is not None]
    whole = MODELS["readings"].objects.filter(piece=piece).exclude(later=None).order_by("pk")
    return Entry(
        piece, may_change(user, piece), own_side,
        readings=readings,
        superseded=list(whole) if own_side else [],
        attributions=attributions,
        findings=of("findings"),
        conditions=of("conditions", "part"),
        encounters=of("encounters", "channel", "place", owner_only=True),
        parts=of("parts"),
        photographs=[one for one in of("photographs") if user.may(Role.MEMBER) or one.permission],
        prices=of("prices", "place", owner_only=True),
        acquisitions=of("acquisitions", "from_whom", "place", owner_only=True),
        leach_results=of("leach_results", "part"),
    )  # fmt: skip


def as_typed(reading: Stored) -> str:
    """The value of a stored reading as it is typed: `none`, in quotes where need be, with its doubt."""
    if reading.absent:
        return "none"
    value = reading.value or ""
    quoted = f'"{value}"' if value.casefold().strip() in ("", "none") else value
    return quoted if reading.sure is None or reading.sure >= 1.0 else f"{quoted} ~{reading.sure:g}"


def reads(readings: Iterable[Stored], channels: Channels) -> tuple[list[Read], list[str]]:
    """Stored readings as the reasoning takes them, and why others could not be used."""
    found, unused = [], []
    for one in readings:
        try:
            read = read_reading(_name(one), as_typed(one))
            channels.factors([read] if read else [])
        except BadInput as error:
            unused.append(str(error))
            continue
        found += [read] if read else []
    return found, unused


def _name(reading: Stored) -> str:
    part = reading.part.name if reading.part_id else None
    return f"{part}.{reading.name}" if part in ("lid", "base") else reading.name


def acts_of(piece: Stored) -> list[tuple[Act, list[str]]]:
    """What was done to a piece, the last first, each with what it touched."""
    touched: dict[int, set[str]] = defaultdict(set)
    for table in OF_A_PIECE:
        own = {"pk": piece.pk} if table == "pieces" else {"piece": piece}
        for act_id in MODELS[table].objects.filter(**own).values_list("added_in", flat=True):
            touched[act_id].add(table)
    ids = [row.pk for row in _rows_of(piece)]
    for act_id, table in Change.objects.filter(row_id__in=ids).values_list("act", "table"):
        touched[act_id].add(table)
    acts = Act.objects.filter(pk__in=touched).select_related("by", "undone_by")
    return [(act, sorted(touched[act.pk])) for act in acts.order_by("-pk")]


def _rows_of(piece: Stored) -> list[Stored]:
    return [
        piece,
        *(row for t in ("parts", "photographs", "encounters") for row in MODELS[t].objects.filter(piece=piece)),
    ]
