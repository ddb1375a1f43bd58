"""The way in: first run, sign in, sign out, and home."""

from django.urls import URLPattern, path  # noqa: F401

urlpatterns: list[URLPattern] = []
