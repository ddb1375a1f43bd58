"""Settings: what there is to set, the shop itself, and its words."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import tzinfo

from django.contrib import messages
from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from jobs.models import Operation
from jobs.writing import writing
from shop.access import may
from shop.asked import signed_in
from shop.backup_words import how_backups_stand
from shop.context import current_shop
from shop.days import day_in_words
from shop.forms.allowances import AllowancesForm
from shop.forms.pay_settings import PaySettingsForm
from shop.forms.seen import Overtaken, status_of
from shop.forms.shop import ShopForm
from shop.forms.words import WordsForm
from shop.models import AuditLine, Device, Hand, Material, Rate, Shop
from shop.own_settings import keep_shop
from shop.pay.rules import RULES


@dataclass(frozen=True, slots=True)
class Room:
    """One page of settings, and what stands there now."""

    label: str
    url: str
    stands: str


@may("owner")
def settings(request: HttpRequest) -> HttpResponse:
    shop = current_shop(request) or Shop()
    hands = Hand.objects.working().count()
    devices = Device.objects.filter(revoked_at=None).count()
    operations = Operation.objects.in_use().count()
    rates = Rate.objects.exclude(kind=Rate.Kind.MATERIAL).count()
    materials = Material.objects.in_use().count()
    zone = shop.time_zone.partition("/")[2].replace("_", " ") or shop.time_zone
    words = f"{shop.word_hub}, {shop.word_felloe}, {shop.word_tyre}"
    rooms = [
        Room("The shop", "shop:settings-shop", f"{shop.currency}, {zone} time, {shop.get_units_display()}"),
        Room("Words", "shop:words", words),
        Room("Hands", "shop:hands", f"{hands} at work"),
        Room("Devices", "shop:devices", f"{devices} enrolled" if devices else "none enrolled yet"),
        Room("Rates", "shop:rates", f"{rates} written down" if rates else "none written down yet"),
        Room("Pay", "shop:settings-pay", f"by the {shop.pay_period}, {RULES[shop.pay_rules].name}"),
        Room("Materials", "shop:materials", f"{materials} in use" if materials else "none kept yet"),
        Room("Operations", "shop:operations", f"{operations} in use"),
        Room("Records", "shop:records", f"kept {shop.records_years} years at the least"),
        Room("Backups", "shop:backups", how_backups_stand(zone=shop.zone, now=timezone.now())),
        Room("Who changed what", "shop:changes", _last_change(shop.zone)),
    ]
    placed = [Room(room.label, reverse(room.url), room.stands) for room in rooms]
    return render(request, "shop/settings/index.html", {"rooms": placed})


def _last_change(zone: tzinfo) -> str:
    last = AuditLine.objects.newest_first().values_list("made_at", flat=True).first()
    return f"last on {day_in_words(last.astimezone(zone).date())}" if last else "nothing since the shop was opened"


@may("owner")
def the_shop(request: HttpRequest) -> HttpResponse:
    """Its name, money, time zone, measures, dinner hours and the smith."""
    return _edit(request, ShopForm, "shop/settings/shop.html", "The shop's settings are kept.")


@may("owner")
def words(request: HttpRequest) -> HttpResponse:
    """What the shop calls hub, felloe and tyre."""
    return _edit(request, WordsForm, "shop/settings/words.html", "Kept: every page and paper says so from now on.")


@may("owner")
def allowances(request: HttpRequest) -> HttpResponse:
    """What is left on blanks."""
    return _edit(request, AllowancesForm, "shop/settings/allowances.html", "Kept: cutting lists add that from now on.")


@may("owner")
def pay(request: HttpRequest) -> HttpResponse:
    """How hours and pieces are made into pay."""
    return _edit(request, PaySettingsForm, "shop/settings/pay.html", "Kept: pay is reckoned so from now on.")


def _edit(
    request: HttpRequest,
    kind: type[ShopForm | WordsForm | AllowancesForm | PaySettingsForm],
    template: str,
    kept: str,
) -> HttpResponse:
    # A copy of its own: a form that is refused has changed it, and the band of the page must not show that.
    form = kind(request.POST or None, instance=Shop.objects.get(id=1))
    if form.is_valid():
        with suppress(Overtaken), writing():
            names = list(form.Meta.fields)
            form.meet(model_to_dict(Shop.objects.select_for_update().get(id=1), names))
            labels = {name: str(form.fields[name].label) for name in names}
            keep_shop(form.instance, labels, by=signed_in(request))
            messages.success(request, form.told(kept))
            return redirect("shop:settings")
    return render(request, template, {"form": form}, status=status_of(form))
