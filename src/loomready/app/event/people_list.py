"""The list of people who help."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from loomready.app.event.own_hours import own_key
from loomready.app.event.when import hours_said
from loomready.app.i18n.words import translated
from loomready.app.sharing.auth import member
from loomready.app.sharing.devices import calendar_tokens
from loomready.app.state.snapshot import Snapshot
from loomready.model.event import SKILLS, Person
from loomready.phrases import word


@dataclass(frozen=True, slots=True)
class PersonRow:
    """``own``: it is the person of this device; ``subscribe``: the private address of the calendar."""

    key: str
    name: str
    skills: str
    hours: tuple[str, ...]
    most: str
    own: bool
    subscribe: str


def rows(request: HttpRequest, snapshot: Snapshot) -> list[PersonRow]:
    own = own_key(request, snapshot)
    addresses = _addresses(request, [each.key for each in snapshot.guild.people])
    return [
        PersonRow(
            each.key,
            each.name,
            _skills(each),
            tuple(hours.text for hours in each.hours),
            "" if each.most_h is None else _("at most %s") % hours_said(each.most_h),
            each.key == own,
            addresses.get(each.key, ""),
        )
        for each in snapshot.guild.people
    ]


def _addresses(request: HttpRequest, people: Iterable[str]) -> dict[str, str]:
    """The private address of each person's calendar, for the calendar program of this device."""
    asks = member(request)
    if asks is None:
        return {}
    return {
        person: f"webcal://{request.get_host()}{reverse('event-subscribed', args=[person, token])}"
        for person, token in calendar_tokens(asks, people).items()
    }


def _skills(person: Person) -> str:
    can = ", ".join(translated(word(each)) for each in person.can)
    can = _("everything") if len(person.can) == len(SKILLS) else can or _("nothing alone")
    if not person.learning:
        return can
    learning = ", ".join(translated(word(each)) for each in person.learning)
    return _("%(can)s; learns %(learning)s") % {"can": can, "learning": learning}
