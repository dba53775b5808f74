"""What a society's pages tell the browser to refuse, and whom they answer at all: as they run, not as tests set them."""

import json
import os
import subprocess
import sys

import pytest

SITE = "plates.example"
SHOW = """
import json, django
django.setup()
from django.core.management import call_command
call_command("migrate", verbosity=0)
from django.test import Client
from footring.records.models import User
User.objects.create_user("ann", password="seven blue saucers", role="member")
there = {"HTTP_HOST": "plates.example", "HTTP_X_FORWARDED_PROTO": "https"}
asking = {"plain": {"HTTP_HOST": "plates.example"}, "behind": there, "evil": {**there, "HTTP_HOST": "evil.example"}}
answers = {name: Client(**how).get("/sign-in/") for name, how in asking.items()}
client = Client(**there)
client.get("/sign-in/")
client.post("/sign-in/", {"username": "ann", "password": "seven blue saucers"})
strict = Client(enforce_csrf_checks=True, **there)
strict.force_login(User.objects.get())
given = {"password": "x", "username": "y"}
print(json.dumps({
    "status": {name: answer.status_code for name, answer in answers.items()},
    "to": answers["plain"].headers.get("Location"),
    "headers": dict(answers["behind"].headers),
    "cookies": {name: {key: of for key, of in one.items() if of} for name, one in client.cookies.items()},
    "posts": [strict.post("/sign-in/", given, HTTP_ORIGIN=of).status_code for of in ("https://evil.example", "null")],
    "static": dict(Client(**there).get("/static/footring/paper.css").headers),
}))
"""


def society(tmp_path, *command: str) -> subprocess.CompletedProcess[str]:
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment |= {"FOOTRING_FOLDER": str(tmp_path), "FOOTRING_SOCIETY": "1", "FOOTRING_HOSTS": SITE}
    environment |= {"DJANGO_SETTINGS_MODULE": "footring.web.settings"}
    return subprocess.run([sys.executable, *command], env=environment, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    done = society(tmp_path_factory.mktemp("society"), "-c", SHOW)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_django_finds_nothing_to_warn_of_in_a_society(tmp_path):
    done = society(tmp_path, "-m", "django", "check", "--deploy", "--fail-level", "DEBUG")
    assert done.returncode == 0 and "no issues (0 silenced)" in done.stdout, done.stderr


def test_only_its_own_names_are_answered_and_only_over_https(shown):
    assert shown["status"] == {"plain": 301, "behind": 200, "evil": 400}
    assert shown["to"] == "https://plates.example/sign-in/"


def test_browsers_are_told_what_to_refuse(shown):
    headers = shown["headers"]
    policy = dict(part.strip().split(" ", 1) for part in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == policy["form-action"] == "'self'"
    assert not any(word in of for of in policy.values() for word in ("unsafe", "*", "http"))
    assert headers["X-Content-Type-Options"] == "nosniff" and headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Strict-Transport-Security"].startswith("max-age=31536000")
    assert headers["Cache-Control"] == "no-store"
    assert not any(name.startswith("Access-Control") for name in {**headers, **shown["static"]})
    assert shown["static"]["X-Content-Type-Options"] == "nosniff"


def test_the_session_is_kept_from_scripts_from_plain_http_and_from_other_sites(shown):
    assert set(shown["cookies"]) == {"__Host-footring"}
    flags = shown["cookies"]["__Host-footring"]
    assert (flags["httponly"], flags["secure"], flags["samesite"], flags["path"]) == (True, True, "Lax", "/")
    assert "domain" not in flags


def test_a_form_of_another_site_is_refused(shown):
    assert shown["posts"] == [403, 403]
