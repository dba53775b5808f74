import os
from statistics import median, quantiles

from hypothesis import settings

from tests.house import functions, lines_of_code

settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


def pytest_report_header() -> str:
    lengths = [lines_of_code(path, node) for path, node in functions()]
    return (
        f"{len(lengths)} functions: median {median(lengths):.0f}, p90 {quantiles(lengths, n=10)[-1]:.0f} lines of code"
    )
