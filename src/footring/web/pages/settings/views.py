"""How one person wants things shown: lengths, words, years, paper."""

from __future__ import annotations

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from footring.records.models import Paper, Role, User
from footring.web.access import allow


def _choice(label: str, no: str, yes: str) -> forms.TypedChoiceField:
    return forms.TypedChoiceField(
        label=label, choices=[("", no), ("yes", yes)], coerce=bool, required=False, empty_value=False,
        widget=forms.RadioSelect,
    )  # fmt: skip


class Shown(forms.ModelForm):
    """What can be chosen."""

    inches = _choice("Lengths", "millimetres: 184 mm", "inches: 7 1/4 in")
    says_shape = _choice("One of a line is called", "a form", "a shape")
    whole_years = _choice("Years", "short: 1934-39", "whole: 1934-1939")
    paper = forms.ChoiceField(label="Pages", choices=Paper, widget=forms.RadioSelect)

    class Meta:
        model = User
        fields = ("inches", "says_shape", "whole_years", "paper")


@allow(Role.GUEST)
@require_http_methods(["GET", "HEAD", "POST"])
def settings(request: HttpRequest) -> HttpResponse:
    """See and change them."""
    user = request.user
    now = {name: ("yes" if getattr(user, name) else "") for name in ("inches", "says_shape", "whole_years")}
    form = Shown(request.POST or None, instance=user, initial=now)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Kept.")
        return redirect("settings")
    return render(request, "settings/settings.html", {"form": form})
