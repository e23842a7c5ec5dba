"""The workshop's addresses."""

from django.urls import URLPattern, path

from loomready.app.workshop import (
    balance_views,
    convert_views,
    editor_views,
    from_family_views,
    tabby_views,
    warp_views,
)

urlpatterns: list[URLPattern] = [
    path("drafts-new", editor_views.new, name="workshop-edit-new"),
    path("drafts/<path:key>/edit", editor_views.page, name="workshop-edit"),
    path("drafts/<path:key>/edit/draft", editor_views.whole, name="workshop-edit-draft"),
    path("drafts/<path:key>/edit/marks", editor_views.looked_at, name="workshop-edit-marks"),
    path("drafts/<path:key>/edit/do", editor_views.do, name="workshop-edit-do"),
    path("drafts/<path:key>/edit/undo", editor_views.back, name="workshop-edit-undo"),
    path("drafts/<path:key>/edit/redo", editor_views.forth, name="workshop-edit-redo"),
    path("make", from_family_views.families, name="workshop-make"),
    path("make/<str:name>", from_family_views.family, name="workshop-make-one"),
    path("drafts/<path:key>/tabby", tabby_views.tabby, name="workshop-tabby"),
    path("drafts/<path:key>/balance", balance_views.page, name="workshop-balance"),
    path("drafts/<path:key>/turn", convert_views.overview, name="workshop-turn"),
    path("drafts/<path:key>/turn/treadles", convert_views.treadles, name="workshop-turn-treadles"),
    path("drafts/<path:key>/turn/treadles/cancel", convert_views.cancel, name="workshop-turn-cancel"),
    path("drafts/<path:key>/turn/<str:name>", convert_views.way, name="workshop-turn-way"),
    path("drafts/<path:key>/warp", warp_views.put, name="workshop-warp"),
    path("workshop/picture-<str:name>.png", from_family_views.picture, name="workshop-picture"),
]
