"""The smith's list, and those of other trades."""

from django.urls import URLPattern, path  # noqa: F401

urlpatterns: list[URLPattern] = []
