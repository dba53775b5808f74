"""Photographs in a store that speaks S3: for nobody without the keys, and what is wrong with the store is told in a line."""

import hashlib
import socket
import urllib.error
import urllib.request
from datetime import timedelta

import boto3
import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import storages

from footring.records import photographs
from footring.records.models import MODELS, User
from footring.records.store import store_of
from tests.records.test_photographs import picture

pytestmark = [pytest.mark.django_db, pytest.mark.parametrize("kept_in", ["store"], indirect=True)]


@pytest.fixture
def keeper(kept_in):
    return User.objects.create(username="keeper")


@pytest.fixture
def elsewhere(settings, keeper):
    """Have photographs kept in another store."""

    def at(address):
        settings.STORAGES = {**settings.STORAGES, "default": store_of(address, settings.FOLDER)}

    return at


def closed_port():
    with socket.socket() as opened:
        opened.bind(("127.0.0.1", 0))
        return opened.getsockname()[1]


def test_nobody_gets_a_file_out_of_the_store_without_the_keys(keeper, s3_server):
    kept = photographs.keep(picture(), keeper)
    store = storages["default"]
    key = f"of-a-society/{photographs.file_name(kept.sha256, 'JPEG')}"
    assert store.exists(photographs.file_name(kept.sha256, "JPEG"))
    assert (
        boto3.client("s3", endpoint_url=s3_server, region_name="us-east-1").head_object(
            Bucket=store.bucket_name, Key=key
        )["ContentType"]
        == "image/jpeg"
    )
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(f"{s3_server}/{store.bucket_name}/{key}")


def test_a_sweep_leaves_what_others_keep_in_the_bucket(keeper, bucket, elsewhere):
    photographs.keep(picture(), keeper)
    storages["default"].save("ab/theirs.jpg", ContentFile(b"theirs"))
    elsewhere(bucket.replace("/of-a-society", ""))
    storages["default"].save(f"ab/{'0' * 64}.jpg", ContentFile(b"left"))
    assert photographs.sweep() == []
    assert photographs.sweep(timedelta(0)) == [f"ab/{'0' * 64}.jpg"]
    elsewhere(bucket)
    assert photographs.sweep(timedelta(0)) == []
    assert storages["default"].exists("ab/theirs.jpg") and len(list(photographs._files(storages["default"]))) == 1


def test_a_file_that_was_left_is_a_fresh_one_when_it_comes_again(keeper, monkeypatch):
    """Or a sweep that saw it before its row was there would take it away."""
    name, times = photographs.file_name(hashlib.sha256(picture()).hexdigest(), "JPEG"), []
    storages["default"].save(name, ContentFile(picture()))
    monkeypatch.setattr(type(storages["default"]), "_save", lambda _, name, __: times.append(name) or name)
    photographs.keep(picture(), keeper)
    assert times == [name]


@pytest.mark.parametrize(
    ("other", "told"),
    [
        ("s3://no-such-bucket?endpoint={server}&region=us-east-1", "the store of photographs answers NoSuchBucket"),
        ("s3://plates?endpoint=http://127.0.0.1:{closed}", "the store of photographs cannot be reached"),
    ],
)
def test_a_store_that_cannot_be_used_is_told_and_nothing_is_half_there(other, told, elsewhere, keeper, s3_server):
    elsewhere(other.format(server=s3_server, closed=closed_port()))
    with pytest.raises(OSError, match=f"^{told}$"):
        photographs.keep(picture(), keeper)
    with pytest.raises(OSError, match="the store of photographs"):
        photographs.sweep()
    assert not MODELS["photographs"].objects.exists()


def test_keys_that_are_refused_or_missing_are_told(elsewhere, bucket, keeper, s3_server, monkeypatch):
    kept = photographs.keep(picture(colour="red"), keeper)
    with monkeypatch.context() as strict:
        strict.setattr("moto.settings.INITIAL_NO_AUTH_ACTION_COUNT", 0)
        with pytest.raises(OSError, match=r"refuses the keys, or what was asked with them \(InvalidAccessKeyId\)"):
            photographs.keep(picture(), keeper)
        with pytest.raises(OSError, match="refuses the keys"):
            photographs.original(kept)
    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.delenv(name)
    monkeypatch.setenv("AWS_EC2_METADATA_DISABLED", "true")
    monkeypatch.setenv("AWS_SHARED_CREDENTIALS_FILE", "/nowhere")
    elsewhere(bucket)
    with pytest.raises(OSError, match="was given no keys: AWS_ACCESS_KEY_ID and AWS_SECRET_ACCESS_KEY are expected"):
        photographs.keep(picture(), keeper)
    assert MODELS["photographs"].objects.count() == 1
