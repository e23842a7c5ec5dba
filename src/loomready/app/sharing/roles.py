"""Who may do what: a table by the names of addresses. Anything not listed is for the owner only."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

LOOKING = frozenset({"GET", "HEAD", "OPTIONS"})


class Role(IntEnum):
    """Each may do what those before it may."""

    NOBODY = 0
    HELPER = 1
    KEEPER = 2
    OWNER = 3

    @property
    def word(self) -> str:
        return self.name.lower()

    @classmethod
    def of(cls, word: str) -> Role:
        """The role of a device, as it is stored; an unknown word is not a role."""
        return {"helper": cls.HELPER, "keeper": cls.KEEPER}.get(word, cls.NOBODY)


@dataclass(frozen=True, slots=True)
class Rule:
    """The least role that may view an address, and the least that may post to it."""

    look: Role
    send: Role


OPEN = Rule(Role.NOBODY, Role.NOBODY)
EVERYBODY = Rule(Role.HELPER, Role.HELPER)
KEEPERS = Rule(Role.HELPER, Role.KEEPER)
OWNERS = Rule(Role.OWNER, Role.OWNER)

_NAMES: dict[Rule, str] = {
    # The address of a calendar holds its own token, since a calendar program joins nobody.
    OPEN: "sharing-join event-subscribed",
    # Looking, weighing, ticking off; a packet is printed without changing anything.
    EVERYBODY: """
        home shelf looms warps shelf-weigh shelf-mistake shelf-ledger
        warps-step warps-wound-from warps-cut-early warps-cloth warps-cloth-whole warps-print
        work work-cancel work-file work-sheets work-sheet guild-file
        drafts-look drafts-thumb drafts-cloth drafts-diagram drafts-export
        sharing-pulse sharing-leave workshop-turn-cancel search search-offers
        event event-state event-own-hours event-sheet
    """,
    KEEPERS: """
        shelf-yarn shelf-yarn-new shelf-yarn-move shelf-yarn-remove
        shelf-cone shelf-cone-new shelf-cone-remove
        looms-new looms-loom looms-loom-remove looms-reed looms-reed-new looms-reed-name looms-reed-remove
        drafts drafts-version drafts-name drafts-copy drafts-remove
        warps-new warps-new-name warps-name warps-copy warps-plan warps-what-if warps-remedy
        warps-move warps-remove
        guild guild-undo
        loomside-board loomside-board-new loomside-board-remove loomside-board-use
        loomside-learned loomside-record-remove loomside-count loomside-slips-plan
    """,
    # A whole guild in or out, and who is let in.
    OWNERS: """
        start guild-backup guild-bring guild-bring-compare guild-bring-confirmed
        sharing-share sharing-code sharing-withdraw-code sharing-withdraw sharing-open-again sharing-name
        loomside-steps loomside-steps-remove loomside-steps-back
    """,
}
_RULES = {name: rule for rule, names in _NAMES.items() for name in names.split()}
_PREFIXES = {
    "loomside-": EVERYBODY,
    "workshop-": KEEPERS,
    "choosing-": KEEPERS,
    "event-": KEEPERS,
    "photos-": KEEPERS,
}


def rule_of(name: str) -> Rule | None:
    """The rule of an address by its name; None: it is not listed."""
    if name in _RULES:
        return _RULES[name]
    return next((rule for prefix, rule in _PREFIXES.items() if name.startswith(prefix)), None)


def needed(name: str, method: str) -> Role:
    """The least role that may do this."""
    rule = rule_of(name) or OWNERS
    return rule.look if method in LOOKING else rule.send
