"""Who is at work: the names on an enrolled device, and the PIN where one is set."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from shop.access import open_to_all, roles_of, wanted_at_bench
from shop.context import current_shop
from shop.door_log import note_wrong
from shop.models import Hand, Shop
from shop.people import DEVICE_COOKIE, bench_sign_in, device_of, ended_device_of, keep_device
from shop.pins import PinAnswer, check_pin
from shop.throttle import told_until
from timing.clock import clock_of


class PinForm(forms.Form):
    """The PIN, typed on a pad of figures."""

    pin = forms.CharField(
        label="PIN",
        max_length=20,
        widget=forms.PasswordInput(
            attrs={"inputmode": "numeric", "autocomplete": "off", "autofocus": True, "pattern": "[0-9]*"}
        ),
    )


@open_to_all
@never_cache
def who(request: HttpRequest) -> HttpResponse:
    """The names of the shop, to be tapped; one who is signed in goes on to their work.

    Who was on the way to a page, as from a wheel's card, comes to it afterwards.
    """
    if "bench" in roles_of(request):
        return redirect("shop:bench-job")
    if device_of(request) is None:
        return _not_enrolled(request)
    context = {"hands": Hand.objects.working(), "device": device_of(request), "next": wanted_at_bench(request)}
    return render(request, "shop/bench/who.html", context)


def _not_enrolled(request: HttpRequest) -> HttpResponse:
    """How a device is enrolled; one that was taken off the list is told so, and whom to ask."""
    ended = ended_device_of(request)
    if ended is None:
        return render(request, "shop/bench/not_enrolled.html")
    owners = Hand.objects.working().filter(role=Hand.Role.OWNER)
    return render(request, "shop/bench/ended.html", {"device": ended, "owners": [owner.name for owner in owners]})


@open_to_all
@never_cache
@sensitive_post_parameters("pin")
def come_in(request: HttpRequest, pk: int) -> HttpResponse:
    """Sign a hand in: at once where there is no PIN, else by the pad."""
    device = device_of(request)
    if device is None:
        return redirect("shop:bench")
    hand = get_object_or_404(Hand.objects.working().select_related("user"), pk=pk)
    form = PinForm(request.POST if request.method == "POST" and hand.pin_hash else None)
    answer = PinAnswer(right=False)
    if request.method == "POST" and (not hand.pin_hash or form.is_valid()):
        now = timezone.now()
        pin = form.cleaned_data["pin"] if hand.pin_hash else ""
        answer = check_pin(device, hand, pin, now)
        if answer.right:
            bench_sign_in(request, hand)
            clock = clock_of(hand.user_id)
            to_work = "shop:bench-job" if clock and clock.started_at else "shop:bench-jobs"
            response = redirect(wanted_at_bench(request) or to_work)
            keep_device(response, request.COOKIES[DEVICE_COOKIE])
            return response
        note_wrong(request, hand, device, looked=answer.looked)
        form.add_error("pin", why_not(answer, current_shop(request) or Shop()))
    status = 200 if request.method != "POST" else 429 if answer.wait_until else 422
    context = {"form": form, "person": hand, "device": device, "next": wanted_at_bench(request)}
    return render(request, "shop/bench/pin.html", context, status=status)


def why_not(answer: PinAnswer, shop: Shop) -> str:
    """Why a PIN let nobody in, and from when on another is looked at."""
    if answer.wait_until is None:
        return "That is not the PIN: try again."
    until = told_until(answer.wait_until, timezone.now(), shop.zone)
    return f"That is not the PIN, or too many were wrong: the next is looked at after {until}."
