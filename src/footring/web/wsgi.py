"""The pages as a server runs them."""

from __future__ import annotations

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "footring.web.settings")
application = get_wsgi_application()
