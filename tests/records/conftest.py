from tests.known import nothing_known  # noqa: F401
