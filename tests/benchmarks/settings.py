"""The shop as it is served, with one more address: the least view that writes a row."""

from shop.settings import *  # noqa: F403

ROOT_URLCONF = "tests.benchmarks.urls"
ALLOWED_HOSTS = ["127.0.0.1", "testserver"]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
