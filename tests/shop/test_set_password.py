"""A password set at the machine itself: by the shop's own rules, and with its line under who changed what."""

import pytest
from django.core.management import CommandError, call_command

from shop.management.commands import set_password
from shop.models import AuditLine, Hand

GATE = "a long wooden gate"


def set_at_the_machine(monkeypatch: pytest.MonkeyPatch, name: str, *typed: str) -> None:
    answers = iter(typed)
    monkeypatch.setattr(set_password, "getpass", lambda asked: next(answers))
    call_command("set_password", name)


def test_it_is_set_and_told(wren: Hand, monkeypatch: pytest.MonkeyPatch) -> None:
    set_at_the_machine(monkeypatch, wren.name.upper(), GATE, GATE)
    wren.user.refresh_from_db()
    assert wren.user.check_password(GATE)
    line = AuditLine.objects.get()
    assert (line.what, line.by, line.after) == ("Wren: password", None, "a new one")
    assert GATE not in f"{line.what}{line.before}{line.after}"


@pytest.mark.parametrize("typed", [(GATE, "another gate"), ("short", "short")])
def test_a_wrong_one_changes_nothing(wren: Hand, monkeypatch: pytest.MonkeyPatch, typed: tuple[str, str]) -> None:
    before = wren.user.password
    with pytest.raises(CommandError):
        set_at_the_machine(monkeypatch, "Wren", *typed)
    wren.user.refresh_from_db()
    assert wren.user.password == before
    assert not AuditLine.objects.exists()


def test_nobody_of_that_name(wren: Hand, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(CommandError, match="Nobody called “Hob” works in this shop"):
        set_at_the_machine(monkeypatch, "Hob", GATE, GATE)
