"""The business: the shop itself, people and devices, rates and materials, what it pays, and who changed what."""

from shop.models.audit import AuditLine
from shop.models.materials import Material
from shop.models.money import Issue, Outwork, Rate
from shop.models.people import Device, Hand, PinTry, SignInTry
from shop.models.settings import Shop

__all__ = ["AuditLine", "Device", "Hand", "Issue", "Material", "Outwork", "PinTry", "Rate", "Shop", "SignInTry"]
