"""The business: the shop itself, people and devices, rates and materials, quotations, what it pays,
and who changed what."""

from shop.models.agreements import OutputMean, OutputNotice, OutputTried, OvertimeAgreement
from shop.models.attendance import Attendance
from shop.models.audit import AuditLine
from shop.models.materials import Material
from shop.models.money import Issue, Outwork, OverheadSpent, Rate
from shop.models.pay import Bonus, Passed, PayAdjustment, PayRun, PaySheet, PayTerms
from shop.models.people import Device, Hand, PinTry, SignInTry
from shop.models.quotes import Quote, QuoteItem, QuoteLot, Revision
from shop.models.settings import RulesBefore, Shop
from shop.models.stores import Offcut, Purchase, StockCount

__all__ = [
    "Attendance",
    "AuditLine",
    "Bonus",
    "Device",
    "Hand",
    "Issue",
    "Material",
    "Offcut",
    "OutputMean",
    "OutputNotice",
    "OutputTried",
    "Outwork",
    "OverheadSpent",
    "OvertimeAgreement",
    "Passed",
    "PayAdjustment",
    "PayRun",
    "PaySheet",
    "PayTerms",
    "PinTry",
    "Purchase",
    "Quote",
    "QuoteItem",
    "QuoteLot",
    "Rate",
    "Revision",
    "RulesBefore",
    "Shop",
    "SignInTry",
    "StockCount",
]
