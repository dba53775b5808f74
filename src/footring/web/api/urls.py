"""Where programs ask: /api/, described at /api/openapi.json."""

from __future__ import annotations

from django.conf import settings
from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI
from ninja.errors import AuthenticationError, ValidationError

import footring
from footring.terms.errors import FootringError
from footring.web.access import ANYONE, allow
from footring.web.api import doing, reading
from footring.web.errors import FAILED, sentence

api = NinjaAPI(
    title="Footring",
    version=footring.__version__,
    description="Read a collection, examine pieces, add what was met. Bring a token, made under Settings, as "
    "`Authorization: Bearer footring_...`; it may do what the person may who made it. Dates are EDTF, lengths are "
    "written with their unit.",
    docs_url=None,
    urls_namespace="api",
)
api.add_router("", reading.router)
api.add_router("", doing.router)


def _told(request: HttpRequest, text: str, status: int) -> HttpResponse:
    return api.create_response(request, {"detail": text}, status=status)


@api.exception_handler(FootringError)
def _bad(request: HttpRequest, error: FootringError) -> HttpResponse:
    return _told(request, str(error), 400)


@api.exception_handler(Http404)
def _missing(request: HttpRequest, _: Http404) -> HttpResponse:
    return _told(request, "there is nothing of that id that you may see", 404)


@api.exception_handler(PermissionDenied)
def _refused(request: HttpRequest, _: PermissionDenied) -> HttpResponse:
    return _told(request, "this piece is another's: you may see it, not change it", 403)


@api.exception_handler(AuthenticationError)
def _unknown(request: HttpRequest, _: AuthenticationError) -> HttpResponse:
    answer = _told(
        request, "no token that is known here: make one under Settings, send `Authorization: Bearer` and it", 401
    )
    answer.headers["WWW-Authenticate"] = "Bearer"  # RFC 9110, 11.6.1
    return answer


@api.exception_handler(ValidationError)
def _unlike(request: HttpRequest, error: ValidationError) -> HttpResponse:
    return _told(request, "; ".join(_sentence(fault["loc"], fault["msg"]) for fault in error.errors), 422)


def _sentence(where: tuple[str | int, ...], what: str) -> str:
    named = ".".join(str(step) for step in where if step not in ("body", "query", "path", "asked"))
    return f"{named or 'what was sent'}: {what}"


@api.exception_handler(RequestDataTooBig)
def _too_long(request: HttpRequest, _: RequestDataTooBig) -> HttpResponse:
    most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE // 1_000_000
    return _told(request, f"more than {most} MB were sent: ask for less at once", 413)


def _failed(request: HttpRequest, error: Exception) -> HttpResponse:
    return _told(request, sentence(error), 503)


for _kind in FAILED:
    api.add_exception_handler(_kind, _failed)

urls = api.urls
for _pattern in urls[0]:
    allow(ANYONE)(_pattern.callback)  # each asks for a token itself
