"""The currencies that a shop may keep its books in: codes and minor units after ISO 4217 (list from memory)."""

from dataclasses import dataclass

USUAL_DIGITS = 2
NO_MINOR_UNIT = frozenset("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF".split())  # noqa: SIM905
THOUSANDTHS = frozenset("BHD IQD JOD KWD LYD OMR TND".split())  # noqa: SIM905

CODES = frozenset(
    """
    AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF
    CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG
    HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MKD
    MMK MNT MOP MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF
    SAR SBD SCR SDG SEK SGD SHP SOS SRD SSP SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VND
    VUV WST XAF XCD XOF XPF YER ZAR ZMW
    """.split()  # noqa: SIM905 - a column of codes is read more easily than quoted ones
)

SYMBOLS = {"GBP": "£", "EUR": "€", "USD": "$", "AUD": "A$", "CAD": "C$", "NZD": "NZ$", "INR": "₹", "JPY": "¥"}


class UnknownCurrency(ValueError):
    """A code that is no currency; the message is one sentence for the person who typed it."""


@dataclass(frozen=True, slots=True)
class Currency:
    """`digits` are the decimal places of its minor unit; `before` is what stands before an amount."""

    code: str
    digits: int
    before: str

    @property
    def minor_units(self) -> int:
        """Minor units in one of the currency: 100 pence in a pound."""
        units: int = 10**self.digits
        return units


def currency_of(code: str) -> Currency:
    """The currency of a code such as "GBP". Raises UnknownCurrency."""
    known = code.strip().upper()
    if known not in CODES:
        raise UnknownCurrency(f"“{code}” is not a currency: write its three letters, as GBP, EUR or USD.")
    digits = 0 if known in NO_MINOR_UNIT else 3 if known in THOUSANDTHS else USUAL_DIGITS
    return Currency(known, digits, SYMBOLS.get(known, f"{known}\N{NO-BREAK SPACE}"))
