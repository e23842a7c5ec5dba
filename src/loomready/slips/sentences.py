"""What a step of mending says, once for the command line, the sheets and the page without a network.

Blanks in braces are filled in here and, by the same names, in the browser.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from loomready.phrases import Part, Phrase, filled, listed_with_and, phrase, template

SENTENCES: Mapping[str, str] = MappingProxyType(
    {
        "repair": template("tie in a repair heddle on shaft {planned} and thread end {end} through it"),
        "cut": template(
            "cut off the heddle of end {end} on shaft {found}, tie it in again on shaft {planned}, and "
            "thread end {end} through it; where the frames open, slide it over instead"
        ),
        "cross": template(
            "thread ends {end} and {next} again, each through the other's heddle; if they cross between "
            "heddles and reed, only sley them again"
        ),
        "hang": template(
            "hang a new end {end} over the back beam from a weight, through a repair heddle on shaft "
            "{planned}, into the dent of a neighbor"
        ),
        "eye": template("take end {end} out and thread it again, through the eye of its heddle"),
        "out_before": template("take out the end before end {end}; its place in the dent stays empty"),
        "out_after": template("take out the end after end {end}; its place in the dent stays empty"),
        "close_before": template(
            "take out the end before end {end} and sley again from there to the nearer edge"
        ),
        "close_after": template(
            "take out the end after end {end} and sley again from there to the nearer edge"
        ),
        "sley": template("sley again from end {first} to end {last}"),
        "rethread": template("thread and sley again from end {first} to end {last}"),
        "rethread_edge": template("thread and sley again from end {first} to the edge at end {last}"),
        "carry": template(
            "first carry {count} of the heddles beyond the edge from shaft {planned} to shaft {found}"
        ),
        "repairs_one": template("tie in a repair heddle on shaft {shafts}"),
        "repairs": template("tie in repair heddles on shafts {shafts}"),
        "new_one": template("hang a new end from a weight, into the dent of a neighbor"),
        "new": template("hang {count} new ends from weights, into the dents of neighbors"),
        "new_edge_one": template("hang a new end at the edge from a weight"),
        "new_edge": template("hang {count} new ends at the edge from weights"),
        "out_one": template("take out an end; its place in the dent stays empty"),
        "out": template("take out {count} ends; their places in the dents stay empty"),
        "out_edge_one": template("take out an end at the edge"),
        "out_edge": template("take out {count} ends at the edge"),
        "tie_rises": template("tie the treadle of picks {picks} again, so that shaft {shaft} rises"),
        "tie_sinks": template("tie the treadle of picks {picks} again, so that shaft {shaft} stays down"),
        "treadle_rises": template(
            "tie treadle {treadle} again, so that shaft {shaft} rises: on picks {picks}, all that press it, "
            "it did not"
        ),
        "treadle_sinks": template(
            "tie treadle {treadle} again, so that shaft {shaft} stays down: on picks {picks}, all that press "
            "it, it rose"
        ),
        "press_rises_one": template(
            "press treadle {treadles} again: if shaft {shaft} stays down, tie the treadle again; if it "
            "rises, the treadle was pressed wrong, and pick {pick} may stay: it is test weave"
        ),
        "press_rises": template(
            "press treadles {treadles} again: if shaft {shaft} stays down, tie one of them again; if it "
            "rises, one was forgotten, and pick {pick} may stay: it is test weave"
        ),
        "press_sinks_one": template(
            "press treadle {treadles} again: if shaft {shaft} rises, tie the treadle again; if it "
            "stays down, the treadle was pressed wrong, and pick {pick} may stay: it is test weave"
        ),
        "press_sinks": template(
            "press treadles {treadles} again: if shaft {shaft} rises, tie one of them again; if it "
            "stays down, another was pressed, and pick {pick} may stay: it is test weave"
        ),
        "leave_one": template("leave pick {picks} as it is: it is test weave"),
        "leave": template("leave picks {picks} as they are: it is test weave"),
        "unweave_one": template("unweave the last pick and weave it again"),
        "cross_so": template("thread ends {end} and {next} again, each through the other's heddle"),
        "skip_so": template("take end {end} out"),
        "hang_so": template(
            "hang a new end before end {end} from a weight, through a repair heddle on shaft {found}"
        ),
        "thread_so": template("tie in a repair heddle on shaft {found} and thread end {end} through it"),
        "unweave": template("unweave {count} picks and weave again from pick {pick}"),
    }
)


# A slip, after the end or the pick where it is.
SLIPS: Mapping[str, str] = MappingProxyType(
    {
        "on": template("on shaft {found}, planned on shaft {planned}"),
        "off": template("not threaded, planned on shaft {planned}"),
        "crossed": template("crossed: on shafts {planned} and {found} the wrong way round"),
        "skipped": template("missing, planned on shaft {planned}"),
        "extra_on": template("one end too many before it, on shaft {found}"),
        "extra_off": template("one end too many before it, not threaded"),
        "empty dent": template("an empty dent before it"),
        "crowded dent": template("one end too many in its dent"),
        "round its heddle": template("round its heddle, not through the eye"),
        "not_risen": template("shaft {planned} did not rise"),
        "risen": template("shaft {found} rose"),
    }
)
# How a slip looks.
SIGNS: Mapping[str, str] = MappingProxyType(
    {
        "one end": template("One end lies differently from its neighbors"),
        "two ends": template("Two ends side by side have changed places"),
        "shift": template("The pattern is shifted from one place on"),
        "gap": template("A gap between two ends"),
        "crowded": template("A dense line: ends too close together"),
        "late": template("One end hangs loose or moves late"),
    }
)
# What a sign may be, and what mends it (common practice, no source).
MEANS: tuple[tuple[Phrase, Phrase, Phrase], ...] = (
    (
        filled(SIGNS["one end"]),
        phrase("On a wrong shaft, or not threaded"),
        phrase("A repair heddle on the right shaft"),
    ),
    (
        filled(SIGNS["two ends"]),
        phrase("Crossed in the heddles, or between heddles and reed"),
        phrase("Thread both again; crossed before the reed, only sley them again"),
    ),
    (
        filled(SIGNS["shift"]),
        phrase("A heddle skipped, an end missing, or one end too many"),
        phrase("A new end from a weight; or take the end out"),
    ),
    (
        filled(SIGNS["gap"]),
        phrase("An empty dent, or an end missing"),
        phrase("Sley again to the nearer edge; or a new end"),
    ),
    (
        filled(SIGNS["crowded"]),
        phrase("An end too many in a dent"),
        phrase("Sley again to the nearer edge, or to an empty dent"),
    ),
    (
        filled(SIGNS["late"]),
        phrase("Round its heddle, or slack"),
        phrase("Thread it again; tie it on again"),
    ),
    (
        phrase("All ends of a shaft differ in one pick"),
        phrase("A wrong lift, or a treadle tied wrong"),
        phrase("Tie it again; the pick may stay"),
    ),
)
_UNTIED = (
    phrase("All ends of a shaft differ in one pick"),
    phrase("A wrong lift"),
    phrase("Unweave the pick and lift again; or let it stay, it is test weave"),
)


def means(*, treadles_are_tied: bool) -> tuple[tuple[Phrase, Phrase, Phrase], ...]:
    """What signs may be, on a loom whose treadles are tied for the draft, or on one where none is."""
    return MEANS if treadles_are_tied else (*MEANS[:-1], _UNTIED)


def sentence(name: str, **values: Part | None) -> Phrase:
    """A sentence with its blanks filled in."""
    return filled(SENTENCES[name], **{key: value for key, value in values.items() if value is not None})


def counted(name: str, count: int) -> Phrase:
    """The sentence for one, or for several."""
    return sentence(f"{name}_one" if count == 1 else name, count=count)


def in_order(numbers: Sequence[int]) -> Phrase:
    """
    >>> in_order([3, 1, 2]), in_order([4])
    ('1, 2 and 3', '4')
    """
    return listed_with_and(map(str, sorted(numbers)))
