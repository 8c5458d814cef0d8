"""The `doctor` task: shows what is missing, what is doubtful, and how to fix it."""

from __future__ import annotations

import os
import stat
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from urllib.parse import urlsplit

from flask import current_app
from limits.storage import storage_from_string

from webapp.cards.rendering.errors import CardError
from webapp.commands.check_schema import check_schema
from webapp.commands.opened_app import opened_app
from webapp.ground import urls
from webapp.ground.action_errors import StorageUnavailableError
from webapp.ground.config import environment, is_hosted, unknown_settings
from webapp.ground.database.engine import damage_advice, database
from webapp.ground.errors import ConfigError, DatabaseDamagedError, StorageDamagedError
from webapp.ground.link_codes import CODE_LENGTH
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

_REACH_S = 5.0
#: Printed side of the code on a card [mm], about.
_CODE_MM = 25.0
_TRIAL_PAGE = '<!doctype html><html lang="en"><head><title>Trial</title></head><body><p>Trial 84 psi</p></body></html>'
_INSTALL_PANGO = _l(
    "Install Pango: `apt install libpango-1.0-0 libpangoft2-1.0-0` on Debian and Ubuntu, "
    "`brew install pango` on macOS, MSYS2's pango on Windows. Until then print a setup's "
    "page from the browser."
)


#: How a finding stands, as it is printed before it.
_STATES = {"ok": _l("ok"), "caution": _l("caution"), "missing": _l("missing")}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: how it stands, and what to do where it is not well."""

    state: Literal["ok", "caution", "missing"]
    text: str
    mend: str = ""


def examine() -> int:
    """Print every finding and return the exit code: 1 when something is missing, else 0."""
    findings: list[Finding] = []
    for finding in _all_findings():
        findings.append(finding)
        sys.stdout.write(f"{_STATES[finding.state]!s:>8}  {finding.text}\n")
        if finding.mend:
            sys.stdout.write(f"{'':>8}  -> {finding.mend}\n")
        sys.stdout.flush()
    return int(any(finding.state == "missing" for finding in findings))


def _all_findings() -> Iterator[Finding]:
    yield from (Finding("caution", sentence) for sentence in unknown_settings(environment()))
    try:
        with opened_app():
            for look in (look_at_data, look_at_database, look_at_counts, look_at_address, look_at_card):
                yield from look()
    except DatabaseDamagedError as error:
        yield Finding("missing", _("The database is damaged."), str(error))
    except ConfigError as error:
        yield Finding("missing", _("The settings contain an error."), str(error))


def look_at_data() -> Iterator[Finding]:
    """Look at the data folder and the secret key in it."""
    if current_app.config["DATA"] is None:
        yield Finding("ok", _("No data folder is needed: database and secret key are set."))
        return
    folder = Path(current_app.config["DATA"])
    try:
        probe = folder / f".doctor.{os.getpid()}"
        probe.write_bytes(b"x")
        probe.unlink()
        yield Finding("ok", _("The data folder %(folder)s can be written to.", folder=folder))
    except OSError as error:
        mend = _("Give yourself write access, or set SETUP_CARD_DATA to another folder.")
        yield Finding(
            "missing",
            _("The data folder %(folder)s cannot be written to: %(why)s.", folder=folder, why=error.strerror),
            mend,
        )
    key = folder / "secret_key"
    if os.name == "posix" and key.exists() and stat.S_IMODE(key.stat().st_mode) & 0o077:
        yield Finding("caution", _("Others on this machine can read the secret key."), f"chmod 600 {key}")
    else:
        yield Finding("ok", _("The secret key is set and private."))


def look_at_database() -> Iterator[Finding]:
    """Look whether the database answers and takes a save, at the version that this tool works with."""
    try:
        version, setups, missing = check_schema()
        database.try_to_save()
        yield Finding(
            "ok",
            _(
                "The database answers, tables at version %(version)s, %(setups)s setups stored.",
                version=version,
                setups=setups,
            ),
        )
        if missing:
            told = _("The tables lack %(what)s.", what=", ".join(missing))
            yield Finding("missing", told, _("Restore a backup: setup-card restore FILE --replace."))
    except StorageDamagedError as error:
        path = str(database.engine.url.database)
        yield Finding("missing", _("The database is damaged."), damage_advice(path, error))
    except StorageUnavailableError as error:
        mend = _(
            "Stop the program that locks the database, free disk space, give yourself write access to its file, or "
            "check DATABASE_URL."
        )
        yield Finding("missing", _("The database does not answer: %(error)s.", error=error), mend)


def look_at_counts() -> Iterator[Finding]:
    """Try the store that processes share their counts of requests in, where one is set."""
    uri = str(current_app.config["RATELIMIT_STORAGE_URI"])
    address = urlsplit(uri)
    if not address.scheme.startswith("redis"):
        return
    place = address.hostname or address.path  # no user and no password
    if storage_from_string(uri, **current_app.config.get("RATELIMIT_STORAGE_OPTIONS", {})).check():
        yield Finding("ok", _("Redis at %(place)s answers.", place=place))
        return
    yield Finding(
        "missing",
        _("Redis at %(place)s does not answer. Each process counts requests alone.", place=place),
        _("Start Redis, or check SETUP_CARD_REDIS_URL."),
    )


def look_at_address() -> Iterator[Finding]:
    """Look whether the address on printed cards will lead back here."""
    base = urls.base_url()
    if urls.opens_later():
        later = current_app.config["TAKE_HOME_URL"]
        yield Finding("ok", _("Printed cards lead to %(later)s, where these setups will live later.", later=later))
    elif urls.is_local_card():
        mend = _("Set SETUP_CARD_PUBLIC_BASE_URL to the address that riders' phones reach.")
        yield Finding(
            "caution", _("Cards lead to %(base)s, which works on this machine or network only.", base=base), mend
        )
    elif not is_hosted(current_app.config):
        mend = _("Use https:// behind a proxy with a certificate.")
        yield Finding("caution", _("Cards lead to %(base)s without encryption.", base=base), mend)
    yield _reach(f"{base}/healthz")


def _reach(address: str) -> Finding:
    request = urllib.request.Request(address, headers={"User-Agent": "setup-card doctor"})  # noqa: S310 - http(s), checked
    try:
        with urllib.request.urlopen(request, timeout=_REACH_S) as answer:  # noqa: S310
            if answer.read(3) == b"ok\n":
                return Finding("ok", f"{address} answers.")
            return Finding(
                "caution",
                _("%(address)s answers, but not as this tool.", address=address),
                _("Check the address and the proxy."),
            )
    except (OSError, ValueError, urllib.error.URLError) as error:
        reason = getattr(error, "reason", error)
        mend = _("Start `setup-card serve`. If it is running, check the address, DNS, firewall and proxy.")
        return Finding("caution", _("%(address)s was not reached: %(reason)s.", address=address, reason=reason), mend)


def look_at_card() -> Iterator[Finding]:
    """Print a trial page and draw a trial code in memory: Pango, WeasyPrint, the font and the QR code."""
    yield _trial_code()
    try:
        from webapp.cards.rendering.pdf import write_card
    except (ImportError, OSError) as error:
        yield Finding(
            "missing", _("Cards cannot be printed as PDF: %(why)s", why=_first_line(error)), str(_INSTALL_PANGO)
        )
        return
    try:
        pdf = write_card(_TRIAL_PAGE, ("print.css",))
    except (OSError, ValueError, RuntimeError, CardError) as error:
        mend = _("Reinstall the tool. Its style sheet and fonts come with it.")
        yield Finding("missing", _("A trial card failed: %(why)s", why=_first_line(error)), mend)
        return
    yield Finding(
        "ok",
        _("A trial card was printed (%(size)s bytes); the card's style sheets and fonts are there.", size=len(pdf)),
    )


def _trial_code() -> Finding:
    from webapp.cards.rendering.qr import draw_qr

    address = urls.card_address("0" * CODE_LENGTH)
    try:
        code = draw_qr(address, _CODE_MM)
    except (ImportError, ValueError) as error:
        mend = _("Use a shorter SETUP_CARD_PUBLIC_BASE_URL.")
        return Finding("missing", _("The QR code cannot be drawn: %(why)s", why=_first_line(error)), mend)
    return Finding(
        "ok",
        _(
            "The QR code has modules of %(module)s mm at %(side)s mm.",
            module=numbers.number(code.module_mm(_CODE_MM), 2),
            side=numbers.general(_CODE_MM),
        ),
    )


def _first_line(error: Exception) -> str:
    return str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
