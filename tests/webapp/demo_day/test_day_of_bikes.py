"""Random days of a crew, held against a plain account of what was confirmed: nothing lost, doubled or carried over.

The model knows nothing of how bikes are stored. It keeps what was last confirmed to stand on each bike, who is on it
and what was done. Answers are lost at random (the same page is sent again), and pages are pressed after somebody else.
"""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from setup_rules import SagCheck, recommend
from setup_rules.types.units import PSI_PA
from tests import databases
from tests.conftest import settings_in
from webapp import create_app
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.staff import StaffMember
from webapp.checks.actions.check_sag import check_sags
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.list_bikes import EVENTS_SHOWN, bike_events
from webapp.demo_day.actions.move_bike import bring_in, check_over, give_card, leave_undone, set_aside, take_over
from webapp.demo_day.actions.press_once import BikeMovedError, Press
from webapp.demo_day.actions.set_bike import read_bike_as_it_stands, rider_setup, set_bike
from webapp.demo_day.actions.set_up_bike import rider_request
from webapp.demo_day.actions.set_up_rider import set_up_rider
from webapp.demo_day.actions.undo_press import undo_press, undoable
from webapp.demo_day.bike import Bike, EndStanding
from webapp.demo_day.changes import standing_of
from webapp.ground.action_errors import LinkGoneError, RefusedError
from webapp.ground.database.engine import database
from webapp.setups.actions.find_setup import find_setup

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
BIKES = 3
STYLES = ("trail", "enduro", "park")
FORK = {"travel_mm": 140, "rebound_clicks": 16, "max_pressure_psi": 140}
which = st.integers(0, BIKES - 1)
who = st.integers(0, 1)
#: How often an answer is lost, so that the same page is sent again.
drops = st.integers(0, 2)
weights = st.sampled_from([52.0, 61.5, 75.0, 88.0, 104.0])


class Day(RuleBasedStateMachine):
    """A shop with three bikes and two people."""

    #: A data folder as the first start leaves it.
    empty: ClassVar[Path]

    @initialize()
    def open(self) -> None:
        self.folder = Path(tempfile.mkdtemp())
        if databases.server_url() is None:
            shutil.copytree(self.empty, self.folder / "data")
        self.app = create_app(settings_in(self.folder / "data"))
        self.context = self.app.app_context()
        self.context.push()
        owner = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        tom = create_staff(owner.shop_id, "tom", PASSWORD, "staff")
        self.crew: list[StaffMember] = [owner, replace(owner, staff_id=tom, login="tom", role="staff")]
        self.shop = owner.shop_id
        made = [create_bike(self.shop, {"number": str(n), "front": FORK}) for n in range(BIKES)]
        self.ids = [bike.bike_id for bike in made]
        self.standing: list[dict[str, EndStanding]] = [{} for _ in made]
        self.state = ["in"] * BIKES
        self.rider: list[str | None] = [None] * BIKES
        self.came_from: dict[int, str] = {}
        self.events = [0] * BIKES
        self.before: list[tuple[str, dict[str, EndStanding], bool] | None] = [None] * BIKES
        self.kept: set[str] = set()
        self.gone: set[str] = set()
        self.keys = 0

    def bike(self, n: int) -> Bike:
        return find_bike(self.shop, self.ids[n])

    def press(self, n: int, by: int, seen: int | None = None) -> Press:
        self.keys += 1
        version = self.bike(n).version if seen is None else seen
        return Press(member=self.crew[by], bike_id=self.ids[n], seen=version, key=f"page {self.keys}")

    def do(self, n: int, action: Any, lost: int, *, undo: bool = True, keeps_rider: bool = False) -> None:
        """Press a button, and again as often as its answer was lost; note what an undo would bring back."""
        earlier = (self.state[n], dict(self.standing[n]), keeps_rider)
        for _ in range(lost + 1):
            action()
        self.events[n] += 1
        self.before[n] = earlier if undo else None

    def leave(self, n: int) -> None:
        code = self.rider[n]
        if code is not None and code not in self.kept:
            self.gone.add(code)
        self.rider[n] = None

    @rule(n=which, by=who, lost=drops, kg=weights, style=st.sampled_from(STYLES))
    def set_up(self, n: int, by: int, lost: int, kg: float, style: str) -> None:
        press, rider = self.press(n, by), {"rider_mass_kg": kg, "riding_style": style}
        if self.state[n] == "set_aside":
            with pytest.raises(RefusedError):
                set_up_rider(press, rider)
            return
        fresh = recommend(rider_request(self.bike(n), rider))
        self.do(n, lambda: set_up_rider(press, rider), lost, undo=False)
        self.leave(n)
        came = self.came_from[n] if self.state[n] == "being_set" else self.state[n]
        self.state[n], self.rider[n] = "being_set", self.bike(n).turn.rider_code
        self.came_from[n] = came
        saved = rider_setup(self.bike(n))
        assert saved is not None
        assert saved.setup.ends() == fresh.ends(), "the next rider's numbers are a fresh setup's"

    @precondition(lambda self: any(self.rider))
    @rule(n=which, by=who, lost=drops, out=st.booleans())
    def set_it(self, n: int, by: int, lost: int, out: bool) -> None:
        press = self.press(n, by)
        if self.rider[n] is None:
            with pytest.raises(RefusedError):
                set_bike(press, 1, out=out)
            return
        saved = rider_setup(self.bike(n))
        assert saved is not None
        self.do(n, lambda: set_bike(press, saved.number, out=out), lost, keeps_rider=True)
        self.standing[n] = {end.end: standing_of(end) for end in saved.setup.ends()}
        self.state[n] = "out" if out else self.state[n]

    @rule(n=which, by=who, lost=drops, psi=st.integers(30, 120))
    def read(self, n: int, by: int, lost: int, psi: int) -> None:
        press, stood = self.press(n, by), self.standing[n].get("front", EndStanding())
        self.do(n, lambda: read_bike_as_it_stands(press, {"front": {"pressure_psi": psi}}), lost, keeps_rider=True)
        clicks = {"rebound_clicks_out": stood.rebound_clicks_out}
        self.standing[n] = {"front": EndStanding(pressure_psi=psi, **clicks)}

    @rule(n=which, by=who, lost=drops)
    def back(self, n: int, by: int, lost: int) -> None:
        press = self.press(n, by)
        if self.state[n] not in ("being_set", "out"):
            with pytest.raises(RefusedError):
                bring_in(press)
            return
        self.do(n, lambda: bring_in(press), lost)
        self.leave(n)
        self.state[n] = "back"

    @rule(n=which, by=who, lost=drops)
    def not_done(self, n: int, by: int, lost: int) -> None:
        press = self.press(n, by)
        if self.state[n] != "being_set":
            with pytest.raises(RefusedError):
                leave_undone(press)
            return
        self.do(n, lambda: leave_undone(press), lost, undo=False)
        self.leave(n)
        self.state[n] = "in" if self.came_from[n] == "in" else "back"

    @rule(n=which, by=who, lost=drops, what=st.sampled_from(["over", "aside", "take", "card"]))
    def move(self, n: int, by: int, lost: int, what: str) -> None:
        press, state = self.press(n, by), self.state[n]
        allowed = {
            "over": state in ("back", "set_aside"),
            "aside": True,
            "take": state == "being_set",
            "card": self.rider[n] is not None,
        }[what]
        action = {
            "over": lambda: check_over(press),
            "aside": lambda: set_aside(press, "bent lever"),
            "take": lambda: take_over(press),
            "card": lambda: give_card(press),
        }[what]
        if not allowed:
            with pytest.raises(RefusedError):
                action()
            return
        self.do(n, action, lost, undo=what != "card", keeps_rider=what == "take")
        if what == "card":
            self.kept.add(str(self.rider[n]))
        elif what == "aside":
            self.leave(n)
            self.state[n] = "set_aside"
        elif what == "over":
            self.state[n] = "in"

    @rule(n=which, by=who, lost=drops)
    def undo(self, n: int, by: int, lost: int) -> None:
        last, press = undoable(self.bike(n)), self.press(n, by)
        earlier = self.before[n]
        assert (last is None) == (earlier is None)
        if last is None or earlier is None:
            return
        self.do(n, lambda: undo_press(press, last.event_id), lost, undo=False)
        state, self.standing[n], keeps = earlier
        if not keeps:
            self.rider[n] = None
        self.state[n] = "in" if state == "being_set" and not keeps else state

    @rule(n=which, by=who)
    def press_a_page_that_was_open_for_too_long(self, n: int, by: int) -> None:
        seen = self.bike(n).version
        self.read(n, by, 0, 77)
        for action in (bring_in, check_over, lambda press: set_up_rider(press, {"rider_mass_kg": 70.0})):
            with pytest.raises(BikeMovedError) as told:
                action(self.press(n, 1 - by, seen))
            assert told.value.event is not None
            assert told.value.event.by == self.crew[by].login

    @precondition(lambda self: any(self.rider))
    @rule(n=which, mm=st.sampled_from([24.0, 30.0, 37.0]))
    def measure(self, n: int, mm: float) -> None:
        stands = self.standing[n].get("front")
        if self.rider[n] is None or stands is None or stands.pressure_psi is None:
            return
        check = SagCheck(end="front", pressure_pa=stands.pressure_psi * PSI_PA, readings_mm=(mm,), confirm=True)
        check_sags(str(self.rider[n]), (check,))

    @invariant()
    def what_stands_is_what_was_last_confirmed(self) -> None:
        if not hasattr(self, "ids"):
            return
        for n in range(BIKES):
            bike = self.bike(n)
            assert dict(bike.standing) == self.standing[n]
            assert bike.turn.state == self.state[n]
            assert bike.turn.rider_code == self.rider[n]
            assert bike.version == self.events[n] + 1
            log = bike_events(self.shop, bike.bike_id)
            done = [one for one in log if one.kind != "sag_check"]
            assert len(done) == self.events[n] or len(log) == EVENTS_SHOWN
        for code in self.gone:
            with pytest.raises(LinkGoneError):
                find_setup(code)
        for code in self.kept:
            assert find_setup(code).code == code

    def teardown(self) -> None:
        if hasattr(self, "context"):
            database.engine.dispose()
            self.context.pop()
            shutil.rmtree(self.folder, ignore_errors=True)


def days(empty: Path, examples: int, steps: int) -> None:
    """Let so many days of so many steps pass."""
    Day.empty = empty
    quiet = [HealthCheck.too_slow, HealthCheck.data_too_large]
    size = {"max_examples": examples, "stateful_step_count": steps}
    run_state_machine_as_test(Day, settings=settings(**size, deadline=None, suppress_health_check=quiet))


def test_a_few_short_days(empty_data: Path) -> None:
    days(empty_data, 3, 12)


@pytest.mark.long
def test_many_long_days(empty_data: Path) -> None:
    days(empty_data, 20, 30)
