"""Settings of the shop, made quick for the suite."""

import os
import tempfile
from pathlib import Path

os.environ.setdefault("SHOP_DATA", str(Path(tempfile.gettempdir()) / "shop-tests"))

from shop.settings import *  # noqa: F403

ALLOWED_HOSTS = ["testserver", "localhost", "127.0.0.1"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}

STATIC_ROOT.mkdir(parents=True, exist_ok=True)  # noqa: F405  whitenoise warns of a folder that is missing
