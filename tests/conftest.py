import os
from statistics import median, quantiles
from uuid import uuid4

import pytest
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


@pytest.fixture(scope="session")
def s3_server():
    """Address of something on this machine that speaks S3."""
    try:
        from moto.server import ThreadedMotoServer
    except ImportError:
        if os.environ.get("CI") == "true":
            pytest.fail("no moto here, and CI must have it")
        pytest.skip("no moto on this machine: there is no store to keep photographs in")
    server = ThreadedMotoServer("127.0.0.1", 0, verbose=False)
    server.start()
    yield "http://{}:{}".format(*server.get_host_and_port())
    server.stop()


@pytest.fixture
def bucket(s3_server, monkeypatch):
    """Address of a bucket of its own, for FOOTRING_STORE; the keys are in the environment."""
    import boto3

    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "of-a-test")
    name = f"plates-{uuid4().hex}"
    client = boto3.client("s3", endpoint_url=s3_server, region_name="us-east-1")
    client.create_bucket(Bucket=name)
    client.close()
    return f"s3://{name}/of-a-society?endpoint={s3_server}&region=us-east-1"


@pytest.fixture
def kept_in(request, settings):
    """Where photographs are kept: in the folder, or in a store where the test asks for that."""
    where = getattr(request, "param", "folder")
    (settings.FOLDER / "photos").mkdir(exist_ok=True)
    if where == "store":
        from footring.records.store import store_of

        store = store_of(request.getfixturevalue("bucket"), settings.FOLDER)
        settings.STORAGES = {**settings.STORAGES, "default": store}
    return where
