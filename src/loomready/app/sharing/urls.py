"""Sharing's addresses."""

from django.urls import URLPattern, path

from loomready.app.sharing import views

urlpatterns: list[URLPattern] = [
    path("share", views.share, name="sharing-share"),
    path("share/code", views.code, name="sharing-code"),
    path("share/code/<int:number>/withdraw", views.withdraw_code, name="sharing-withdraw-code"),
    path("share/device/<int:number>/withdraw", views.withdraw, name="sharing-withdraw"),
    path("share/open-again", views.open_again, name="sharing-open-again"),
    path("share/name", views.name, name="sharing-name"),
    path("join", views.join, name="sharing-join"),
    path("leave", views.leave, name="sharing-leave"),
    path("pulse", views.beat, name="sharing-pulse"),
]
