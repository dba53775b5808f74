"""Who sees what of the collection: one place, so that no page decides it for itself."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from footring.records.models import MODELS, Role, Shelved, Stored, User


def visible(table: str, user: User) -> QuerySet[Stored]:
    """Rows of a table that a person may see.

    Keepers and curators see all; members their own pieces, and whatever is not private; guests nothing private.
    """
    rows = MODELS[table].objects.all()
    if user.may(Role.CURATOR):
        return rows
    own = Q(added_in__by=user) if user.may(Role.MEMBER) else Q()
    return rows.filter(Q(private=False) | own) if own else rows.filter(private=False)


def may_change(user: User, piece: Stored) -> bool:
    """Whether a person may add to a piece and change it: curators any, members their own."""
    return user.may(Role.CURATOR) or (user.may(Role.MEMBER) and piece.added_in.by_id == user.pk)


def on_the_shelf(user: User) -> QuerySet[Shelved]:
    """Pieces that a person may see, as a list finds them."""
    rows = Shelved.objects.all()
    return rows if user.may(Role.CURATOR) else rows.filter(Q(private=False) | Q(added_by=user))


def own_on_the_shelf(user: User) -> Q | None:
    """Which of them a person sees the owner's side of; None for all."""
    return None if user.may(Role.CURATOR) else Q(added_by=user)


def places_of(user: User) -> QuerySet[Stored]:
    """The places that a person may choose from: all, or those of their own pieces and those they named."""
    rows = MODELS["places"].objects.all()
    if user.may(Role.CURATOR):
        return rows
    own = MODELS["pieces"].objects.filter(added_in__by=user).values("place")
    return rows.filter(Q(pk__in=own) | Q(added_in__by=user))


def open_to(own: bool, thing: Stored | None) -> bool:
    """Whether something may be named beside a piece: what is private only to who sees the piece's owner's side."""
    return thing is not None and (own or not thing.private)


def sees_the_owner_s_side(user: User, piece: Stored) -> bool:
    """Whether a person sees where a piece is, what it cost, whose it was: whoever may change it, nobody else."""
    return may_change(user, piece)
