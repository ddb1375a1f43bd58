"""What every page knows: the shop, its words, who is signed in and where they may go."""

from typing import Any

from django.http import HttpRequest

from shop.models import Hand, Shop

# A session that began with a name and a PIN on an enrolled device holds the device's id under this key.
BENCH_SESSION = "bench_device"


def current_shop(request: HttpRequest) -> Shop | None:
    """The shop, read once a request."""
    if not hasattr(request, "_shop"):
        request._shop = Shop.objects.filter(id=1).first()  # type: ignore[attr-defined]
    shop: Shop | None = request._shop  # type: ignore[attr-defined]
    return shop


def current_hand(request: HttpRequest) -> Hand | None:
    """The hand who is signed in; they come with their user in one query (`shop.auth`)."""
    if not hasattr(request, "_hand"):
        hand = getattr(request.user, "shop_hand", None) if request.user.is_authenticated else None
        request._hand = hand  # type: ignore[attr-defined]
    found: Hand | None = request._hand  # type: ignore[attr-defined]
    return found


def shop_words(request: HttpRequest) -> dict[str, Any]:
    """Template context: `shop`, `words`, `hand`, `nav`."""
    from shop.navigation import navigation

    shop = current_shop(request)
    hand = current_hand(request) if hasattr(request, "user") else None
    return {
        "shop": shop,
        "words": (shop or Shop()).words,
        "hand": hand,
        "nav": navigation(request, hand),
    }
