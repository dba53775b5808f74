"""What is typed to come in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import PasswordChangeForm
from django.contrib.auth.password_validation import validate_password

from footring.records.models import User


class SignIn(forms.Form):
    """A name and a password."""

    username = forms.CharField(
        label="Name", max_length=150, widget=forms.TextInput(attrs={"autocomplete": "username", "autofocus": True})
    )
    password = forms.CharField(
        label="Password", strip=False, max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )  # fmt: skip


class NewPassword(PasswordChangeForm):
    """The password one has, and a new one."""

    def __init__(self, *given: Any) -> None:
        super().__init__(*given)
        self.fields["old_password"].label = "The password you have"
        self.fields["new_password1"].label = "The new one, twelve letters or more"
        self.fields["new_password2"].label = "The same again"


class NewAccount(forms.ModelForm):
    """The name and password of an account that is made with an invitation, or of one that gets a new password."""

    password = forms.CharField(
        label="Password, twelve letters or more", strip=False, max_length=1000,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip
    again = forms.CharField(
        label="The same again", strip=False, widget=forms.PasswordInput(attrs={"autocomplete": "new-password"})
    )

    class Meta:
        model = User
        fields = ("username",)
        labels = {"username": "Name, as others will see it"}  # noqa: RUF012
        help_texts = {"username": ""}  # noqa: RUF012
        widgets = {"username": forms.TextInput(attrs={"autocomplete": "username"})}  # noqa: RUF012

    def __init__(self, *given: Any, account: User | None = None) -> None:
        super().__init__(*given, instance=account)

    def clean_username(self) -> str:
        said: str = self.cleaned_data["username"]
        if User.objects.filter(username__iexact=said).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError("Somebody has this name already: choose another.")
        return said

    def clean(self) -> dict[str, Any]:
        said = super().clean()
        if said.get("password") != said.get("again"):
            self.add_error("again", "The two passwords differ: type the same twice.")
        elif said.get("password"):
            try:
                validate_password(said["password"], User(username=said.get("username", "")))
            except forms.ValidationError as error:
                self.add_error("password", error)
        return said

    def user(self) -> User:
        """The account, not saved yet."""
        made = self.save(commit=False)
        made.set_password(self.cleaned_data["password"])
        return made
