from django.apps import AppConfig


class ShopConfig(AppConfig):
    name = "shop"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from django.contrib.auth.signals import user_logged_in, user_logged_out

        from shop.door_log import note_signed_out
        from shop.forms.sentences import say_ours
        from shop.sessions import begin

        say_ours()
        user_logged_in.connect(begin, dispatch_uid="begin")
        user_logged_out.connect(note_signed_out, dispatch_uid="note_signed_out")
        from shop import checks  # noqa: F401
