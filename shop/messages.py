"""Where a sentence waits for the next page: in a cookie of the house's kind, or in the session where it is too long."""

from django.conf import settings
from django.contrib.messages.storage.cookie import CookieStorage
from django.contrib.messages.storage.fallback import FallbackStorage
from django.contrib.messages.storage.session import SessionStorage


class PrefixedCookies(CookieStorage):
    cookie_name = f"{settings.COOKIE_PREFIX}messages"


class Storage(FallbackStorage):
    storage_classes = (PrefixedCookies, SessionStorage)
