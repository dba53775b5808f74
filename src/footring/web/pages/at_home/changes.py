"""What is done from the list: several pieces changed together, that undone, and a view kept under a name."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from footring.records.acts import undo
from footring.records.models import Act, Role, SavedView
from footring.records.privacy import places_of
from footring.terms.errors import BadInput, FootringError
from footring.web.access import allow
from footring.web.pages.at_home.asked import Choice
from footring.web.pages.at_home.together import now, people, together

SHOWN = 200
"""Pieces of which the change is shown one by one."""


@allow(Role.MEMBER)
@require_POST
def change(request: HttpRequest) -> HttpResponse:
    """Say what is to become of the chosen pieces, see what changes, and change it."""
    choice, problem = Choice.of(request.POST), ""
    asked = together(request.POST, request.user)
    if request.POST.get("sure"):
        try:
            done = asked.do(request.user, int(request.POST.get("seen", "").strip() or 0))
        except (FootringError, ValueError) as error:
            problem = str(error)
        else:
            messages.success(request, f"{done.what}.")
            return redirect(_list(choice, f"done={done.pk}"))
    changes = asked.changes
    context = {
        "choice": choice, "asked": asked, "changes": changes[:SHOWN], "count": len(changes), "problem": problem,
        "already": len(asked.chosen) - len(changes), "ids": request.POST.getlist("piece"), "given": request.POST,
        "all": request.POST.get("all"), "seen": now(), "more": max(len(changes) - SHOWN, 0),
        "all_places": places_of(request.user).order_by("name"), "all_people": people(request.user),
    }  # fmt: skip
    return render(request, "at_home/change.html", context, status=400 if problem else 200)


@allow(Role.MEMBER)
@require_POST
def take_back(request: HttpRequest, act_id: int) -> HttpResponse:
    """Undo what was done to several pieces."""
    done = Act.objects.filter(pk=act_id, tables=["pieces"]).first()
    if done is None or not (request.user.may(Role.CURATOR) or done.by_id == request.user.pk):
        raise Http404
    undo(done, request.user)
    messages.success(request, f"Undone: {done.what}.")
    return redirect(_list(Choice.of(request.POST)))


@allow(Role.MEMBER)
@require_POST
def keep_view(request: HttpRequest) -> HttpResponse:
    """Keep what was asked for under a name; a view of that name is written anew."""
    name, choice = request.POST.get("name", "").strip(), Choice.of(request.POST)
    if not 0 < len(name) <= SavedView._meta.get_field("name").max_length:
        raise BadInput(f"name {name!r}: expected up to 60 letters to call this view by; give it a name")
    SavedView.objects.update_or_create(user=request.user, name=name, defaults={"query": choice.address})
    messages.success(request, f"Kept as “{name}”.")
    return redirect(_list(choice))


@allow(Role.MEMBER)
@require_POST
def forget_view(request: HttpRequest, view_id: int) -> HttpResponse:
    """Forget a view that was kept."""
    SavedView.objects.filter(pk=view_id, user=request.user).delete()
    return redirect(_list(Choice.of(request.POST)))


def _list(choice: Choice, more: str = "") -> str:
    query = "&".join(filter(None, (choice.address, more)))
    return f"{reverse('at-home')}?{QueryDict(query).urlencode()}"
