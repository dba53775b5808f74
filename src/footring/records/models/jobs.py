"""Long work: what it is, how far, and what came of it."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from footring.records.models.history import Act


class State(models.TextChoices):
    """How far a job is."""

    CHOSEN = "chosen", "to be looked over"
    WAITING = "waiting", "waiting for its turn"
    RUNNING = "running", "being brought in"
    DONE = "done", "brought in"
    FAILED = "failed", "not brought in"
    CANCELLED = "cancelled", "stopped: nothing of it was kept"
    GOING_BACK = "going back", "being taken back"
    BACK = "back", "taken back"


class Job(models.Model):
    """A file to be brought in.

    `what` is the file's own name, `file` what it is kept as under `incoming/`; `given` is what was chosen of it (the
    sheet, the meaning of its columns, what to read instead of cells). `done` of `total` is its last known progress;
    while it runs, a file beside it says more (see `records.bring_in.progress`).
    """

    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    what = models.TextField()
    kind = models.CharField(max_length=5, choices=[("sheet", "a spreadsheet of pieces"), ("pack", "a pack")])
    file = models.CharField(max_length=80)
    given = models.JSONField(default=dict)
    state = models.CharField(max_length=10, choices=State, default=State.CHOSEN, db_index=True)
    done = models.BigIntegerField(default=0)
    total = models.BigIntegerField(default=0)
    message = models.TextField(blank=True)
    act = models.ForeignKey(Act, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ("-id",)

    def __str__(self) -> str:
        return self.what

    @property
    def busy(self) -> bool:
        """Whether something is being done, or waits to be."""
        return self.state in (State.WAITING, State.RUNNING, State.GOING_BACK)
