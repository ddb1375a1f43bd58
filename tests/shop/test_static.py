import re

from django.conf import settings
from django.core.management import call_command
from django.test import override_settings
from whitenoise.storage import CompressedManifestStaticFilesStorage

MANIFEST = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "whitenoise.storage.CompressedManifestStaticFilesStorage"},
}
NAMED = re.compile(r"""{%\s*static\s+["']([^"']+)["']""")


def test_every_file_that_is_named_is_collected(tmp_path):
    """Collecting follows the names inside style sheets; a name missing from a template would be an error 500."""
    with override_settings(STORAGES=MANIFEST, STATIC_ROOT=tmp_path):
        call_command("collectstatic", verbosity=0, interactive=False)
        collected = set(CompressedManifestStaticFilesStorage().hashed_files)
    templates = sorted((settings.BASE_DIR / "templates").rglob("*.html"))
    named = {name for path in templates for name in NAMED.findall(path.read_text(encoding="utf-8"))}
    assert "shop/house.css" in named
    assert named <= collected
    assert list(tmp_path.glob("shop/house.????????????.css.gz"))
