from django.apps import AppConfig


class TimingConfig(AppConfig):
    name = "timing"
    default_auto_field = "django.db.models.BigAutoField"
