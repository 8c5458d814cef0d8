"""The one door for texts."""

from __future__ import annotations

from flask import Flask, render_template_string

from webapp.ground.text.i18n import gettext, lazy_gettext, ngettext


def test_fields_are_filled_from_keywords() -> None:
    assert gettext("%(name)s of 26", name=3) == "3 of 26"


def test_a_bare_percent_sign_needs_no_doubling() -> None:
    assert gettext("30 % of travel") == "30 % of travel"


def test_the_form_follows_the_number() -> None:
    assert [ngettext("%(num)d click", "%(num)d clicks", n) for n in (1, 2)] == ["1 click", "2 clicks"]


def test_a_lazy_text_reads_compares_and_fills_like_the_text_itself() -> None:
    lazy = lazy_gettext("Sag of %(value)s mm", value=28)
    assert str(lazy) == "Sag of 28 mm" == lazy
    assert len(lazy) == len("Sag of 28 mm")
    assert hash(lazy) == hash("Sag of 28 mm")
    assert lazy_gettext("%s psi") % 84 == "84 psi"


def test_templates_share_the_door_and_escape_the_values(app: Flask) -> None:
    with app.test_request_context():
        page = render_template_string("{{ _('%(x)s at 30 %%', x='<b>') }}{% trans %} and 5 %{% endtrans %}")
    assert page == "&lt;b&gt; at 30 % and 5 %"
