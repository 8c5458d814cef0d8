"""`serve --lan`: a laptop on a field's own network, over plain http: its address, what phones can do there."""

from __future__ import annotations

import contextlib
import ipaddress
import socket
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from flask import Flask

from webapp.cards.rendering.qr import qr_as_text
from webapp.ground.errors import ConfigError
from webapp.ground.text.i18n import gettext as _

#: Addresses that a packet would be sent to from each kind of network; none is sent to find out which way it would go.
#: The first is for documentation (RFC 5737), the others end private networks (RFC 1918).
_PROBES: Final = ("192.0.2.1", "192.168.255.254", "10.255.255.254", "172.31.255.254")
#: Black on white in a terminal, whatever its own colours are, and back.
_ON_WHITE, _PLAIN = "\x1b[30;107m", "\x1b[0m"


@dataclass(frozen=True, slots=True)
class Network:
    """Where phones reach this machine: its likeliest address, and others that it has."""

    address: str
    others: tuple[str, ...] = ()


def own_address() -> str | None:
    """Return this machine's likeliest address on its network, None where it has none."""
    return next(iter(own_addresses()), None)


def own_addresses() -> tuple[str, ...]:
    """Return this machine's IPv4 addresses on its networks, the likeliest first."""
    found = [address for probe in _PROBES if (address := _address_towards(probe))]
    with contextlib.suppress(OSError):  # the machine's own name may be in no list of names
        found += [str(one[4][0]) for one in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)]
    real = (one for one in found if not ipaddress.ip_address(one).is_loopback and one != "0.0.0.0")  # noqa: S104
    return tuple(dict.fromkeys(real))


def _address_towards(probe: str) -> str | None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        try:
            line.connect((probe, 9))
        except OSError:
            return None
        return str(line.getsockname()[0])


def find_network(port: int) -> Network:
    """Return where phones reach this machine.

    Raises
    ------
    ConfigError
        When it is on no network.
    """
    first, *others = own_addresses() or (None,)
    if first is None:
        raise ConfigError(
            _("This machine is on no network. Connect it to the Wi-Fi that the phones use, then start it again.")
        )
    return Network(f"http://{first}:{port}", tuple(f"http://{one}:{port}" for one in others if one))


def lan_settings(given: Mapping[str, Any], network: Network) -> dict[str, Any]:
    """Return the settings for plain http on this network: no proxy stands in front, every own address is answered."""
    return {**given, "PUBLIC_BASE_URL": network.address, "PROXY_HOPS": 0, "TRUSTED_HOSTS": None, "FIELD_NETWORK": True}


def lan_cautions(given: Mapping[str, Any], app: Flask, network: Network) -> list[str]:
    """Return what does not go together: an https address that is not served here, cards without a code."""
    cautions = []
    public = str(given.get("PUBLIC_BASE_URL") or "")
    if public.startswith("https://"):
        cautions.append(
            _(
                "SETUP_CARD_PUBLIC_BASE_URL is %(public)s, but --lan serves plain http. Here the address is "
                "%(address)s instead: with the other one, log-ins and forms would fail again and again.",
                public=public,
                address=network.address,
            )
        )
    if not app.config["TAKE_HOME_URL"]:
        cautions.append(
            _(
                "Cards are printed without a QR code, as it would not work at home. If you move this day to a server "
                "later, set SETUP_CARD_TAKE_HOME_URL to that server's address before you print."
            )
        )
    return cautions


def lan_words(network: Network) -> str:
    """Return what to print for the crew: the address as text and as a code, and what phones can do there."""
    code = qr_as_text(network.address)
    if sys.stdout.isatty():
        code = "\n".join(f"{_ON_WHITE}{line}{_PLAIN}" for line in code.split("\n"))
    lines = [
        _("Phones on the same network open %(address)s/ or scan this:", address=network.address),
        code,
        *(_("If that does not open, try %(address)s/", address=one) for one in network.others),
        _("If nothing opens, allow this port in the firewall. Guest networks often keep devices apart."),
        _("Over plain http a page cannot use the camera, keep anything for offline use, or keep the screen on."),
        _("The phone's own camera app opens codes all the same."),
        _("Anyone on this network can read along. Use a Wi-Fi with a password that only the crew has."),
    ]
    return "\n".join(lines)
