"""The files of photographs, in a backup and out of it."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import PurePosixPath

from django.utils.translation import ngettext

from loomready.app.archive import guild_files
from loomready.app.server.home_folder import PHOTOS
from loomready.app.state import photo_files, photos
from loomready.app.state.snapshot import Snapshot
from loomready.phrases import phrase
from loomready.problems import BadInput


def put_in(zipped: zipfile.ZipFile, snapshot: Snapshot, note: Callable[[str], None]) -> None:
    """Every picture in use; one whose file is gone is noted."""
    missing = 0
    for name in sorted({entry.fields["picture"] for entry in snapshot.of_kind(photos.KIND)}):
        jpeg = photo_files.read(name)
        if jpeg is None:
            missing += 1
        else:
            zipped.writestr(f"{PHOTOS}/{name}.jpg", jpeg, zipfile.ZIP_STORED)
    if missing:
        note(
            ngettext(
                "The file of %d photograph is missing in the home; the backup does not have it.",
                "The files of %d photographs are missing in the home; the backup has none of them.",
                missing,
            )
            % missing
        )


def take_out(data: bytes) -> None:
    """Write the pictures of a backup into the home, each checked.

    They are written before its records are: a file that no record comes to name goes when room is needed.

    :raises BadInput: one is none that loomready writes, or there is no room
    """
    if not zipfile.is_zipfile(io.BytesIO(data)):
        return
    used = photos.used()
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as zipped:
            for each in zipped.infolist():
                path = PurePosixPath(each.filename)
                if path.parent == PurePosixPath(PHOTOS) and path.suffix == ".jpg":
                    with zipped.open(each) as stream:
                        jpeg = stream.read(photo_files.MOST_EACH + 1)
                    photo_files.check(path.stem, jpeg)
                    used.add(photo_files.keep(jpeg, used))
    except guild_files.BROKEN as error:
        if isinstance(error, BadInput) or (isinstance(error, OSError) and error.errno is not None):
            raise
        raise BadInput(phrase("is a broken zip; expected a backup of a guild")) from error
