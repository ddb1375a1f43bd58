"""Money as whole minor units ("pence") of the shop's one currency: written for people, and read exactly.

Rates are thousandths of a minor unit ("millipence"). No float comes near either.
"""

import re
from fractions import Fraction

from shop.currencies import Currency, currency_of

MILLI = 1000
# The largest amount that anyone means: what is longer is a slip of the finger.
MOST_MAJOR = 10_000_000
MINUS = "\N{MINUS SIGN}"

_PLAIN = re.compile(r"(?P<whole>[0-9]+|[0-9]{1,3}(?:[,\u00a0\u2009 '][0-9]{3})+)(?:\.(?P<part>[0-9]+))?")


class MoneyError(ValueError):
    """An amount that can't be read; the message is one sentence for the form."""


def round_half_up(amount: Fraction | int) -> int:
    """The nearest whole number; a half goes away from zero, so that a contra mirrors what it cancels."""
    amount = Fraction(amount)
    up = (2 * abs(amount.numerator) + amount.denominator) // (2 * amount.denominator)
    return up if amount >= 0 else -up


def format_pence(pence: int, currency: str = "GBP") -> str:
    """An amount of minor units with its currency: "£1,030.50", "−£0.05", "CHF 12.00", "¥1,200"."""
    money = currency_of(currency)
    return _signed(money, _decimal(abs(pence), money.digits), negative=pence < 0)


def format_millipence(millipence: int, currency: str = "GBP") -> str:
    """A rate with as many places as it needs, and no fewer than the currency has: "£18.50", "£0.0125"."""
    money = currency_of(currency)
    whole, _, part = _decimal(abs(millipence), money.digits + 3).partition(".")
    part = part.rstrip("0").ljust(money.digits, "0")
    return _signed(money, f"{whole}.{part}" if part else whole, negative=millipence < 0)


def plain_pence(pence: int, currency: str = "GBP") -> str:
    """An amount for a form field, as `parse_pence` reads it: "1030.50"."""
    digits = currency_of(currency).digits
    return _decimal(pence, digits).replace(",", "")


def plain_rate(millipence: int, currency: str = "GBP") -> str:
    """A rate for a form field, as `parse_millipence` reads it: "18.50", "0.0125"."""
    return format_millipence(millipence, currency).removeprefix(currency_of(currency).before).replace(",", "")


def parse_pence(text: str, currency: str = "GBP") -> int:
    """Whole minor units from "12.50", "£1,030", "12" or "€ 0.05". Raises MoneyError with one sentence."""
    money = currency_of(currency)
    return _parse(text, money, money.digits)


def parse_millipence(text: str, currency: str = "GBP") -> int:
    """A rate in thousandths of a minor unit, from an amount such as "18.50" or "0.0125". Raises MoneyError."""
    money = currency_of(currency)
    return _parse(text, money, money.digits + 3)


def _parse(text: str, money: Currency, digits: int) -> int:
    bare = text.strip()
    if bare.startswith(("-", MINUS)):
        raise MoneyError(f"“{bare}” is less than nothing: write an amount from 0 up.")
    for sign in (money.before.strip(), money.code, money.code.lower()):
        bare = bare.removeprefix(sign).removesuffix(sign).strip()
    found = _PLAIN.fullmatch(bare)
    if found is None:
        raise MoneyError(f"“{text.strip()}” is not an amount of money: write it as {_sample(money)}.")
    part = (found["part"] or "").rstrip("0")
    if len(part) > digits:
        places = f"no more than {digits} figures" if digits else "no figures"
        raise MoneyError(f"“{text.strip()}” is too fine: {money.code} has {places} after the point here.")
    whole = int(re.sub(r"[^0-9]", "", found["whole"]))
    if whole > MOST_MAJOR:
        raise MoneyError(f"“{text.strip()}” can't be right: the most is {MOST_MAJOR:,}.")
    return int(f"{whole}{part.ljust(digits, '0')}")


def _sample(money: Currency) -> str:
    return "12" if money.digits == 0 else "12." + "50".ljust(money.digits, "0")


def _decimal(units: int, digits: int) -> str:
    whole, part = divmod(units, 10**digits)
    return f"{whole:,}.{part:0{digits}d}" if digits else f"{whole:,}"


def _signed(money: Currency, amount: str, *, negative: bool) -> str:
    return f"{MINUS if negative else ''}{money.before}{amount}"
