"""Sets a password at the machine itself, where nobody can sign in to do it, with its line of who changed what."""

from getpass import getpass
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from shop.forms.people import PasswordForm
from shop.models import Hand
from shop.people import set_password as give_password


class Command(BaseCommand):
    help = "Gives a hand a new password for the desk, typed twice here; it signs them out wherever they were."
    requires_migrations_checks = True

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the hand's name, in any capitals")

    def handle(self, *args: Any, name: str, **options: Any) -> None:
        hand = Hand.objects.working().filter(name__iexact=name).select_related("user").first()
        if hand is None:
            raise CommandError(f"Nobody called “{name}” works in this shop: see the names under Settings, Hands.")
        typed = {"password": getpass("New password: "), "again": getpass("The same password again: ")}
        form = PasswordForm(typed, hand=hand)
        if not form.is_valid():
            raise CommandError(" ".join(str(sentence) for wrong in form.errors.values() for sentence in wrong))
        give_password(hand, form.cleaned_data["password"])
        self.stdout.write(f"{hand.name} has a new password, and is signed out wherever they were.")
