import csv
import subprocess
import sys
import uuid
from datetime import datetime, time
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import connection

from jobs.models import Customer
from jobs.writing import one_snapshot
from shop import export
from shop.export import ExportRefused, write_export
from shop.models import Device, Hand, Shop
from tests import factories
from tests.commands import ROOT, fill, lay_new_shop, manage, refusal, surroundings
from timing.facts import Cancel
from timing.record import cancel, record


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "files"


def test_every_stretch_is_there_with_iso_moments(order, osk, folder):
    task = factories.task(order, "shave-spoke")
    stretch = record(factories.fact(task, osk, minutes=12)).stretch
    rows = write_export(folder)
    (row,) = rows_of(folder / "timing_stretch.csv")
    assert rows["timing_stretch.csv"] == 1
    assert row["token"] == str(stretch.token)
    assert (row["hand_id"], row["seconds"]) == (str(osk.user_id), "720")
    assert datetime.fromisoformat(row["done_at"]) == factories.NOW
    assert row["done_on"] == "2026-03-02"
    (tally,) = rows_of(folder / "timing_tally.csv")
    assert (tally["stretch_id"], tally["task_id"], tally["made"]) == (row["id"], str(task.pk), "1")


def test_people_are_an_id_and_a_name(shop, osk, folder):
    User.objects.create(username="a-clerk", password="not to be seen")
    write_export(folder)
    people = rows_of(folder / "auth_user.csv")
    assert list(people[0]) == ["id", "name"]
    assert [row["name"] for row in people] == ["Osk", "a-clerk"]


def test_no_secret_leaves(shop, wren, folder):
    Hand.objects.update(pin_hash="pin-hash-of-wren")
    User.objects.update(password="password-of-wren")
    Device.objects.create(
        name="Tablet", secret_hash="secret-of-the-tablet", enrolled_at=factories.NOW, enrolled_by=wren.user
    )
    write_export(folder)
    everything = "".join(path.read_text(encoding="utf-8") for path in folder.iterdir())
    for secret in ("pin-hash-of-wren", "password-of-wren", "secret-of-the-tablet", "pin_hash", "secret_hash"):
        assert secret not in everything
    assert "Tablet" in everything
    assert not list(folder.glob("*session*")) + list(folder.glob("*pintry*"))


def test_every_table_of_the_rooms_has_its_file_or_is_left_out_by_name(db, folder):
    from django.apps import apps

    wanted = {
        f"{model._meta.label_lower.replace('.', '_')}.csv"
        for room in ("jobs", "timing", "shop")
        for model in apps.get_app_config(room).get_models()
    }
    files = set(write_export(folder))
    assert wanted - files == {"shop_pintry.csv", "shop_signintry.csv", "timing_clock.csv"}
    assert files == {path.name for path in folder.iterdir()}


@pytest.mark.parametrize("text", ["=1+1", "+44", "-2", "@x", "\tx", "\rx", "\nx"])
def test_text_that_looks_like_a_formula_is_disarmed(shop, folder, text):
    Customer.objects.create(name=text, contact="a = b")
    write_export(folder)
    (row,) = rows_of(folder / "jobs_customer.csv")
    assert (row["name"], row["contact"]) == (f"'{text}", "a = b")


def test_lists_are_json_and_times_and_switches_are_plain(shop, osk, folder):
    Shop.objects.update(smith_days=[0, 3], dinner_from=time(12, 0), dinner_to=time(12, 45))
    write_export(folder)
    (row,) = rows_of(folder / "shop_shop.csv")
    assert (row["smith_days"], row["dinner_to"], row["is_example"]) == ("[0, 3]", "12:45:00", "0")
    (hand,) = rows_of(folder / "shop_hand.csv")
    assert (hand["apprentice"], hand["left_on"]) == ("0", "")


def test_a_negative_number_in_a_number_column_stays_one(order, osk, folder):
    stretch = record(factories.fact(factories.task(order, "shave-spoke"), osk, minutes=2)).stretch
    cancel(Cancel(uuid.uuid4(), stretch.token, osk.user_id, factories.NOW))
    write_export(folder)
    assert [row["seconds"] for row in rows_of(folder / "timing_stretch.csv")] == ["120", "-120"]
    assert [row["made"] for row in rows_of(folder / "timing_tally.csv")] == ["1", "-1"]


def test_a_folder_in_use_is_refused_and_left_alone(db, folder):
    folder.mkdir()
    (folder / "letter.txt").write_text("mine")
    with pytest.raises(ExportRefused, match="is not empty"):
        write_export(folder)
    assert [path.name for path in folder.iterdir()] == ["letter.txt"]


@pytest.mark.parametrize("there", [True, False])
def test_a_failure_half_way_leaves_nothing(db, folder, monkeypatch, there):
    if there:
        folder.mkdir()
    write = export.write_table

    def write_until_tallies(path, header, rows):
        if path.name == "timing_tally.csv":
            raise OSError(28, "No space left on device")
        return write(path, header, rows)

    monkeypatch.setattr(export, "write_table", write_until_tallies)
    with pytest.raises(OSError, match="No space left"):
        write_export(folder)
    assert folder.exists() == there
    assert not there or not list(folder.iterdir())


READ_TWICE = """
import django, sqlite3
django.setup()
from django.db import connection
from jobs.models import Order
from jobs.writing import one_snapshot
with one_snapshot():
    before = Order.objects.get().note
    other = sqlite3.connect(connection.settings_dict["NAME"], timeout=0)
    other.execute("UPDATE jobs_order SET note = 'changed meanwhile'")
    other.commit()
    during = Order.objects.get().note
print(repr((before, during, Order.objects.get().note)))
"""


def test_all_files_show_one_moment_and_hold_no_writer_up(tmp_path):
    fill(tmp_path)
    read = subprocess.run(
        [sys.executable, "-c", READ_TWICE],
        env=surroundings(tmp_path, DJANGO_SETTINGS_MODULE="shop.settings"),
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert read.stdout.strip() == "('', '', 'changed meanwhile')", read.stderr


def test_the_command_tells_what_it_wrote(tmp_path):
    lay_new_shop(tmp_path / "data")
    done = manage(tmp_path / "data", "export", tmp_path / "files")
    assert done.returncode == 0, done.stderr
    assert done.stdout == f"{tmp_path / 'files'}: {len(list((tmp_path / 'files').iterdir()))} files, 0 rows.\n"
    assert "is not empty" in refusal(tmp_path / "data", "export", tmp_path / "files")
    (tmp_path / "file").write_text("")
    assert "is not empty" in refusal(tmp_path / "data", "export", tmp_path / "file")
    assert "Not a directory" in refusal(tmp_path / "data", "export", tmp_path / "file" / "below")


@pytest.mark.django_db(transaction=True)
def test_it_works_outside_a_transaction(folder):
    Customer.objects.create(name="Corbel Hall stables")
    assert write_export(folder)["jobs_customer.csv"] == 1
    assert Customer.objects.create(name="still writable").pk


@pytest.mark.skipif(connection.vendor == "sqlite", reason="the test on a file tells it: in memory there is one writer")
@pytest.mark.django_db(transaction=True)
def test_another_connection_writes_meanwhile_and_is_not_seen():
    customer = Customer.objects.create(name="before")
    other = connection.copy()
    with one_snapshot():
        assert Customer.objects.get().name == "before"
        with other.cursor() as cursor:
            cursor.execute("UPDATE jobs_customer SET name = 'meanwhile' WHERE id = %s", [customer.pk])
        assert Customer.objects.get().name == "before"
    other.close()
    assert Customer.objects.get().name == "meanwhile"
