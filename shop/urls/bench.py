"""The bench: who is at work, what is ready, and the facts."""

from django.urls import URLPattern, path  # noqa: F401

urlpatterns: list[URLPattern] = []
