"""The shop's own settings: people, devices, rates, operations and words."""

from django.urls import URLPattern, path  # noqa: F401

urlpatterns: list[URLPattern] = []
