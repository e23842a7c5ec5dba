"""The addresses under which other devices on the network reach this machine. Nothing is sent to find out."""

from __future__ import annotations

import contextlib
import ipaddress
import socket
import struct
import sys

_ELSEWHERE = ("198.51.100.1", 9)  # RFC 5737: a documentation address, which belongs to nobody
_ASK_ADDRESS = {"linux": 0x8915, "darwin": 0xC0206921}  # SIOCGIFADDR


def of_this_machine() -> list[str]:
    """IPv4 addresses of its networks, the one towards everything else first; empty without a network."""
    found = [_towards_elsewhere(), *_of_interfaces()]
    return [each for each in dict.fromkeys(found) if each and is_in_a_network(each)]


def is_in_a_network(text: str) -> bool:
    """Whether another device could reach it: no loopback, no self-given or unset address."""
    try:
        made = ipaddress.ip_address(text)
    except ValueError:
        return False
    return not (made.is_loopback or made.is_link_local or made.is_unspecified or made.is_multicast)


def is_loopback(text: str) -> bool:
    """Whether a socket's peer with this address is a program on this machine that asked for loopback."""
    try:
        made = ipaddress.ip_address(text)
    except ValueError:
        return False
    mapped = made.ipv4_mapped if isinstance(made, ipaddress.IPv6Address) else None
    return (mapped or made).is_loopback


def _towards_elsewhere() -> str:
    """The address that the routing table would send from; connecting a datagram socket sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as trial:
        try:
            trial.connect(_ELSEWHERE)
            return str(trial.getsockname()[0])
        except OSError:
            return ""


def _of_interfaces() -> list[str]:
    ask = _ASK_ADDRESS.get(sys.platform)
    if ask is None:
        return _of_own_name()
    import fcntl

    found = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        for _number, name in socket.if_nameindex():
            request = struct.pack("256s", name.encode()[:15])
            with contextlib.suppress(OSError):  # an interface without an address
                answer = fcntl.ioctl(asked.fileno(), ask, request)
                found.append(socket.inet_ntoa(answer[20:24]))
    return found


def _of_own_name() -> list[str]:
    """Windows knows the addresses of its own name without asking the network."""
    try:
        return list(socket.gethostbyname_ex(socket.gethostname())[2]) if sys.platform == "win32" else []
    except OSError:
        return []
