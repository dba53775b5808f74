"""The pages' own settings, on a folder that is thrown away."""

import atexit
import os
import shutil
import tempfile

os.environ["FOOTRING_FOLDER"] = tempfile.mkdtemp(prefix="footring-test-")
atexit.register(shutil.rmtree, os.environ["FOOTRING_FOLDER"], ignore_errors=True)
os.environ.pop("FOOTRING_SOCIETY", None)

from footring.web.settings import *

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # quick
