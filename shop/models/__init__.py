"""The business: the shop's own settings, its people and devices, its rates, what it pays, and who changed what."""

from shop.models.audit import AuditLine
from shop.models.money import Issue, Outwork, Rate
from shop.models.people import Device, Hand, PinTry, SignInTry
from shop.models.settings import Shop

__all__ = ["AuditLine", "Device", "Hand", "Issue", "Outwork", "PinTry", "Rate", "Shop", "SignInTry"]
