import os
import stat
from pathlib import Path

import pytest
from django.core.exceptions import ImproperlyConfigured

from shop.environment import env_bool, env_list, env_number, secret_key, sqlite_url
from tests.commands import manage, refusal


@pytest.fixture(autouse=True)
def _no_key(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SHOP_SECRET_KEY", raising=False)


def setting(data: Path, name: str, **changes: str) -> str:
    """A setting, as the program started with these variables has it."""
    script = f"from django.conf import settings; print(settings.{name})"
    done = manage(data, "shell", "--no-imports", "-c", script, **changes)
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


@pytest.mark.parametrize(("value", "read"), [("True", True), ("False", False), ("", True)])
def test_a_switch_is_true_or_false(monkeypatch, value, read):
    monkeypatch.setenv("SHOP_TRIAL", value)
    assert env_bool("SHOP_TRIAL", default=True) is read


@pytest.mark.parametrize("value", ["true", "1", "yes", " True"])
def test_a_switch_set_to_anything_else_stops_the_program(monkeypatch, value):
    monkeypatch.setenv("SHOP_TRIAL", value)
    with pytest.raises(ImproperlyConfigured, match="SHOP_TRIAL must be True or False"):
        env_bool("SHOP_TRIAL", default=False)


def test_a_list_is_words_between_commas(monkeypatch):
    monkeypatch.setenv("SHOP_TRIAL", " a.example, ,b.example ")
    assert env_list("SHOP_TRIAL") == ["a.example", "b.example"]


@pytest.mark.parametrize(("value", "number"), [("", 60), ("0", 0), ("10080", 10080)])
def test_a_number_is_read(monkeypatch, value, number):
    monkeypatch.setenv("SHOP_TRIAL", value)
    assert env_number("SHOP_TRIAL", default=60, most=10080) == number


@pytest.mark.parametrize("value", ["-1", "10081", "1.5", "an hour", "²", "99999999999"])
def test_another_number_stops_the_program(monkeypatch, value):
    monkeypatch.setenv("SHOP_TRIAL", value)
    with pytest.raises(ImproperlyConfigured, match="SHOP_TRIAL must be a whole number from 0 to 10080"):
        env_number("SHOP_TRIAL", default=60, most=10080)


def test_the_key_is_made_once_for_the_owner_only(tmp_path):
    path = tmp_path / "new" / "shop.secret-key"
    key = secret_key(path)
    assert len(key) >= 80
    assert secret_key(path) == key
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert [one.name for one in path.parent.iterdir()] == [path.name]


def test_two_that_make_the_key_at_once_end_with_one(tmp_path, monkeypatch):
    path = tmp_path / "shop.secret-key"
    first, link = "the first one's key, which is as long as any" * 2, os.link

    def come_second(source: Path, target: Path) -> None:
        target.write_text(first)
        link(source, target)

    monkeypatch.setattr(os, "link", come_second)
    assert secret_key(path) == first


def test_the_key_is_on_the_disk_before_it_has_its_name(tmp_path, monkeypatch):
    done = []
    monkeypatch.setattr(os, "fsync", lambda fd: done.append(os.fstat(fd).st_size >= 80))
    monkeypatch.setattr(os, "link", lambda source, target: done.append("named"))
    with pytest.raises(ImproperlyConfigured, match="No such file"):
        secret_key(tmp_path / "shop.secret-key")
    assert done == [True, "named"]


def test_a_key_cut_short_is_one_sentence(tmp_path):
    path = tmp_path / "shop.secret-key"
    path.write_text("")
    with pytest.raises(ImproperlyConfigured, match="secret-key is not whole: delete the file"):
        secret_key(path)


def test_a_short_key_is_refused(monkeypatch, tmp_path):
    monkeypatch.setenv("SHOP_SECRET_KEY", "short")
    with pytest.raises(ImproperlyConfigured, match="at least 50"):
        secret_key(tmp_path / "key")


def test_a_place_where_no_key_can_be_kept_is_one_sentence(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(ImproperlyConfigured, match="can't be made: File exists"):
        secret_key(tmp_path / "file" / "key")


@pytest.mark.parametrize("url", ["mysql://a/b", "no url at all", "oracle://x", "sqlite://:memory:", "sqlite://"])
def test_another_database_is_one_sentence(tmp_path, url):
    assert refusal(tmp_path, "check", DATABASE_URL=url).startswith("Error: DATABASE_URL")


def test_a_folder_with_odd_characters_in_its_name_holds_a_shop(tmp_path):
    data = tmp_path / "50% off? #1 shop"
    assert setting(data, "DATABASES['default']['NAME']") == str(data / "shop.sqlite3")
    assert sqlite_url(data / "shop.sqlite3").endswith("/50%25%20off%3F%20%231%20shop/shop.sqlite3")


def test_https_needs_to_be_asked_for_and_then_is_strict(tmp_path):
    assert setting(tmp_path, "SESSION_COOKIE_SECURE, settings.SECURE_HSTS_SECONDS") == "False 0"
    strict = setting(tmp_path, "CSRF_TRUSTED_ORIGINS", SHOP_HTTPS="True", SHOP_HOSTS="shop.example")
    assert strict == "['https://shop.example']"
    done = manage(tmp_path, "check", "--deploy", "--fail-level", "WARNING", SHOP_HTTPS="True")
    assert done.returncode == 0, done.stderr


def test_the_program_never_debugs_unless_told(tmp_path):
    assert setting(tmp_path, "DEBUG") == "False"
    assert setting(tmp_path, "DEBUG", SHOP_DEBUG="True") == "True"
