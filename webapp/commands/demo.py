"""The `demo` task: an invented shop's setups, to look at and to print."""

from __future__ import annotations

import secrets
import sys
from typing import Any, Final

from setup_rules import read_request
from webapp import create_app
from webapp.accounts.actions.open_shop import find_shop, open_shop
from webapp.ground import urls
from webapp.ground.config import environment
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.save_unit import import_units
from webapp.library.parsing import read_unit
from webapp.setups.actions.create_setup import create_setup

#: Invented bikes of an invented hire fleet; any likeness to a bike on sale is an accident.
BIKES: Final[tuple[tuple[str, str, dict[str, Any]], ...]] = (
    (
        "Heron 1, red",
        "Fork air spring serviced",
        {
            "rider_mass_kg": 78,
            "riding_style": "trail",
            "bench": {"temperature_c": 20, "altitude_m": 300},
            "ride": {"temperature_c": 8, "altitude_m": 1400},
            "front": {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "max_pressure_psi": 150},
            "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "rebound_clicks": 14},
        },
    ),
    (
        "Heron 2, blue",
        "Fork travel changed from 150 to 130 mm",
        {
            "rider_mass_kg": 55,
            "riding_style": "trail",
            "front": {"travel_mm": 130, "longest_travel_mm": 150, "stanchion_mm": 34, "rebound_clicks": 16},
        },
    ),
    (
        "Swift, hardtail",
        "",
        {
            "rider_mass_kg": 68,
            "kit_mass_kg": 2,
            "bike_mass_kg": 10.5,
            "riding_style": "cross_country",
            "front": {"travel_mm": 100, "stanchion_mm": 32, "rebound_clicks": 20},
        },
    ),
    (
        "Badger, motor",
        "Shock seals renewed",
        {
            "rider_mass_kg": 96,
            "kit_mass_kg": 7,
            "bike_mass_kg": 24.5,
            "riding_style": "enduro",
            "front": {"travel_mm": 170, "stanchion_mm": 38, "rebound_clicks": 18, "compression_clicks": 12},
            "rear": {"stroke_mm": 65, "leverage_start": 2.8, "leverage_end": 2.3, "rebound_clicks": 12},
        },
    ),
    (
        "Otter, park",
        "Negative coil renewed",
        {
            "rider_mass_kg": 83,
            "bike_mass_kg": 16.5,
            "riding_style": "park",
            "front": {"travel_mm": 200, "stanchion_mm": 40, "negative_spring": "coil", "rebound_clicks": 15},
        },
    ),
)
SHOP: Final = "Lantern Lane Cycles (an invented shop)"


#: Invented units; their figures are made up, so that nobody takes them for a real one's.
UNITS: Final[tuple[dict[str, Any], ...]] = (
    {
        "kind": "fork",
        "name": "Fen 34",
        "note": "invented, for the demo",
        "stanchion_mm": 34,
        "travels_mm": [120, 130, 140, 150],
        "travel_spacers_mm": [10, 20],
        "min_pressure_psi": 40,
        "max_pressure_psi": 150,
        "rebound_clicks": 16,
        "max_volume_spacers": 4,
        "charts": [{"travel_mm": 140, "rows": [[55, 62], [70, 78], [85, 94], [100, 110]], "sag_percent": 20}],
    },
    {"kind": "fork", "name": "Reed 32", "stanchion_mm": 32, "travels_mm": [100, 120], "negative_spring": "coil"},
    {"kind": "shock", "name": "Sedge 55", "travels_mm": [55], "max_pressure_psi": 300, "rebound_clicks": 14},
)


def _fill_shop() -> None:
    """Open the invented shop with a password that nobody knows but who reads this run's output, and its units."""
    if find_shop(SHOP) is not None:
        return
    password = secrets.token_urlsafe(12)
    owner = open_shop(SHOP, "demo-owner", password)
    import_units(owner.shop_id, [read_unit(unit) for unit in UNITS])
    sys.stdout.write(
        _(
            "  Log in at %(address)s/shop/log-in as demo-owner with %(password)s",
            address=urls.base_url(),
            password=password,
        )
        + "\n"
    )


def fill() -> int:
    """Save the invented shop's setups, print their links, and return the exit code.

    Run again, it finds the ones it saved before instead of doubling them.
    """
    app = create_app(environment())
    with app.app_context():
        sys.stdout.write(f"{SHOP}\n")
        for label, note, request in BIKES:
            created = create_setup(
                read_request(request),
                bike_label=label,
                service_note=note,
                idempotency_key=f"demo {label}",
            )
            sys.stdout.write(f"  {label:<18} {urls.setup_url(created.saved.code)}\n")
        _fill_shop()
        sys.stdout.write(_("Start `setup-card serve`, then open a link.") + "\n")
    return 0
