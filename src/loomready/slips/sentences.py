"""What a step of mending says, once for the command line, the sheets and the page without a network.

Blanks in braces are filled in here and, by the same names, in the browser.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

SENTENCES: Mapping[str, str] = MappingProxyType(
    {
        "repair": "tie in a repair heddle on shaft {planned} and thread end {end} through it",
        "cut": "cut off the heddle of end {end} on shaft {found}, tie it in again on shaft {planned}, and "
        "thread end {end} through it; where the frames open, slide it over instead",
        "cross": "thread ends {end} and {next} again, each through the other's heddle; if they cross between "
        "heddles and reed, only sley them again",
        "hang": "hang a new end {end} over the back beam from a weight, through a repair heddle on shaft "
        "{planned}, into the dent of a neighbor",
        "eye": "take end {end} out and thread it again, through the eye of its heddle",
        "out_before": "take out the end before end {end}; its place in the dent stays empty",
        "out_after": "take out the end after end {end}; its place in the dent stays empty",
        "close_before": "take out the end before end {end} and sley again from there to the nearer edge",
        "close_after": "take out the end after end {end} and sley again from there to the nearer edge",
        "sley": "sley again from end {first} to end {last}",
        "rethread": "thread and sley again from end {first} to end {last}",
        "rethread_edge": "thread and sley again from end {first} to the edge at end {last}",
        "carry": "first carry {count} of the heddles beyond the edge from shaft {planned} to shaft {found}",
        "repairs_one": "tie in a repair heddle on shaft {shafts}",
        "repairs": "tie in repair heddles on shafts {shafts}",
        "new_one": "hang a new end from a weight, into the dent of a neighbor",
        "new": "hang {count} new ends from weights, into the dents of neighbors",
        "new_edge_one": "hang a new end at the edge from a weight",
        "new_edge": "hang {count} new ends at the edge from weights",
        "out_one": "take out an end; its place in the dent stays empty",
        "out": "take out {count} ends; their places in the dents stay empty",
        "out_edge_one": "take out an end at the edge",
        "out_edge": "take out {count} ends at the edge",
        "tie_rises": "tie the treadle of picks {picks} again, so that shaft {shaft} rises",
        "tie_sinks": "tie the treadle of picks {picks} again, so that shaft {shaft} stays down",
        "leave_one": "leave pick {picks} as it is: it is test weave",
        "leave": "leave picks {picks} as they are: it is test weave",
        "unweave_one": "unweave the last pick and weave it again",
        "cross_so": "thread ends {end} and {next} again, each through the other's heddle",
        "skip_so": "take end {end} out",
        "hang_so": "hang a new end before end {end} from a weight, through a repair heddle on shaft {found}",
        "thread_so": "tie in a repair heddle on shaft {found} and thread end {end} through it",
        "unweave": "unweave {count} picks and weave again from pick {pick}",
    }
)


# A slip, after the end or the pick where it is.
SLIPS: Mapping[str, str] = MappingProxyType(
    {
        "on": "on shaft {found}, planned on shaft {planned}",
        "off": "not threaded, planned on shaft {planned}",
        "crossed": "crossed: on shafts {planned} and {found} the wrong way round",
        "skipped": "missing, planned on shaft {planned}",
        "extra_on": "one end too many before it, on shaft {found}",
        "extra_off": "one end too many before it, not threaded",
        "empty dent": "an empty dent before it",
        "crowded dent": "one end too many in its dent",
        "round its heddle": "round its heddle, not through the eye",
        "not_risen": "shaft {planned} did not rise",
        "risen": "shaft {found} rose",
    }
)
# How a slip looks.
SIGNS: Mapping[str, str] = MappingProxyType(
    {
        "one end": "One end lies differently from its neighbors",
        "two ends": "Two ends side by side have changed places",
        "shift": "The pattern is shifted from one place on",
        "gap": "A gap between two ends",
        "crowded": "A dense line: ends too close together",
        "late": "One end hangs loose or moves late",
    }
)
# What a sign may be, and what mends it (common practice, no source).
MEANS: tuple[tuple[str, str, str], ...] = (
    (SIGNS["one end"], "On a wrong shaft, or not threaded", "A repair heddle on the right shaft"),
    (
        SIGNS["two ends"],
        "Crossed in the heddles, or between heddles and reed",
        "Thread both again; crossed before the reed, only sley them again",
    ),
    (
        SIGNS["shift"],
        "A heddle skipped, an end missing, or one end too many",
        "A new end from a weight; or take the end out",
    ),
    (SIGNS["gap"], "An empty dent, or an end missing", "Sley again to the nearer edge; or a new end"),
    (SIGNS["crowded"], "An end too many in a dent", "Sley again to the nearer edge, or to an empty dent"),
    (SIGNS["late"], "Round its heddle, or slack", "Thread it again; tie it on again"),
    (
        "All ends of a shaft differ in one pick",
        "A wrong lift, or a treadle tied wrong",
        "Tie it again; the pick may stay",
    ),
)


def sentence(name: str, **values: int | str | None) -> str:
    """A sentence with its blanks filled in."""
    return SENTENCES[name].format(**values)


def counted(name: str, count: int) -> str:
    """The sentence for one, or for several."""
    return sentence(f"{name}_one" if count == 1 else name, count=count)


def listed(numbers: Sequence[int]) -> str:
    """
    >>> listed([3, 1, 2]), listed([4])
    ('1, 2 and 3', '4')
    """
    said = [str(number) for number in sorted(numbers)]
    return " and ".join([", ".join(said[:-1]), said[-1]] if said[1:] else said)
