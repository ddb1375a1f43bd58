"""The shop's addresses, and the yardstick."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path
from django.views.decorators.http import require_POST

from jobs.models import Customer
from jobs.writing import writing


@require_POST
def least(request: HttpRequest) -> HttpResponse:
    """The least that a signed-in view that saves anything can do: one row, one commit."""
    with writing():
        Customer.objects.create(name="yardstick")
    return HttpResponse("saved")


urlpatterns = [path("least/", least), path("", include("shop.urls"))]
