"""Who counts as one client on the network: an IPv4 address, or all 2^64 IPv6 addresses that one line is given."""

from __future__ import annotations

import ipaddress

#: Bits of an IPv6 address that a provider hands to one line at least (RFC 6177); the rest its holder chooses freely.
_IPV6_BITS = 64


def client_network(address: str | None) -> str:
    """Return the network that stands for a client; a text that is no address stands for itself.

    Examples
    --------
    >>> client_network("198.51.100.7"), client_network("2001:db8:1:2:3::4"), client_network("::ffff:198.51.100.7")
    ('198.51.100.7', '2001:db8:1:2::/64', '198.51.100.7')
    """
    text = address or ""
    try:
        found = ipaddress.ip_address(text.partition("%")[0])
    except ValueError:
        return text
    if isinstance(found, ipaddress.IPv4Address):
        return str(found)
    if found.ipv4_mapped is not None:
        return str(found.ipv4_mapped)
    return str(ipaddress.ip_network((found, _IPV6_BITS), strict=False))
