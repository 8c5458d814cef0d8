"""The one door for every text that people read: its language, its catalogue, its plural forms.

`gettext` takes the values of a text's `%(name)s` fields as keywords and leaves a bare `%` alone when there are
none, so "30 % of travel" needs no doubling. Templates use the same function as `_("...")`.

In a request the language is the best match of the browser's Accept-Language header among `SHIPPED`; on the command line
it is that of the environment. Flask-Babel keeps both for the time of a request; nothing but this module knows it.
"""

from __future__ import annotations

import functools
import os
from collections.abc import Callable
from dataclasses import dataclass
from gettext import NullTranslations
from pathlib import Path
from typing import Any, Final

import flask_babel
from babel.core import negotiate_locale
from babel.support import Translations
from flask import Flask, Response, current_app, g, has_request_context, request

#: What a page says it is written in.
DEFAULT_LANGUAGE: Final = "en"
#: Each language with a catalogue, and the locale whose numbers and dates it uses. English is the text in the code.
SHIPPED: Final[dict[str, str]] = {DEFAULT_LANGUAGE: "en_GB"}
#: Where `<locale>/LC_MESSAGES/messages.mo` lie; below the package, so that the wheel carries them.
CATALOGUES: Final = Path(__file__).parents[2] / "translations"
#: What the environment calls the language, the strongest first, as gettext has it.
_VARIABLES: Final = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")


def gettext(message: str, **values: Any) -> str:
    """Return `message` in the reader's language, its `%(name)s` fields filled from `values`."""
    # A catalogue's entry for the empty text is its own header.
    text = _reader().texts.gettext(message) if message else ""
    return text % values if values else text


def ngettext(singular: str, plural: str, number: int, **values: Any) -> str:
    """Return the form of a message that fits `number`, its fields filled from `values` and `num`."""
    text = _reader().texts.ngettext(singular, plural, number)
    return text % {"num": number, **values}


def look_up(one: str, other: str = "", number: int = 1) -> str:
    """Return a text as the reader's catalogue has it, nothing filled in; of two forms the one that fits `number`."""
    texts = _reader().texts
    return texts.ngettext(one, other, number) if other else texts.gettext(one)


class LazyText:
    """A text that is looked up when it is shown, not when its module is imported."""

    __slots__ = ("_message", "_values")

    def __init__(self, message: str, values: dict[str, Any]) -> None:
        self._message = message
        self._values = values

    def __str__(self) -> str:
        return gettext(self._message, **self._values)

    def __repr__(self) -> str:
        return f"LazyText({self._message!r})"

    def __mod__(self, values: Any) -> str:
        filled: str = str(self) % values
        return filled

    def __eq__(self, other: object) -> bool:
        return str(self) == str(other) if isinstance(other, LazyText | str) else NotImplemented

    def __hash__(self) -> int:
        return hash(str(self))

    def __len__(self) -> int:
        return len(str(self))


def lazy_gettext(message: str, **values: Any) -> LazyText:
    """Return a stand-in for `gettext(message, **values)` that is safe at module level."""
    return LazyText(message, values)


@dataclass(frozen=True, slots=True)
class _Reader:
    """Who reads: a language, the locale of its numbers and dates, and its texts."""

    language: str
    locale: str
    texts: NullTranslations


def language() -> str:
    """Return the reader's language as a page declares it in `lang`; part of the key of everything kept with words."""
    return _reader().language


def locale() -> str:
    """Return the name of the locale whose numbers and dates the reader sees."""
    return _reader().locale


def _reader() -> _Reader:
    """Return who reads, found out once a request: asked for each text, Flask-Babel would outlast a small page."""
    try:
        reader: _Reader = g.reader
    except AttributeError:
        reader = g.reader = _reader_of_request() if "babel" in current_app.extensions else _reader_of_environment()
    except RuntimeError:  # no app is in work: the command line, or a module being read
        return _reader_of_environment()
    return reader


def _reader_of_request() -> _Reader:
    name = str(flask_babel.get_locale())
    tag = next(tag for tag, shipped in SHIPPED.items() if shipped == name)
    return _Reader(tag, name, flask_babel.get_translations())


def _reader_of_environment() -> _Reader:
    tag = _language_of_environment()
    return _Reader(tag, SHIPPED[tag], _load(CATALOGUES, SHIPPED[tag]))


def install(app: Flask) -> None:
    """Choose each request's language, say so in its answer, and give templates `_`, `ngettext` and `{% trans %}`."""
    flask_babel.Babel(
        app,
        configure_jinja=False,
        default_locale=SHIPPED[DEFAULT_LANGUAGE],
        default_translation_directories=str(CATALOGUES),
        locale_selector=_choose_locale,
    )
    app.after_request(_declare_language)
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.globals["language"] = language
    # Old style on purpose: our own gettext fills the fields, and a text without fields may hold a bare "%".
    install_texts: Callable[..., None] = app.jinja_env.install_gettext_callables  # type: ignore[attr-defined]
    install_texts(gettext, ngettext, newstyle=False)


def _choose_locale() -> str:
    wish = request.accept_languages.best_match(SHIPPED) if has_request_context() else _language_of_environment()
    return SHIPPED[wish or DEFAULT_LANGUAGE]


def _declare_language(response: Response) -> Response:
    if request.endpoint != "static":
        response.content_language.add(language())
        response.vary.add("Accept-Language")
    return response


def _language_of_environment() -> str:
    wishes = next((os.environ[name] for name in _VARIABLES if os.environ.get(name)), "")
    names = [wish.partition(".")[0] for wish in wishes.split(":")]
    return negotiate_locale(names, list(SHIPPED)) or DEFAULT_LANGUAGE


@functools.cache
def _load(folder: Path, name: str) -> NullTranslations:
    return Translations.load(folder, [name])
