"""Bringing in and taking back, as jobs: each one transaction, so that one that is killed has left nothing."""

from __future__ import annotations

from django.db import DatabaseError
from django_tasks import task
from django_tasks_db.models import DBTaskResult

from footring.records.acts import act, undo
from footring.records.bring_in.looking import Looked, columns_for, look_at_pack, look_at_sheet, sheets_of
from footring.records.bring_in.progress import Stopped, Telling, ask_to_stop, file_of, is_dead, telling, tidy
from footring.records.models import Job, Role, State
from footring.records.worker import wake
from footring.terms.errors import BadInput, FootringError

NOTHING_NEW = "Everything in it was here already: nothing was changed."


def start(job: Job) -> None:
    """Have a job done when its turn comes.

    Raises
    ------
    BadInput
        It is being done, or was.
    """
    _queue(job, (State.CHOSEN, State.FAILED, State.CANCELLED, State.BACK), State.WAITING)


def take_back(job: Job) -> None:
    """Have all that came with a job taken away again.

    Raises
    ------
    BadInput
        Nothing came with it.
    """
    _queue(job, (State.DONE,), State.GOING_BACK)


def _queue(job: Job, of: tuple[State, ...], to: State) -> None:
    if not Job.objects.filter(pk=job.pk, state__in=of).update(state=to, message="", done=0, total=0):
        raise BadInput(f"{job.what} is {job.get_state_display()} already: look at it again")
    tidy(job)
    work.enqueue(job.pk)
    wake()


def stop(job: Job) -> None:
    """Break a job off; what it had written goes away with its transaction."""
    if not Job.objects.filter(pk=job.pk, state=State.WAITING).update(state=State.CANCELLED):
        ask_to_stop(job)


def queue_again() -> None:
    """Have the jobs done anew that nobody is doing any more, because their process was ended."""
    queued = {given["args"][0] for given in DBTaskResult.objects.ready().values_list("args_kwargs", flat=True)}
    for job in Job.objects.filter(state__in=(State.WAITING, State.RUNNING, State.GOING_BACK)):
        if job.pk not in queued and is_dead(job) and file_of(job).exists():
            Job.objects.filter(pk=job.pk, state=State.RUNNING).update(state=State.WAITING)
            tidy(job)
            work.enqueue(job.pk)


@task()
def work(pk: int) -> None:
    """Do what a job waits for."""
    job = Job.objects.get(pk=pk)
    doing = {State.WAITING: _bring_in, State.GOING_BACK: _take_back}.get(State(job.state))
    if doing is None or not is_dead(job):
        return
    before = State.CHOSEN if job.state == State.WAITING else State.DONE
    with telling(job) as tell:
        try:
            doing(job, tell)
        except Stopped:
            _ended(job, State.CANCELLED if before == State.CHOSEN else before, "It was stopped: nothing was changed.")
        except (FootringError, DatabaseError, OSError) as error:
            _ended(job, State.FAILED if before == State.CHOSEN else before, f"{error}. Nothing was changed.")
        except Exception:
            said = "Something is wrong in Footring itself. Nothing was changed. Please report what you did."
            _ended(job, State.FAILED if before == State.CHOSEN else before, said)
            raise


def _ended(job: Job, state: State, message: str) -> None:
    Job.objects.filter(pk=job.pk).update(state=state, message=message)


def looked_at(job: Job) -> Looked:
    """What a job would add.

    Raises
    ------
    BadInput
        Its file cannot be read or is not kept any more, or is one that its owner may not bring in.
    """
    if not file_of(job).is_file():
        raise BadInput(f"{job.what} is not kept here any more: send it again")
    if job.kind == "sheet":
        sheet = sheets_of(job)[0]
        return look_at_sheet(job, sheet, columns_for(job, sheet))
    if not job.by.may(Role.CURATOR):
        raise BadInput("a pack changes the reference: ask a curator to bring it in")
    return look_at_pack(job)


def _bring_in(job: Job, tell: Telling) -> None:
    Job.objects.filter(pk=job.pk).update(state=State.RUNNING)
    tell("reading the file", 0, 0)
    looked = looked_at(job)
    if job.kind == "pack" and looked.faults:
        raise BadInput(f"the pack has faults: {looked.faults[0]}")
    if not looked.total:
        _ended(job, State.DONE, NOTHING_NEW)
        return
    done = 0
    with act(f"Bring in {job.what}", job.by) as doing:
        for rows in looked.chunks():
            doing.add(*rows, checked=True)
            done += len(rows)
            tell("writing", done, looked.total)
        given = {**job.given, "added": looked.counts}
        Job.objects.filter(pk=job.pk).update(state=State.DONE, act=doing.act, done=done, total=done, given=given)


def _take_back(job: Job, tell: Telling) -> None:
    tell("taking back", 0, 0)
    if job.act is not None:
        undo(job.act, job.by)
    Job.objects.filter(pk=job.pk).update(state=State.BACK, act=None, message="")
