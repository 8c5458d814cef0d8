"""Sits in front of the app and judges every answer: status, time, JSON and HTML."""

from __future__ import annotations

import json
import re
import time
from collections import Counter
from collections.abc import Iterable
from typing import Any, Final

import html5lib
from html5lib.constants import E as PARSE_ERRORS

from tests.fuzz.plain_html import is_plainly_right

#: The longest that a request may take: of the processor, and by the clock where others use the machine too [s].
SLOW_CPU_S, SLOW_WALL_S = 2.0, 10.0
#: A page's skeleton: without its texts and without values that hold nothing a parser could stumble over.
_TEXTS: Final = re.compile(r">[^<>]+<")
_VALUES: Final = re.compile(r'="[^"<>]*"')
_IDS: Final = re.compile(r'\sid="([^"]*)"')
_TOLD_AT_MOST: Final = 20
#: One page in so many is read by html5lib though it is plainly right.
_READ_ANYWAY: Final = 10


class Judge:
    """A WSGI app around the app: counts what is answered and keeps what is wrong."""

    def __init__(self, app: Any, *, check_html: bool = True) -> None:
        self._app = app
        self._check_html = check_html
        self._skeletons: set[int] = set()
        self._plain = 0
        self.statuses: Counter[int] = Counter()
        #: How many of them were meant to break something; the others follow a redirect or read back what was stored.
        self.fuzzed = 0
        self.faults: list[str] = []
        self.slowest_s = (0.0, 0.0, "")

    @property
    def requests(self) -> int:
        """How many were answered."""
        return sum(self.statuses.values())

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        """Answer as the app does, and look at the answer."""
        told: dict[str, Any] = {}

        def note(status: str, headers: list[tuple[str, str]], *rest: Any) -> Any:
            told.update(status=int(status[:3]), headers={name.lower(): value for name, value in headers})
            return start_response(status, headers, *rest)

        what = f"{environ['REQUEST_METHOD']} {environ.get('PATH_INFO')}?{environ.get('QUERY_STRING', '')}"
        wall, cpu = time.monotonic(), time.thread_time()
        answer = self._app(environ, note)
        try:
            body = b"".join(answer)
        finally:
            if hasattr(answer, "close"):
                answer.close()
        self._judge(what, told, body, time.thread_time() - cpu, time.monotonic() - wall)
        return [body]

    def blame(self, what: str, why: str) -> None:
        """Keep a fault."""
        self.faults.append(f"{why}: {what[:300]}")

    def told(self) -> list[str]:
        """Return the faults, the first of each kind and no more than can be read."""
        return list(dict.fromkeys(self.faults))[:_TOLD_AT_MOST]

    def _judge(self, what: str, told: dict[str, Any], body: bytes, cpu_s: float, wall_s: float) -> None:
        status, kind = told["status"], told["headers"].get("content-type", "")
        self.statuses[status] += 1
        self.slowest_s = max(self.slowest_s, (cpu_s, wall_s, what[:120]))
        if status >= 500:
            self.blame(what, str(status))
        if cpu_s > SLOW_CPU_S or wall_s > SLOW_WALL_S:
            self.blame(what, f"slow ({cpu_s:.1f} s of the processor, {wall_s:.1f} s by the clock)")
        if kind.startswith("application/json") and body:
            if why := json_fault(body):
                self.blame(what, why)
        elif kind.startswith("text/html") and body and self._check_html:
            self._judge_page(what, body.decode("utf-8"))

    def _judge_page(self, what: str, page: str) -> None:
        if why := id_fault(page):
            self.blame(what, why)
        skeleton = hash(_VALUES.sub('=""', _TEXTS.sub("><", page)))
        if skeleton not in self._skeletons:
            self._skeletons.add(skeleton)
            if why := self._html_fault(page):
                self.blame(what, why)

    def _html_fault(self, page: str) -> str:
        """Return as `html_fault`, which takes long, for what is not plainly right and now and then for what is."""
        if is_plainly_right(page):
            self._plain += 1
            if self._plain % _READ_ANYWAY:
                return ""
        return html_fault(page)


def json_fault(body: bytes) -> str:
    """Return why a body is no JSON as RFC 8259 has it, "" where it is."""

    def refuse(name: str) -> None:
        raise ValueError(f"{name} is no JSON number")

    try:
        json.loads(body.decode("utf-8"), parse_constant=refuse)
    except ValueError as error:
        return f"JSON ({error})"
    return ""


def html_fault(page: str) -> str:
    """Return what HTML's own parsing rules call an error in a page, "" where there is none."""
    parser = html5lib.HTMLParser()
    parser.parse(page)
    for (line, column), code, values in parser.errors:
        return f"HTML (line {line}, column {column}: {PARSE_ERRORS[code] % values})"
    return ""


def id_fault(page: str) -> str:
    """Return which name two elements of a page have, "" where there is none."""
    names = _IDS.findall(page)
    if len(names) == len(set(names)):
        return ""
    return f"HTML (id {Counter(names).most_common(1)[0][0]!r} twice)"
