"""What pages and sheets share: spans of numbers, runs folded into patterns."""

from __future__ import annotations

from collections.abc import Sequence

_LONGEST_PATTERN = 16  # runs of color that are looked at as one stripe pattern


def span(first: int, last: int) -> str:
    """``span(3, 9)`` is "3–9", ``span(3, 3)`` "3"."""
    return f"{first:,}" if first == last else f"{first:,}–{last:,}"


def spans(numbers: Sequence[int]) -> list[str]:
    """Rising numbers in short.

    >>> spans([1, 2, 3, 7, 9, 10])
    ['1–3', '7', '9–10']
    """
    made: list[tuple[int, int]] = []
    for number in numbers:
        if made and made[-1][1] == number - 1:
            made[-1] = (made[-1][0], number)
        else:
            made.append((number, number))
    return [span(*each) for each in made]


def stripes(runs: Sequence[tuple[str, int]]) -> list[tuple[int, list[tuple[str, int]]]]:
    """Runs of color folded into patterns that repeat, as (times, runs), in order.

    >>> stripes([("a", 1), ("b", 1), ("a", 1), ("b", 1), ("a", 6)])
    [(2, [('a', 1), ('b', 1)]), (1, [('a', 6)])]
    """
    folded: list[tuple[int, list[tuple[str, int]]]] = []
    at = 0
    while at < len(runs):
        times, length = 1, 1
        for size in range(2, min(_LONGEST_PATTERN, (len(runs) - at) // 2) + 1):
            again = 1
            while runs[at + again * size : at + (again + 1) * size] == runs[at : at + size]:
                again += 1
            if again > 1 and again * size > times * length:
                times, length = again, size
        pattern = list(runs[at : at + length])
        if times == 1 and folded and folded[-1][0] == 1:
            folded[-1][1].extend(pattern)
        else:
            folded.append((times, pattern))
        at += times * length
    return folded


def folded(groups: list[int]) -> str:
    """Groups in short.

    >>> folded([5, 10, 10, 10, 3]), folded([4, 10, 11, 10, 11])
    ('5 · 10 × 3 · 3', '4 · (10 · 11) × 2')
    """
    parts: list[tuple[str, int]] = []
    for group in map(str, groups):
        if parts and parts[-1][0] == group:
            parts[-1] = (group, parts[-1][1] + 1)
        else:
            parts.append((group, 1))
    told = []
    for times, pattern in stripes(parts):
        inner = " · ".join(group if again == 1 else f"{group} × {again}" for group, again in pattern)
        told.append(f"({inner}) × {times}" if times > 1 else inner)
    return " · ".join(told)
