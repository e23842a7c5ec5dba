"""Codes, devices, wrong codes: who may join, for how long, and how many wrong codes are allowed.

Neither a code nor a token is stored: only hashes keyed with the home's secret, so that a copied database
or another home lets nobody in.
"""

from __future__ import annotations

import secrets
import sqlite3
import time
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.translation import gettext as _

from loomready.app.models import Code, Device, WrongCode
from loomready.app.sharing.roles import Role
from loomready.problems import BadInput

ALPHABET = "234679ACDEFGHJKMNPQRTUVWXY"  # no two that look alike: no 0 O, 1 I L, 5 S, 8 B, Z
LENGTH, GROUP = 8, 4
LASTS = timedelta(minutes=10)
MOST_WRONG = 20  # by all together,
WITHIN = timedelta(minutes=10)  # in so long; then nobody joins
CLOSED_FOR = timedelta(minutes=10)
SEEN_EVERY = timedelta(minutes=1)
MAX_NAME = 40
_OWNER = Role.OWNER.word
_CALENDAR_LETTERS = 32
_MOST_DIGITS = 12  # of the number of a device
_OWNERS = 0  # stands for that number where the owner takes an address
# When codes end and since when the last wrong one is known, by a clock that nobody sets: after a restart the
# times in the database hold, but for no longer than if they began then.
_ends: dict[str, float] = {}
_wrong_since: dict[tuple[int, datetime], float] = {}
_seen: dict[str, datetime] = {}  # by hashed token: seen while looking, not written yet


@dataclass(frozen=True, slots=True)
class Member:
    """A member: the owner at this machine, or a device that joined."""

    name: str
    role: Role
    device: int | None = None

    @property
    def edits(self) -> bool:
        return self.role >= Role.KEEPER

    @property
    def owns(self) -> bool:
        return self.role >= Role.OWNER


class Closed(Exception):
    """Too many wrong codes: nobody joins until then."""

    def __init__(self, until: datetime) -> None:
        super().__init__("closed")
        self.until = until

    @property
    def minutes(self) -> int:
        """Whole minutes that are left, at least 1."""
        return minutes_until(self.until)


def minutes_until(moment: datetime) -> int:
    return max(1, -((timezone.now() - moment) // timedelta(minutes=1)))


def owner() -> Member:
    named = Device.objects.filter(role=_OWNER).first()
    return Member(named.name if named else _("here"), Role.OWNER)


def name_owner(name: str) -> None:
    """The owner's name in the history; none: "here".

    :raises BadInput: no name, or another's
    """
    made = _proper(name)
    with transaction.atomic():
        Device.objects.filter(role=_OWNER).delete()
        if not made or made.casefold() == _("here").casefold():
            return
        if made.casefold() in _taken():
            raise BadInput(_("a device has this name already; choose another"), where="name")
        Device.objects.create(name=made, role=_OWNER)


def devices() -> QuerySet[Device]:
    return Device.objects.filter(token__isnull=False)


def open_codes() -> QuerySet[Code]:
    now = timezone.now()
    return Code.objects.filter(
        pk__in=[code.pk for code in Code.objects.filter(until__gt=now) if _is_open(code, now)]
    )


def _is_open(code: Code, now: datetime) -> bool:
    left = min(code.until - now, LASTS).total_seconds()
    return time.monotonic() < _ends.setdefault(code.hash, time.monotonic() + left)


def invite(role: Role, name: str) -> tuple[str, Code]:
    """A code for one device, grouped to be read aloud.

    :raises BadInput: the name is not a line of text
    """
    if role not in (Role.HELPER, Role.KEEPER):
        raise BadInput(_("choose helper or keeper"), where="role")
    text = "".join(secrets.choice(ALPHABET) for _each in range(LENGTH))
    Code.objects.exclude(pk__in=list(open_codes().values_list("pk", flat=True))).delete()
    made = Code.objects.create(
        hash=_hash("code", text), name=_proper(name), role=role.word, until=timezone.now() + LASTS
    )
    _ends[made.hash] = time.monotonic() + LASTS.total_seconds()
    return grouped(text), made


def grouped(text: str) -> str:
    return "-".join(text[at : at + GROUP] for at in range(0, len(text), GROUP))


def join(text: str, name: str, instead_of: int | None = None) -> tuple[Device, str]:
    """Let a device in: its record, and the token that it has to keep.

    :param instead_of: the device that it was so far, if it comes in with another role
    :raises Closed: too many wrong codes; :raises BadInput: this one is wrong, used or run out
    """
    code = "".join(letter for letter in text.upper() if letter.isalnum())
    if len(code) != LENGTH or set(code) - set(ALPHABET):
        raise BadInput(
            _("a code has %(length)d letters and numbers, like %(example)s")
            % {"length": LENGTH, "example": "KMQX-4793"},
            where="code",
        )
    wanted = _proper(name)
    with transaction.atomic():
        closed = closed_until()
        if closed is not None:
            raise Closed(closed)
        invited = _matching(_hash("code", code))
        if invited is None:
            _remember_wrong()
        else:
            Device.objects.filter(pk=instead_of).delete()
            token = secrets.token_urlsafe(32)
            device = Device.objects.create(
                name=_free(invited.name or wanted or _("guest")),
                role=invited.role,
                token=_hash("device", token),
                seen=timezone.now(),
            )
            invited.delete()
            return device, token
    raise BadInput(
        _("no device can join with this code: it is mistyped, already used, or expired"), where="code"
    )


def known(token: str) -> Device | None:
    """The device that holds this token, if it has not been withdrawn."""
    return Device.objects.filter(token=_hash("device", token)).first() if token else None


def saw(device: Device, *, write: bool) -> None:
    """Record that it was seen, once a minute at most.

    :param write: False while somebody only looks: it is held in memory until the next write of any device
    """
    now = timezone.now()
    if device.token is not None and (device.seen is None or now - device.seen >= SEEN_EVERY):
        _seen[device.token] = now
    if write:
        write_seen()


def write_seen() -> None:
    """Write when devices were seen last."""
    for token in list(_seen):
        moment = _seen.pop(token, None)
        if moment is not None:
            Device.objects.filter(token=token).update(seen=moment)


def listed() -> list[Device]:
    """The devices with the moment they were seen last, also where it is not written yet."""
    there = list(devices())
    for each in there:
        each.seen = max(filter(None, (each.seen, _seen.get(each.token or ""))), default=None)
    return there


def closed_until() -> datetime | None:
    """When joining opens again; None while it is open."""
    newest = WrongCode.objects.order_by("-pk").first()
    now = timezone.now()
    if newest is None or newest.at + CLOSED_FOR <= now:
        return None
    known = (newest.pk, newest.at)
    since = _wrong_since.get(known, time.monotonic())
    _wrong_since.clear()
    _wrong_since[known] = since
    left = CLOSED_FOR - timedelta(seconds=time.monotonic() - since)
    lately = WrongCode.objects.filter(at__gt=newest.at - WITHIN).count()
    if lately < MOST_WRONG or left <= timedelta(0):
        return None
    return min(newest.at + CLOSED_FOR, now + left)


def open_again() -> None:
    WrongCode.objects.all().delete()


def calendar_tokens(member: Member, people: Iterable[str]) -> dict[str, str]:
    """What the private address of each person's calendar ends with: for as long as this device is let in.

    :param people: their keys
    """
    number = member.device or _OWNERS
    device = _device_token(number)
    return {person: _calendar_token(number, device, person) for person in people}


def may_subscribe(token: str, person: str) -> bool:
    """Whether this is the end of a private address of this person's calendar."""
    number, _dash, _rest = token.partition("-")
    if not (number.isascii() and number.isdigit() and len(number) <= _MOST_DIGITS):
        return False
    device = _device_token(int(number))
    expected = _calendar_token(int(number), device or "", person)
    return constant_time_compare(token, expected) and device is not None


def _device_token(number: int) -> str | None:
    """What tells a device from a later one with its number; empty for the owner, None: it is not let in."""
    if number == _OWNERS:
        return ""
    return Device.objects.filter(pk=number, token__isnull=False).values_list("token", flat=True).first()


def _calendar_token(number: int, device: str | None, person: str) -> str:
    hashed = _hash("calendar", "/".join((f"{number}", device or "", person)))
    return f"{number}-{hashed[:_CALENDAR_LETTERS]}"


def cookie_name() -> str:
    """A cookie goes to every port of a machine: two homes on one need two names."""
    return f"device-{_hash('cookie', '')[:8]}"


def forget(copy: Path) -> None:
    """Take devices and codes out of a copy of the database, and what is left of them in its pages.

    A copy of an older home may not have their tables yet.
    """
    database = sqlite3.connect(copy, isolation_level=None)
    try:
        there = {name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        for table, which in (("code", ""), ("wrongcode", ""), ("device", " WHERE token IS NOT NULL")):
            if f"loomready_{table}" in there:
                database.execute(f"DELETE FROM loomready_{table}{which}")
        database.execute("VACUUM")
    finally:
        database.close()


def _matching(wanted: str) -> Code | None:
    """Each open code is compared, each in the same time."""
    found = [code for code in open_codes() if constant_time_compare(code.hash, wanted)]
    return found[0] if found else None


def _remember_wrong() -> None:
    now = timezone.now()
    WrongCode.objects.filter(at__lte=now - WITHIN - CLOSED_FOR).delete()
    WrongCode.objects.filter(at__gt=now).delete()  # the clock went back since
    WrongCode.objects.create(at=now)


def _hash(what: str, text: str) -> str:
    return salted_hmac(f"loomready {what}", text, algorithm="sha256").hexdigest()


def _proper(name: str) -> str:
    """:raises BadInput: no short line of text"""
    made = " ".join(name.split())
    if len(made) > MAX_NAME or not made.isprintable():
        raise BadInput(_("a name is one short line; expected at most %d letters") % MAX_NAME, where="name")
    return made


def _taken() -> set[str]:
    there = Device.objects.values_list("name", flat=True)
    return {each.casefold() for each in (*there, _("here"))}


def _free(wanted: str) -> str:
    """This name, or with a number where another has it: the history must tell them apart."""
    taken, made, number = _taken(), wanted, 1
    while made.casefold() in taken:
        number += 1
        made = f"{wanted} {number}"
    return made
