"""Every address of the app."""

from django.urls import include, path

from loomready.app.views import drafts, guild, home, looms, shelf, start, warps, work

urlpatterns = [
    path("", include("loomready.app.sharing.urls")),
    path("", include("loomready.app.workshop.urls")),
    path("", include("loomready.app.choosing.urls")),
    path("", include("loomready.app.loomside.urls")),
    path("", home.home, name="home"),
    path("start", start.start, name="start"),
    path("shelf", shelf.shelf_page, name="shelf"),
    path("shelf/new-yarn", shelf.yarn, name="shelf-yarn-new"),
    path("shelf/yarn/<str:key>", shelf.yarn, name="shelf-yarn"),
    path("shelf/yarn/<str:key>/remove", shelf.remove_yarn, name="shelf-yarn-remove"),
    path("shelf/new-cone", shelf.cone, name="shelf-cone-new"),
    path("shelf/cone/<str:key>", shelf.cone, name="shelf-cone"),
    path("shelf/cone/<str:key>/weigh", shelf.weigh, name="shelf-weigh"),
    path("shelf/cone/<str:key>/mistake", shelf.mistake, name="shelf-mistake"),
    path("shelf/cone/<str:key>/remove", shelf.remove_cone, name="shelf-cone-remove"),
    path("looms", looms.looms_page, name="looms"),
    path("looms/new", looms.loom, name="looms-new"),
    path("looms/new-reed", looms.reed, name="looms-reed-new"),
    path("looms/new-reed/name", looms.reed_name, name="looms-reed-name"),
    path("looms/reed/<str:key>", looms.reed, name="looms-reed"),
    path("looms/reed/<str:key>/remove", looms.remove_reed, name="looms-reed-remove"),
    path("looms/loom/<str:key>", looms.loom, name="looms-loom"),
    path("looms/loom/<str:key>/remove", looms.remove_loom, name="looms-loom-remove"),
    path("drafts", drafts.drafts_page, name="drafts"),
    path("drafts/<path:key>/look", drafts.draft, name="drafts-look"),
    path("drafts/<path:key>/version", drafts.new_version, name="drafts-version"),
    path("drafts/<path:key>/remove", drafts.remove_draft, name="drafts-remove"),
    path("drafts/<path:key>/thumb-<int:version>.png", drafts.thumb, name="drafts-thumb"),
    path("drafts/<path:key>/diagram-<int:version>.png", drafts.diagram, name="drafts-diagram"),
    path("drafts/<path:key>/export/<str:what>.<str:kind>", drafts.export, name="drafts-export"),
    path("warps", warps.warps_page, name="warps"),
    path("warps-new", warps.new, name="warps-new"),
    path("warps-new/name", warps.new_name, name="warps-new-name"),
    path("warps/<str:key>", warps.plan, name="warps-plan"),
    path("warps/<str:key>/remedy", warps.remedy, name="warps-remedy"),
    path("warps/<str:key>/step", warps.step, name="warps-step"),
    path("warps/<str:key>/earlier", warps.earlier, name="warps-earlier"),
    path("warps/<str:key>/remove", warps.remove_warp, name="warps-remove"),
    path("warps/<str:key>/cloth", warps.whole_cloth, name="warps-cloth-whole"),
    path("warps/<str:key>/cloth-<str:name>.png", warps.picture, name="warps-cloth"),
    path("warps/<str:key>/packet", work.packet, name="warps-print"),
    path("work/<str:token>", work.look, name="work"),
    path("work/<str:token>/cancel", work.cancel, name="work-cancel"),
    path("work/<str:token>/file", work.file, name="work-file"),
    path("guild", guild.guild_page, name="guild"),
    path("guild/day", guild.day, name="guild-day"),
    path("guild/undo/<int:number>", guild.undo, name="guild-undo"),
    path("guild/backup", work.backup, name="guild-backup"),
    path("guild/guild.toml", guild.guild_file, name="guild-file"),
    path("guild/bring", guild.bring, name="guild-bring"),
    path("guild/bring/confirmed", guild.bring_confirmed, name="guild-bring-confirmed"),
    path("guild/bring/<str:token>", guild.bring_compare, name="guild-bring-compare"),
]

handler404 = "loomready.app.views.errors.missing"
handler400 = "loomready.app.views.errors.wrong"
handler500 = "loomready.app.views.errors.broken"
