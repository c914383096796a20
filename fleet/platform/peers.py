"""Whose request it is: the client's address and that of a proxy of our own, told apart.

Knows no models: the lines of the log ask it.
"""

import ipaddress

from django.conf import settings
from django.http import HttpRequest


def address_of(request: HttpRequest) -> str:
    """Return the caller's address: the connection's, or what the own proxy says.

    Of X-Forwarded-For only the last entry counts, and only behind a proxy: the proxy
    wrote that one itself, whoever wrote the others.
    """
    if is_from_proxy(request):
        forwarded = request.headers.get("X-Forwarded-For", "")
        last = forwarded.rpartition(",")[2].strip()
        if last:
            return last[:45]
    return str(request.META.get("REMOTE_ADDR", ""))[:45]


def counted_as(request: HttpRequest) -> str:
    """Return by what a caller's tries are counted.

    One host has a whole /64 of addresses of IPv6 (RFC 4291, 2.5.1) and may use another
    one for each try; that network is one caller.
    """
    found = address_of(request)
    try:
        address = ipaddress.ip_address(found.partition("%")[0])
    except ValueError:
        return found
    if isinstance(address, ipaddress.IPv4Address):
        return str(address)
    if address.ipv4_mapped is not None:
        return str(address.ipv4_mapped)
    return str(ipaddress.ip_network((address, 64), strict=False))


def is_from_proxy(request: HttpRequest) -> bool:
    """Tell whether the connection comes from a proxy of our own.

    Through a socket of the machine it has no address, and only the proxy gets there.
    """
    if not settings.BEHIND_PROXY:
        return False
    peer = str(request.META.get("REMOTE_ADDR", ""))
    if not (peer and settings.PROXY_ADDRESSES):
        return True
    try:
        address = ipaddress.ip_address(peer)
    except ValueError:
        return False
    return any(address in network for network in settings.PROXY_ADDRESSES)
