"""All families by name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from loomready.draft.draft import Draft
from loomready.draft.families import (
    color_and_weave,
    crackle,
    double,
    lace,
    mos,
    overshot,
    plain,
    point,
    rep,
    satins,
    summer_winter,
    twill_blocks,
    twills,
    waffle,
)
from loomready.draft.families.family import Family
from loomready.phrases import listed, phrase
from loomready.problems import BadInput, shorten

FAMILIES: Mapping[str, Family] = {
    family.name: family
    for family in (
        plain.PLAIN,
        twills.STRAIGHT,
        point.POINT,
        twills.BROKEN,
        point.EXTENDED_POINT,
        twills.UNDULATING,
        twills.ADVANCING,
        point.ROSEPATH,
        point.BIRDS_EYE,
        point.GOOSE_EYE,
        satins.SATIN,
        lace.HUCK,
        lace.HUCK_LACE,
        lace.CANVAS,
        lace.SPOT_BRONSON,
        lace.BRONSON_LACE,
        summer_winter.SUMMER_AND_WINTER,
        overshot.OVERSHOT,
        crackle.CRACKLE,
        mos.MS_AND_OS,
        waffle.WAFFLE,
        rep.REP,
        double.DOUBLE_WEAVE_BLOCKS,
        twill_blocks.TWILL_BLOCKS,
        color_and_weave.LOG_CABIN,
        color_and_weave.COLORED_TWILL,
        color_and_weave.HOUNDSTOOTH,
        color_and_weave.SHADOW_WEAVE,
    )
}


def family(name: str) -> Family:
    """The family of that name.

    :raises BadInput: there is none; the names that there are
    """
    try:
        return FAMILIES[name]
    except KeyError:
        raise BadInput(
            phrase('no family "{name}"; expected one of: {names}', name=shorten(name), names=listed(FAMILIES))
        ) from None


def make(name: str, options: Mapping[str, str] | None = None) -> Draft:
    """The draft of a family that these options ask for, each as a person types it.

    >>> (make("rosepath", {"repeats": "1"}).threading + 1).tolist()
    [1, 2, 3, 4, 1, 4, 3, 2]

    :raises BadInput: no such family or option, or an impossible value; the place is the option's name
    """
    return family(name).make(options)


def as_json(families: Iterable[Family]) -> dict[str, Any]:
    """The document that ``make --list --json`` prints."""
    return {"families": [each.as_json() for each in families]}
