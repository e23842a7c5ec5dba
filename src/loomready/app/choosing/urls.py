"""Choosing's addresses."""

from django.urls import URLPattern, path

from loomready.app.choosing import colors_views, size_views

urlpatterns: list[URLPattern] = [
    path("warps/<str:key>/colors", colors_views.colors, name="choosing-colors"),
    path("warps/<str:key>/colors/cloth.png", colors_views.cloth, name="choosing-cloth"),
    path("warps/<str:key>/size", size_views.size, name="choosing-size"),
]
