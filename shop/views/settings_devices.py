"""Settings: the devices at the bench."""

from django.contrib import messages
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from shop.access import may
from shop.asked import signed_in
from shop.context import current_hand
from shop.door_log import note_device
from shop.forms.people import DeviceForm
from shop.models import Device
from shop.people import device_of, enrol_device, keep_device, revoke_device


@may("owner")
def devices(request: HttpRequest) -> HttpResponse:
    """The devices that are enrolled; posted to, enrols the one that asks."""
    form = DeviceForm(request.POST or None)
    if form.is_valid() and isinstance(request.user, User):
        # One cookie, one device: the same device enrolled anew is not two on the list.
        before = device_of(request)
        name = form.cleaned_data["name"]
        device, secret = enrol_device(name=name, by=request.user, at=timezone.now(), instead_of=before)
        note_device("enrolled", device, current_hand(request), request)
        if before:
            note_device("ended", before, current_hand(request), request)
        messages.success(request, f"This device is enrolled for the bench as “{device.name}”.")
        response = redirect("shop:devices")
        keep_device(response, secret)
        return response
    enrolled = Device.objects.filter(revoked_at=None).select_related("enrolled_by")
    ended = Device.objects.exclude(revoked_at=None).order_by("-revoked_at")[:20]
    context = {"form": form, "devices": enrolled, "ended": ended, "this": device_of(request)}
    return render(request, "shop/settings/devices.html", context, status=422 if form.errors else 200)


@may("owner")
@require_POST
def device_revoke(request: HttpRequest, pk: int) -> HttpResponse:
    device = get_object_or_404(Device, pk=pk)
    revoke_device(device, at=timezone.now(), by=signed_in(request))
    note_device("ended", device, current_hand(request), request)
    messages.success(request, f"“{device.name}” is no longer enrolled: nobody is signed in on it any more.")
    return redirect("shop:devices")
