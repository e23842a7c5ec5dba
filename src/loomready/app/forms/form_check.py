"""Whether what a form holds is a valid record, with every error beside its field."""

from __future__ import annotations

from loomready import guildfile
from loomready.app.forms.fields import Form
from loomready.guildfile.build import Fields
from loomready.problems import BadInput

# What needed fields hold while they are empty or wrong, so that every other error is found as well.
_STAND_INS: dict[str, Fields] = {
    "yarns": {"key": "x"},
    "cones": {"key": "x", "yarn": "x", "gross": "100 kg", "tare": "0 g"},
    "looms": {
        "key": "x",
        "kind": "jack",
        "shafts": 4,
        "weaving_width": "1 m",
        "waste": "1 m",
        "heddles": [1],
    },
}
_DEPENDS = {"heddles": "shafts", "tare": "gross", "gross": "tare"}


def check(section: str, fields: Fields, form: Form) -> bool:
    """Whether the table is a valid record; errors are shown beside their fields, all of them at once."""
    if form.wrong and section not in _STAND_INS:
        return False
    wrong = {name for name, each in form.fields.items() if each.error}
    for _round in range(len(form.fields) + 1):
        right = {name: value for name, value in fields.items() if name not in wrong}
        try:
            guildfile.from_fields(section, _STAND_INS.get(section, {}) | right if wrong else fields)
        except BadInput as error:
            found = form.field_of(error)
            left_out = any(map(form.text_of, wrong)) and not form.text_of(found)
            if left_out or found in wrong or _DEPENDS.get(found) in wrong:
                return False  # it may be an error only because another field is wrong
            form.blame(error)
            if section not in _STAND_INS or not found:
                return False
            wrong.add(found)
        else:
            break
    return not form.wrong
