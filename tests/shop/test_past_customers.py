"""The name of a customer of long ago: it stands as long as orders must be kept, and then goes whole."""

import re
from datetime import UTC, date, datetime

import pytest
from django.apps import apps
from django.test import Client
from django.urls import reverse

from jobs.models import Customer, Order
from jobs.orders import OrderRefused, customer_named, set_state
from shop.audit import Kind
from shop.costing import order_cost
from shop.models import AuditLine, Hand, Quote, Shop
from shop.past_customers import past_customers, replace_customer
from tests import factories
from tests.shop.benching import text_of
from tests.shop.test_growth import begin_quotes
from tests.shop.test_leavers import sent_from

NAME = re.compile("Corbel Hall")
LONG_AGO = {"state": "paid", "ended_on": date(2019, 5, 3), "created_at": datetime(2019, 4, 1, tzinfo=UTC)}


def whole() -> str:
    return str([list(model._default_manager.values()) for model in apps.get_models() if model.__name__ != "Session"])


def test_a_customers_name_goes_whole_once_nothing_is_open_and_its_term_is_over(
    owner: Client, osk: Hand, order: Order
) -> None:
    other = factories.take_pair(note="as for Corbel Hall stables", customer="Lettice Orme")
    customer = order.customer
    Customer.objects.filter(pk=customer.pk).update(contact="The yard, Corbel Hall")
    path = reverse("shop:records-customer", args=[customer.pk])

    def refused(sentence: str) -> None:
        before = whole()
        answer = owner.post(path, {"sure": "on", "texts": ["0"]})
        assert answer.status_code == 422
        assert sentence in text_of(answer)
        assert whole() == before
        assert "Corbel Hall" not in text_of(owner.get("/settings/records/customers/"))

    refused("Something of Corbel Hall stables is open")
    # Fetched and never paid: somebody still has to be asked for the money.
    Order.objects.filter(pk=order.pk).update(**LONG_AGO | {"state": "fetched"})
    refused("Something of Corbel Hall stables is open: an order of theirs is not paid yet")
    order.refresh_from_db()
    set_state(order, Order.State.PAID, on=date.today())
    refused("the shop’s own rule): from")
    Order.objects.filter(pk=order.pk).update(**LONG_AGO | {"ended_on": date.today(), "paid_on": None})
    refused("the shop’s own rule): from")
    Order.objects.filter(pk=order.pk).update(**LONG_AGO)
    # Six years from 3 May 2019, their first day with them: our own sum.
    quote = begin_quotes(osk, count=1)
    quote.revisions.update(customer=customer)
    refused("Something of Corbel Hall stables is open")
    quote.revisions.update(customer=other.customer)
    (past,), has_more = past_customers(Shop.objects.get(), today=date(2025, 5, 3))
    assert (past.customer, past.last_on, past.kept.until, has_more) == (
        customer,
        date(2019, 5, 3),
        date(2025, 5, 2),
        False,
    )
    assert past_customers(Shop.objects.get(), today=date(2025, 5, 2)) == ([], False)
    assert "Corbel Hall stables 3 May 2019 2 May 2025" in text_of(owner.get("/settings/records/customers/?name=hall"))
    assert "No customer of long ago is called so." in text_of(owner.get("/settings/records/customers/?name=Zz"))
    number, cost = f"Customer {customer.pk}", order_cost(order)
    page = owner.get(path)
    assert f"as for {number}" in page.text
    sent = sent_from(page)
    assert owner.post(path, sent | {"sure": ""}).status_code == 422
    for _ in range(2):  # sent twice it is done once
        assert owner.post(path, sent).status_code == 302
    assert not NAME.search(whole())
    assert order_cost(order) == cost
    line = AuditLine.objects.get(what=number)
    assert (line.kind, line.after.partition(";")[0]) == (Kind.PERSON, "the name was replaced by this number")
    assert number in text_of(owner.get(reverse("shop:order", args=[order.number])))
    # Who comes back is a new customer.
    assert customer_named("Corbel Hall stables").pk != customer.pk
    assert Quote.objects.exists()
    # Nobody is put under the number by a slip, nor is anything written to it.
    details = reverse("shop:order-details", args=[other.number])
    typed = {"customer": number.lower(), "contact": "", "carriage": "Gig", "note": ""}
    answer = owner.post(details, typed)
    assert answer.status_code == 422
    assert f"“{number.lower()}” stands for somebody whose name was replaced" in text_of(answer)
    with pytest.raises(OrderRefused, match="stands for somebody"):
        factories.take_pair(customer=number, contact="The yard, Corbel Hall")
    details = reverse("shop:order-details", args=[order.number])
    answer = owner.post(details, typed | {"contact": "The yard"})
    assert answer.status_code == 422
    assert f"{number} is a number for good: there is nobody to reach." in text_of(answer)
    assert owner.post(details, typed | {"carriage": "Phaeton"}).status_code == 302
    kept = Order.objects.select_related("customer").get(pk=order.pk)
    assert (kept.carriage, kept.customer.name, kept.customer.contact) == ("Phaeton", number, "")


def test_who_never_ordered_may_go_at_once_and_no_number_is_anothers(owner: Client, wren: Hand) -> None:
    slip = Customer.objects.create(name="Typo Lady", contact="07700 900123")
    Customer.objects.create(name=f"customer {slip.pk}")
    Customer.objects.create(name=f"Customer {slip.pk}.2")
    shop, now = Shop.objects.get(), datetime(2026, 5, 1, tzinfo=UTC)
    assert slip in [past.customer for past in past_customers(shop, today=now.date())[0]]
    assert "Nothing was ever entered for Typo Lady" in text_of(
        owner.get(reverse("shop:records-customer", args=[slip.pk]))
    )
    assert replace_customer(slip, texts=[], at=now, shop=shop, by=wren.user) == f"Customer {slip.pk}.3"
    slip.refresh_from_db()
    assert slip.contact == ""
