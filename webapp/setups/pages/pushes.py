"""What a scale and pushes have shown of one end, as the strings of a setup's page."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup, Setup
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _


@dataclass(frozen=True, slots=True)
class PushesPage:
    """The pushes of one end for the plot and its table: points and curve in mm and N, and every word."""

    points: tuple[tuple[float, float], ...]
    curve: tuple[tuple[float, float], ...]
    label: str
    title: str
    words: str
    rows: tuple[tuple[str, str, str], ...]


def present_pushes(end: EndSetup) -> PushesPage | None:
    """Return the pushes of an end, None where there were none."""
    pushed = end.pushed
    if pushed is None:
        return None
    psi = numbers.psi(pushed.pressure_pa)
    measured = tuple(zip(pushed.compression_mm, pushed.force_n, strict=True))
    return PushesPage(
        points=measured,
        curve=tuple(zip(pushed.curve_mm, pushed.curve_n, strict=True)),
        label=_("pushed"),
        title=_("Your pushes at %(psi)s psi", psi=psi),
        words=_(
            "The squares are your pushes at %(psi)s psi, each between down and up. The thin line is the air spring "
            "that fits them best. Friction is about %(friction)s N either way.",
            psi=psi,
            friction=numbers.number(pushed.friction_n),
        ),
        rows=tuple(
            (numbers.halves(mm), numbers.number(force), _with_sign(off))
            for (mm, force), off in zip(measured, pushed.residual_n, strict=True)
        ),
    )


def _with_sign(force_n: float) -> str:
    text = numbers.number(abs(force_n))
    return f"+{text}" if round(force_n) > 0 else f"−{text}" if round(force_n) < 0 else text


def scale_fact(end: EndSetup, setup: Setup) -> tuple[tuple[str, str], ...]:
    """Return the share on this wheel as the scale showed it; empty where nobody weighed it."""
    found = next((note for note in setup.reasons if note.code == f"{end.end}_scale"), None)
    if found is None:
        return ()
    share = found.said.values["share"]
    return ((_("On this wheel, by your scale"), _("%(share)s %% of rider, kit and bike", share=share)),)
