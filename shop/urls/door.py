"""The way in: first run, sign in, sign out, and home."""

from django.urls import URLPattern, path

from shop.views import door

urlpatterns: list[URLPattern] = [
    path("", door.home, name="home"),
    path("open/", door.first_run, name="first-run"),
    path("open/example/", door.open_example, name="open-example"),
    path("sign-in/", door.sign_in, name="sign-in"),
    path("sign-out/", door.sign_out, name="sign-out"),
]
