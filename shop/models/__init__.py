"""The business: the shop's own settings, its people and devices, its rates, and what it pays for outside."""

from shop.models.money import Issue, Outwork, Rate
from shop.models.people import Device, Hand, PinTry, SignInTry
from shop.models.settings import Shop

__all__ = ["Device", "Hand", "Issue", "Outwork", "PinTry", "Rate", "Shop", "SignInTry"]
