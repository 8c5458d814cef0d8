"""The decisions at the end of a day: what happens to setups whose card is at home, and to those that stacks made."""

from __future__ import annotations

from wtforms import BooleanField

from webapp.ground.fields.page_form import PageForm
from webapp.ground.text.i18n import lazy_gettext as _l


class EndDayForm(PageForm):
    """Erases every rider; with `keep_cards` not those who took a card home, with `stacked` those of stacks too."""

    keep_cards = BooleanField(_l("Keep the setups whose card a rider took home"))
    stacked = BooleanField(_l("Erase the setups that stacks of cards made, too"))
