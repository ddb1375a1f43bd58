"""The day book and what it gives away as files."""

from django.urls import URLPattern, path  # noqa: F401

urlpatterns: list[URLPattern] = []
