"""The workshop's addresses."""

from django.urls import URLPattern, path

from loomready.app.workshop import make_views, tabby_views, turn_views

urlpatterns: list[URLPattern] = [
    path("make", make_views.families, name="workshop-make"),
    path("make/<str:name>", make_views.family, name="workshop-make-one"),
    path("drafts/<path:key>/tabby", tabby_views.tabby, name="workshop-tabby"),
    path("drafts/<path:key>/turn", turn_views.overview, name="workshop-turn"),
    path("drafts/<path:key>/turn/treadles", turn_views.treadles, name="workshop-turn-treadles"),
    path("drafts/<path:key>/turn/treadles/cancel", turn_views.cancel, name="workshop-turn-cancel"),
    path("drafts/<path:key>/turn/<str:name>", turn_views.way, name="workshop-turn-way"),
    path("workshop/picture-<str:name>.png", make_views.picture, name="workshop-picture"),
]
