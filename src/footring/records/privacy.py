"""Who sees what of the collection: one place, so that no page decides it for itself."""

from __future__ import annotations

from django.db.models import Q, QuerySet

from footring.records.models import MODELS, Role, Stored, User


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


def own_side(user: User) -> Q:
    """The pieces of which a person sees where they are, as a condition on what names a piece."""
    return Q() if user.may(Role.CURATOR) else Q(piece__added_in__by=user)


def sees_the_owner_s_side(user: User, piece: Stored) -> bool:
    """Whether a person sees where a piece is, what it cost, whose it was: whoever may change it, nobody else."""
    return may_change(user, piece)
