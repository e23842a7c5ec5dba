from django.apps import AppConfig


class LoomreadyConfig(AppConfig):
    name = "loomready.app"
    label = "loomready"
    default_auto_field = "django.db.models.BigAutoField"
