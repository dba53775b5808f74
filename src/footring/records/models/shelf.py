"""What a piece is said to be, and what can be searched for, in one row: kept by every act, made anew at will."""

from __future__ import annotations

from django.db import models

from footring.records.models.stored import MODELS

SAID = ("line", "form", "size", "body", "glaze", "decoration", "trim", "mark_in_clay", "mark_printed", "customer")


class Shelved(models.Model):
    """A piece as a list finds it.

    `text` is its own words: its name, and what was read off it. What things are called stands with the things.
    """

    piece = models.OneToOneField(MODELS["pieces"], on_delete=models.CASCADE, related_name="shelved")
    confirmed = models.BooleanField(default=False)
    text = models.TextField(default="")
    line = models.ForeignKey(MODELS["lines"], on_delete=models.CASCADE, null=True, related_name="+")
    form = models.ForeignKey(MODELS["forms"], on_delete=models.CASCADE, null=True, related_name="+")
    size = models.ForeignKey(MODELS["sizes"], on_delete=models.CASCADE, null=True, related_name="+")
    body = models.ForeignKey(MODELS["bodies"], on_delete=models.CASCADE, null=True, related_name="+")
    glaze = models.ForeignKey(MODELS["glazes"], on_delete=models.CASCADE, null=True, related_name="+")
    decoration = models.ForeignKey(MODELS["decorations"], on_delete=models.CASCADE, null=True, related_name="+")
    trim = models.ForeignKey(MODELS["trims"], on_delete=models.CASCADE, null=True, related_name="+")
    mark_in_clay = models.ForeignKey(MODELS["marks"], on_delete=models.CASCADE, null=True, related_name="+")
    mark_printed = models.ForeignKey(MODELS["marks"], on_delete=models.CASCADE, null=True, related_name="+")
    customer = models.ForeignKey(MODELS["customers"], on_delete=models.CASCADE, null=True, related_name="+")
