"""A file is sent, looked over, brought in, and taken back."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from footring.records.bring_in import work
from footring.records.bring_in.looking import sheets_of
from footring.records.bring_in.progress import file_of, progress_of, tidy
from footring.records.models import Job, Role, State, User
from footring.terms.errors import BadInput, FootringError
from footring.web.access import allow
from footring.web.pages.bring_in import sent, shown

MOST_JOBS = 20


@allow(Role.MEMBER)
@require_http_methods(["GET", "HEAD", "POST"])
def bring_in(request: HttpRequest) -> HttpResponse:
    """Send a file; see those that were sent."""
    problem = ""
    if request.method == "POST":
        try:
            return redirect("bring-in-job", sent.kept(request.FILES.get("file"), request.user).pk)
        except FootringError as error:
            problem = str(error)
    told = {"jobs": _jobs(request.user)[:MOST_JOBS], "problem": problem, "kinds": ",".join(sent.KINDS)}
    return render(request, "bring_in/bring_in.html", told, status=400 if problem else 200)


def _jobs(user: User) -> object:
    """A person's own jobs; a curator's are everybody's."""
    jobs = Job.objects.select_related("by")
    return jobs if user.may(Role.CURATOR) else jobs.filter(by=user)


def _job(request: HttpRequest, job_id: int) -> Job:
    return get_object_or_404(_jobs(request.user), pk=job_id)


@allow(Role.MEMBER)
@require_safe
def job(request: HttpRequest, job_id: int) -> HttpResponse:
    """Look a file over, or see how far it is."""
    found = _job(request, job_id)
    told = {"job": found, "added": shown.counted(found.given.get("added", {})), **_far(found)}
    open_again = found.state in (State.CHOSEN, State.FAILED, State.CANCELLED, State.BACK)
    return render(request, "bring_in/job.html", told | (shown.context(found) if open_again else {}))


def _far(found: Job) -> dict[str, object]:
    what, done, total = progress_of(found)
    return {"doing": what, "done": done, "total": total}


@allow(Role.MEMBER)
@require_safe
def progress(request: HttpRequest, job_id: int) -> HttpResponse:
    """How far it is, as a part of the page; the whole page anew once it is through."""
    found = _job(request, job_id)
    answer = render(request, "bring_in/progress.html", {"job": found, **_far(found)})
    if not found.busy:
        answer.headers["HX-Refresh"] = "true"
    return answer


@allow(Role.MEMBER)
@require_POST
def look(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take columns for something else, or read something else instead of a cell."""
    found = _job(request, job_id)
    if found.kind != "sheet" or found.busy or found.state == State.DONE:
        raise BadInput(f"{found.what} is {found.get_state_display()}: it can be looked over before that, or after")
    found.given = shown.chosen(request.POST, found, sheets_of(found)[0])
    found.save(update_fields=["given"])
    return redirect("bring-in-job", job_id)


def _doing(do: Callable[[Job], None]) -> Callable[[HttpRequest, int], HttpResponse]:
    @allow(Role.MEMBER)
    @require_POST
    def view(request: HttpRequest, job_id: int) -> HttpResponse:
        do(_job(request, job_id))
        return redirect("bring-in-job", job_id)

    view.__doc__ = do.__doc__
    return view


start, stop, back = _doing(work.start), _doing(work.stop), _doing(work.take_back)


@allow(Role.MEMBER)
@require_POST
def forget(request: HttpRequest, job_id: int) -> HttpResponse:
    """Take a file away; what came from it stays."""
    found = _job(request, job_id)
    if found.busy:
        raise BadInput(f"{found.what} is {found.get_state_display()}: stop it first")
    file_of(found).unlink(missing_ok=True)
    tidy(found)
    found.delete()
    messages.success(request, f"Forgotten: {found.what}. What came from it is still here.")
    return redirect("bring-in")
