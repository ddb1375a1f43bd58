from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from django.contrib.auth.signals import user_logged_in

        from shop.forms.sentences import say_ours
        from shop.sessions import begin

        say_ours()
        user_logged_in.connect(begin, dispatch_uid="begin")
        from shop import checks  # noqa: F401
