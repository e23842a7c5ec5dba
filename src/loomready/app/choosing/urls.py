"""Choosing's addresses."""

from django.urls import URLPattern, path

from loomready.app.choosing import colors_views, find_views, size_views, stripes_views

urlpatterns: list[URLPattern] = [
    path("find-draft", find_views.page, name="choosing-find"),
    path("find-draft/more", find_views.more, name="choosing-find-more"),
    path("find-draft/<str:token>/state", find_views.state, name="choosing-find-state"),
    path("find-draft/<str:token>/stop", find_views.stop, name="choosing-find-stop"),
    path("find-draft/<str:token>/<str:offer>/look", find_views.look, name="choosing-find-look"),
    path("find-draft/<str:token>/<str:offer>/far.jpg", find_views.far, name="choosing-find-far"),
    path("find-draft/<str:token>/<str:offer>/take", find_views.take, name="choosing-find-take"),
    path("warps/<str:key>/colors", colors_views.colors, name="choosing-colors"),
    path("warps/<str:key>/colors/cloth.png", colors_views.cloth, name="choosing-cloth"),
    path("warps/<str:key>/stripes", stripes_views.stripes, name="choosing-stripes"),
    path("warps/<str:key>/size", size_views.size, name="choosing-size"),
]
