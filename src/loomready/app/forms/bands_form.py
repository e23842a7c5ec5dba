"""The bands of a painted piece in one field: "12 in indigo #2f3f6b, 6 in, 12 in rust"."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from loomready.app.forms import fields, quantity_input
from loomready.app.i18n.words import sentence, translated
from loomready.guildfile.kinds import SOME_LENGTH
from loomready.phrases import phrase
from loomready.problems import BadInput
from loomready.units import LENGTH_M

KEY = "painted"  # of the field too, after its piece's prefix
_COLOR = re.compile(r"#[0-9a-fA-F]{6}\b")
_LENGTH = re.compile(r"[\d./\s]*\d\s*(?:inches|inch|in|feet|ft|yards|yard|yd|mm|cm|m|\")?(?![\w.])")


def field_of(item: Mapping[str, Any], prefix: str, unit: str) -> fields.Field:
    """The field, filled from a piece's table."""
    return fields.Field(
        prefix + KEY,
        _("Painted bands"),
        as_text(item.get(KEY, ())),
        unit=unit,
        help=_("along the finished piece from its first pick: 12 in indigo #2f3f6b, 6 in, 12 in rust")
        if unit == "in"
        else _("along the finished piece from its first pick: 30 cm indigo #2f3f6b, 15 cm, 30 cm rust"),
    )


def as_text(bands: Any) -> str:
    """Bands as they are typed."""
    parts = ([band["length"], band.get("dye", ""), band.get("color", "")] for band in bands)
    return ", ".join(" ".join(filter(None, part)) for part in parts)


def taken(form: fields.Form, prefix: str) -> list[dict[str, str]]:
    """The bands that the field says; what cannot be read is told beside it."""
    each = form.fields.get(prefix + KEY)
    if each is None:
        return []
    made = []
    for number, text in enumerate(filter(None, map(str.strip, re.split(r"[,;\n]", each.text))), 1):
        try:
            made.append(band_of(text, each.unit))
        except BadInput as error:
            told = _("Band %(number)d: %(what)s") % {
                "number": number,
                "what": sentence(translated(error.what)),
            }
            form.change(prefix + KEY, error=told)
            return []
    return made


def band_of(text: str, unit: str) -> dict[str, str]:
    """One band of the field as the guild file holds it.

    :raises BadInput: it does not begin with a length
    """
    color = _COLOR.search(text)
    rest = _COLOR.sub(" ", text).strip()
    length = _LENGTH.match(rest)
    if length is None:
        raise BadInput(phrase("{text} begins with no length; expected a band like 12 in indigo", text=text))
    typed = quantity_input.plain(length[0].strip(), LENGTH_M, unit)
    SOME_LENGTH.read(typed)
    dye = " ".join(rest[length.end() :].split())
    found = {"length": str(typed), "dye": dye, "color": color[0].lower() if color else ""}
    return {name: value for name, value in found.items() if value}
