"""What the outside checks share: the product with nothing unknown left."""

from __future__ import annotations

import numpy as np
import pytest

from setup_rules.inference import likelihood
from setup_rules.inference.likelihood import Learned, Rider
from setup_rules.inference.posterior import Posterior, central_row


@pytest.fixture
def central_values(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let one draw, in which everything has its central value, stand for what is known before any check."""
    sure = Learned(Posterior(central_row()[None, :], np.ones(1)), np.ones(1), Rider.unknown(1), 1.0)
    monkeypatch.setattr(Learned, "nothing", staticmethod(lambda: sure))


@pytest.fixture
def central_scale_too(central_values: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave nothing unknown of a weighed end either, whose draws the product narrows and keeps apart."""
    monkeypatch.setattr(likelihood, "posterior_after", lambda _: Posterior(central_row()[None, :], np.ones(1)))
