"""The way in: opening an empty shop, signing in and out, and home."""

from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.models import User
from django.db import IntegrityError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from shop.access import may, open_to_all, roles_of, wanted_at_bench, wanted_page
from shop.context import current_shop
from shop.door import AlreadyOpen, Answer, let_in, open_shop, try_password
from shop.example import SIGN_IN, ExampleRefused, load_example
from shop.forms.door import OpeningForm, SignInForm
from shop.models import Shop
from shop.people import device_of
from shop.throttle import told_until


@may("owner", "desk", "hand", "smith", "bench")
def home(request: HttpRequest) -> HttpResponse:
    """Each to the page that their day begins with."""
    roles = roles_of(request)
    first = {"desk": "shop:order-book", "smith": "shop:smith", "bench": "shop:bench"}
    return redirect(next(page for role, page in first.items() if role in roles))


@open_to_all
@never_cache
@sensitive_post_parameters("password", "again")
def first_run(request: HttpRequest) -> HttpResponse:
    """Open a shop, or go to the example: only while there is none."""
    form = OpeningForm(request.POST or None)
    if current_shop(request):
        # The form sent twice by the one who opened it goes on as if sent once.
        return _sign_in_again(request, form) if request.method == "POST" else redirect("shop:home")
    if request.method != "POST" or not form.is_valid():
        status = 422 if request.method == "POST" else 200
        return render(request, "shop/door/first_run.html", {"form": form}, status=status)
    try:
        hand = open_shop(owner=form.cleaned_data["owner"], password=form.cleaned_data["password"], shop=form.shop)
    except AlreadyOpen:
        return _sign_in_again(request, form)
    let_in(request, hand.user)
    messages.success(request, "Your shop is open. Next: its people and the devices at the bench, under Settings.")
    return redirect("shop:home")


def _sign_in_again(request: HttpRequest, form: OpeningForm) -> HttpResponse:
    """The shop is open already: let its owner in, and tell anyone else to sign in."""
    if form.is_valid():
        name, password = form.cleaned_data["owner"], form.cleaned_data["password"]
        answer = try_password(request, name=name, password=password, now=timezone.now())
        if answer.user:
            let_in(request, answer.user)
            return redirect("shop:home")
    messages.warning(request, "This shop has been opened already, here or on another device: sign in.")
    return redirect("shop:sign-in")


@open_to_all
@require_POST
def open_example(request: HttpRequest) -> HttpResponse:
    """Load the example into an empty shop, and show how to sign in to it."""
    if current_shop(request) is None:
        try:
            load_example()
        except (ExampleRefused, IntegrityError) as refused:
            # Where another device was first, there is a shop to sign in to.
            if not Shop.objects.exists():
                messages.error(request, f"The example was not loaded. {refused}")
                return render(request, "shop/door/first_run.html", {"form": OpeningForm()}, status=422)
    return redirect("shop:sign-in")


@open_to_all
@never_cache
@sensitive_post_parameters("password")
def sign_in(request: HttpRequest) -> HttpResponse:
    """Name and password, for work at the desk. The session gets a new key."""
    form = SignInForm(request.POST or None)
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            answer = try_password(request, **form.cleaned_data, now=timezone.now())
            if answer.user:
                return _let_in(request, answer.user)
            status = _say_wrong(request, form, answer)
    elif roles_of(request):
        return redirect("shop:home")
    elif "desk" not in request.GET and device_of(request) and wanted_at_bench(request):
        # Who scans a wheel's card at the bench comes in as at the bench.
        return redirect(f"{reverse('shop:bench')}?{urlencode({'next': wanted_at_bench(request)})}")
    shop = current_shop(request)
    context = {
        "form": form,
        "next": wanted_page(request),
        "example": SIGN_IN if shop and shop.is_example else (),
    }
    return render(request, "shop/door/sign_in.html", context, status=status)


def _let_in(request: HttpRequest, user: User) -> HttpResponse:
    let_in(request, user)
    return redirect(wanted_page(request) or "shop:home")


def _say_wrong(request: HttpRequest, form: SignInForm, answer: Answer) -> int:
    """Put the refusal on the form, the same for an unknown name as for a wrong password; the status to answer with."""
    shop = current_shop(request)
    if answer.wait_until and shop:
        until = told_until(answer.wait_until, timezone.now(), shop.zone)
        form.add_error(None, f"Too many wrong tries for this name: the next is looked at after {until}.")
        return 429
    form.add_error(None, "The name or the password is not right: try again, or ask the owner for a new password.")
    return 422


@open_to_all
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("shop:sign-in")
