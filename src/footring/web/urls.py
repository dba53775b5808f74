"""Where every page is."""

from __future__ import annotations

from django.urls import include, path

from footring.web.api.urls import urls as api
from footring.web.pages.way_in import views as way_in

handler403 = "footring.web.errors.forbidden"
handler404 = "footring.web.errors.missing"
handler500 = "footring.web.errors.broken"

urlpatterns = [
    path("", include("footring.web.pages.examine.urls")),
    path("api/", api),
    path("at-home/", include("footring.web.pages.at_home.urls")),
    path("bring-in/", include("footring.web.pages.bring_in.urls")),
    path("help/", include("footring.web.pages.help.urls")),
    path("people/", include("footring.web.pages.people.urls")),
    path("piece/", include("footring.web.pages.piece.urls")),
    path("reference/", include("footring.web.pages.reference.urls")),
    path("settings/", include("footring.web.pages.settings.urls")),
    path("sources/", include("footring.web.pages.sources.urls")),
    path("enter/<str:token>/", way_in.enter, name="enter"),
    path("invited/<str:token>/", way_in.invited, name="invited"),
    path("sign-in/", way_in.sign_in, name="sign-in"),
    path("password/", way_in.password, name="password"),
    path("leave/", way_in.leave, name="leave"),
]
