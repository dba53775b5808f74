"""The pages as a server runs them."""

from __future__ import annotations

import os
from importlib import import_module

from django.conf import settings
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "footring.web.settings")
application = get_wsgi_application()
import_module(settings.ROOT_URLCONF)  # every page is loaded before anything else that takes long is begun
