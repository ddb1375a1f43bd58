"""What a written quotation must have, as governments tell small businesses, looked for on the paper.

Invest Northern Ireland, nibusinessinfo.co.uk, "Pricing and quotations": what a written quotation or estimate should
include. Northern Territory Government, nt.gov.au, "Quotes and estimates". Read in 2026.
"""

from datetime import date, timedelta

import pytest
from django.test import Client

from jobs.models import Order
from shop.models import Hand, Revision
from shop.money import format_pence
from shop.quoting.actions import QuoteRefused, accept
from tests.papers_read import text_of
from tests.shop.test_quote_paper import NOW, TODAY, offered, wren

__all__ = ["wren"]


@pytest.mark.django_db
def test_the_parts_of_a_written_quotation(wren: Hand, client: Client, poppler: None) -> None:
    one = offered(wren)
    out = one.revisions.get()
    Revision.objects.update(last_on=date(2099, 4, 1))
    client.force_login(wren.user)
    said = text_of(client.get(f"/quotes/{one.number}/paper/letter/").content)
    assert [
        part
        for part, told in {
            # nibusinessinfo.co.uk
            "overall price": f"In all {format_pence(out.total_pence)}",
            "breakdown of what it is for": "Hind pair, near hind, off hind: new wheels Height",
            "schedule": "Ready about 6 weeks after the order is placed and the deposit is paid.",
            "terms": "What is agreed",
            "how long it is valid": "Holds until 1 April 2099",
            "when payments are due": f"Deposit, 30 % with the order {format_pence(out.deposit_pence)}",
            "full contact details": "12 Alder Lane Withy Ford 01632 960018",
            "value added tax": f"VAT of 20 % {format_pence(out.tax_pence)}",
            "to be signed when it is accepted": "Signature Name in full Date",
            "how changes are agreed": "priced first and agreed in writing, as an alteration",
            "that the price may change": "so the price may change",
            # nt.gov.au
            "exactly what work": "14, oak, 50.8 × 38.1 mm",
            "parts and materials": "A pair of boxes",
        }.items()
        if told not in said
    ] == []


@pytest.mark.django_db
def test_a_quotation_binds_when_it_is_accepted_and_an_expired_one_can_not_be(wren: Hand) -> None:
    """nt.gov.au: once accepted, a quote binds both; it says how long it is valid."""
    one = offered(wren)
    out = one.revisions.get()
    with pytest.raises(QuoteRefused, match="valid until 1 April 2026"):
        accept(one, out, by=wren.user, at=NOW, on=out.last_on + timedelta(days=1))
    assert not Order.objects.exists()
    order = accept(one, out, by=wren.user, at=NOW, on=TODAY)
    out.refresh_from_db()
    assert (out.state, out.price_pence, order.lots.get().wheels.count()) == (
        "accepted",
        out.total_pence - out.tax_pence,
        2,
    )
