"""A catalog that marks what it translates: what stands outside the marks was never looked up."""

from __future__ import annotations

import re

OPEN, CLOSE = "⟦", "⟧"


class Marked:
    """Every text comes back between marks. With gettext's own names."""

    def __init__(self, opening: str = OPEN, closing: str = CLOSE) -> None:
        self.opening, self.closing = opening, closing

    def gettext(self, message: str) -> str:
        return f"{self.opening}{message}{self.closing}"

    def ngettext(self, singular: str, plural: str, count: int) -> str:
        return self.gettext(singular if count == 1 else plural)

    def left_out(self, text: str) -> set[str]:
        """The words of a text that stand outside all marks."""
        depth, outside = 0, []
        for sign in text:
            depth += (sign == self.opening) - (sign == self.closing)
            outside.append(sign if depth == 0 and sign != self.closing else " ")
        assert depth == 0, f"marks that do not match: {text!r}"
        return set(re.findall(r"[^\W\d_][^\W_]*(?:-[\w]+)*", "".join(outside)))
