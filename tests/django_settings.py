"""The pages' own settings, on a folder that is thrown away."""

import os
import tempfile

os.environ["FOOTRING_FOLDER"] = tempfile.mkdtemp(prefix="footring-test-")
os.environ.pop("FOOTRING_SOCIETY", None)

from footring.web.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # quick
