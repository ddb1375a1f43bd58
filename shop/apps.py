from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from shop.forms.sentences import say_ours

        say_ours()
        from shop import checks  # noqa: F401
