"""Where programs ask: /api/, described at /api/openapi.json."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI

import footring
from footring.terms.errors import FootringError
from footring.web.access import ANYONE, allow
from footring.web.api import doing, reading

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


urls = api.urls
for _pattern in urls[0]:
    allow(ANYONE)(_pattern.callback)  # each asks for a token itself
