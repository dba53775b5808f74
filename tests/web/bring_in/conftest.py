import pytest


@pytest.fixture(autouse=True)
def _one_connection(monkeypatch):
    """The worker closes its thread's connection; here it works in the test's own thread, whose transaction goes on."""
    monkeypatch.setattr("django_tasks_db.management.commands.db_worker.close_old_connections", lambda: None)
